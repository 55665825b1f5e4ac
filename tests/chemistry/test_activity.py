"""Activity coefficients against textbook tables."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.chemistry.activity import log_activity_coefficient, water_activity


@pytest.mark.parametrize(
    ("charge", "size", "strength", "printed"),
    [
        # Kielland 1937, J. Am. Chem. Soc. 59, 1675, table of ion sizes and coefficients (memory).
        (1, 9.0, 0.1, 0.83),
        (1, 4.0, 0.1, 0.775),
        (1, 3.0, 0.1, 0.755),
        (2, 6.0, 0.1, 0.405),
        (2, 4.0, 0.1, 0.355),
        (1, 9.0, 0.01, 0.914),
        (2, 6.0, 0.01, 0.675),
        (2, 4.0, 0.005, 0.740),
    ],
)
def test_kielland(charge: int, size: float, strength: float, printed: float) -> None:
    found = 10.0 ** log_activity_coefficient(strength, charge, size)
    assert found == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize(
    ("charge", "strength", "printed"),
    # Davies equation with A = 0.509: Stumm and Morgan, Aquatic Chemistry (memory).
    [(1, 0.1, 0.78), (2, 0.1, 0.37)],
)
def test_davies(charge: int, strength: float, printed: float) -> None:
    found = 10.0 ** log_activity_coefficient(strength, charge, None)
    assert found == pytest.approx(printed, abs=0.015)


def test_uncharged_species_are_salted_out() -> None:
    """The linear term alone: log10 = 0.1 I."""
    assert log_activity_coefficient(0.2, 0, 0.0, 0.1) == pytest.approx(0.02)


def test_limiting_law() -> None:
    """At vanishing ionic strength log10 = -A z^2 sqrt(I)."""
    found = log_activity_coefficient(1e-8, 2, 5.0, 0.165)
    assert found == pytest.approx(-0.51 * 4.0 * 1e-4, rel=2e-3)
    assert log_activity_coefficient(0.0, 2, 5.0) == 0.0


def test_water_activity_follows_raoult() -> None:
    """Raoult's law: 1 mol/kg of solute is a mole fraction of 0.0177 (55.51 mol of water)."""
    assert water_activity(1.0) == pytest.approx(55.51 / 56.51, abs=0.001)


def test_same_numbers_from_float_list_and_series() -> None:
    one = log_activity_coefficient(0.1, 2, 5.0, 0.165)
    assert log_activity_coefficient([0.1], 2, 5.0, 0.165)[0] == one
    assert log_activity_coefficient(pd.Series([0.1]), 2, 5.0, 0.165)[0] == one
    both = log_activity_coefficient([[0.1]], 2, 5.0, 0.165, temperature=[25.0, 60.0])
    assert both.shape == (1, 2)
    assert np.all(np.diff(both) < 0.0)
