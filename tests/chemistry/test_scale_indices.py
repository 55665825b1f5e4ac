"""Indices against the worked examples that their sources print.

Tolerance 0.01 against the formula, 0.1 against an answer read from a chart or a table.
"""

import math

import numpy as np
import pandas as pd
import pytest

from chemcheck.chemistry import scale_indices
from chemcheck.errors import OutsideValidityWarning


def fahrenheit(degrees: float) -> float:
    """Return degrees Celsius."""
    return (degrees - 32.0) / 1.8


class TestTextbook:
    """Corrosion Engineering: Principles and Practice, p. 317: pH 7.5, TDS 320, Ca 150, alk 34."""

    WATER = (320.0, 150.0, 34.0)

    @pytest.mark.parametrize(
        ("temperature", "chart_ph", "chart_index", "formula_ph", "formula_index"),
        [(25.0, 8.2, -0.7, 8.231, -0.731), (82.0, 7.2, 0.3, 7.234, 0.266)],
    )
    def test_langelier(
        self,
        temperature: float,
        chart_ph: float,
        chart_index: float,
        formula_ph: float,
        formula_index: float,
    ) -> None:
        saturation = scale_indices.saturation_ph(temperature, *self.WATER)
        index = scale_indices.langelier_index(7.5, temperature, *self.WATER)
        assert saturation == pytest.approx(chart_ph, abs=0.1)
        assert saturation == pytest.approx(formula_ph, abs=0.01)
        assert index == pytest.approx(chart_index, abs=0.1)
        assert index == pytest.approx(formula_index, abs=0.01)


class TestFacilitiesCriteria:
    """UFC 3-240-13FN, examples B-1 and B-2: pH 8.2, TDS 1000, Ca 500, alk 100, 120 F."""

    WATER = (fahrenheit(120.0), 1000.0, 500.0, 100.0)

    def test_saturation_ph(self) -> None:
        found = scale_indices.saturation_ph(*self.WATER)
        assert found == pytest.approx(6.77, abs=0.1)
        assert found == pytest.approx(6.85, abs=0.01)

    def test_langelier(self) -> None:
        found = scale_indices.langelier_index(8.2, *self.WATER)
        assert found == pytest.approx(1.43, abs=0.1)
        assert found == pytest.approx(1.35, abs=0.01)

    def test_ryznar(self) -> None:
        # Twice the chart's error of the saturation pH.
        found = scale_indices.ryznar_index(8.2, *self.WATER)
        assert found == pytest.approx(5.34, abs=0.2)
        assert found == pytest.approx(5.50, abs=0.01)

    def test_puckorius(self) -> None:
        assert scale_indices.equilibrium_ph(100.0) == pytest.approx(7.470, abs=0.001)
        chart = 2 * 6.77 - scale_indices.equilibrium_ph(100.0)
        assert chart == pytest.approx(6.07, abs=0.01)
        found = scale_indices.puckorius_index(*self.WATER)
        assert found == pytest.approx(2 * 6.85 - 7.470, abs=0.02)


@pytest.mark.parametrize(
    ("ph", "alkalinity", "calcium", "degrees_f", "printed"),
    [(7.0, 50.0, 200.0, 76.0, -0.9), (7.6, 75.0, 300.0, 84.0, 0.2), (8.0, 150.0, 400.0, 94.0, 1.1)],
)
def test_pool_operator_factors(
    ph: float, alkalinity: float, calcium: float, degrees_f: float, printed: float
) -> None:
    """Pool-operator training page: factor sums with a constant of 12.1 (TDS under about 1000).

    Three factors rounded to 0.1 each: the formula may differ by 0.15, and by the spread of the
    dissolved solids that one constant stands for (0.1 per decade).
    """
    found = scale_indices.langelier_index(ph, fahrenheit(degrees_f), 1000.0, calcium, alkalinity)
    assert found == pytest.approx(printed, abs=0.25)


def test_aggressive_index_definition() -> None:
    """AWWA C400: pH + log(A H); 100 x 100 at pH 8 stands on the edge of 12."""
    assert scale_indices.aggressive_index(8.0, 100.0, 100.0) == pytest.approx(12.0)


def test_seawater_is_out_of_range() -> None:
    """Dissolved solids of seawater, 35,000 mg/L: the formula does not hold."""
    with pytest.warns(OutsideValidityWarning, match=r"Langelier index: 1 of 2 outside its range"):
        found = scale_indices.langelier_index(8.1, 15.0, [35_000.0, 500.0], 1000.0, 115.0)
    assert np.isnan(found).tolist() == [True, False]


@pytest.mark.parametrize(
    ("temperature", "solids", "calcium", "alkalinity"),
    [
        (-1.0, 300.0, 100.0, 100.0),
        (110.0, 300.0, 100.0, 100.0),
        (25.0, 5.0, 100.0, 100.0),
        (25.0, 300.0, 0.0, 100.0),
        (25.0, 300.0, 100.0, -1.0),
    ],
)
def test_outside_the_range(
    temperature: float, solids: float, calcium: float, alkalinity: float
) -> None:
    arguments = (temperature, solids, calcium, alkalinity)
    with pytest.warns(OutsideValidityWarning, match="saturation pH: 1 of 1"):
        assert np.isnan(scale_indices.saturation_ph(*arguments))
    with pytest.warns(OutsideValidityWarning, match="Ryznar index: 1 of 1"):
        assert np.isnan(scale_indices.ryznar_index(7.0, *arguments))
    with pytest.warns(OutsideValidityWarning, match="Puckorius index: 1 of 1"):
        assert np.isnan(scale_indices.puckorius_index(*arguments))


def test_impossible_ph_is_outside() -> None:
    with pytest.warns(OutsideValidityWarning, match="aggressive index: 1 of 1"):
        assert np.isnan(scale_indices.aggressive_index(15.0, 100.0, 100.0))


def test_missing_stays_missing_without_a_warning() -> None:
    found = scale_indices.langelier_index([math.nan, 7.0], 25.0, 300.0, 100.0, 100.0)
    assert np.isnan(found).tolist() == [True, False]


def test_same_numbers_from_float_list_and_series() -> None:
    one = scale_indices.langelier_index(7.5, 25.0, 320.0, 150.0, 34.0)
    many = scale_indices.langelier_index(pd.Series([7.5]), [25.0], 320.0, 150.0, 34.0)
    assert many[0] == one
