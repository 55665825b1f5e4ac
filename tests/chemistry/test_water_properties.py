"""Properties of liquid water against a library and handbook figures."""

import CoolProp.CoolProp as coolprop
import numpy as np
import pytest

from chemcheck.chemistry import water_properties as wp


@pytest.mark.parametrize("temperature", [0.01, 10.0, 25.0, 60.0, 90.0, 130.0])
def test_saturated_density(temperature: float) -> None:
    """CoolProp (IAPWS-95), saturated liquid: within 0.01 %."""
    expected = coolprop.PropsSI("D", "T", temperature + 273.15, "Q", 0, "Water")
    assert wp.saturated_density(temperature) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize(
    ("temperature", "printed"),
    # CRC Handbook, permittivity of liquid water (memory).
    [(0.0, 87.9), (25.0, 78.4), (50.0, 69.9), (100.0, 55.5)],
)
def test_permittivity(temperature: float, printed: float) -> None:
    assert wp.relative_permittivity(temperature) == pytest.approx(printed, abs=0.15)


def test_debye_huckel_slopes_of_the_textbooks() -> None:
    """A = 0.509, B = 0.328 at 25 deg C (Stumm and Morgan, Aquatic Chemistry; memory)."""
    slope_a, slope_b = wp.debye_huckel_slopes(25.0)
    assert slope_a == pytest.approx(0.509, abs=0.0015)
    assert slope_b == pytest.approx(0.328, abs=0.001)


def test_slopes_rise_with_temperature() -> None:
    slope_a, slope_b = wp.debye_huckel_slopes(np.linspace(0.0, 130.0, 14))
    assert np.all(np.diff(slope_a) > 0.0)
    assert np.all(np.diff(slope_b) > 0.0)
