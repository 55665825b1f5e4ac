"""Larson-Skold and the chloride-sulfate ratio against worked figures."""

import math

import numpy as np
import pytest

from chemcheck.chemistry import corrosion_ratios
from chemcheck.chemistry.ions import IONS
from chemcheck.errors import OutsideValidityWarning


def test_d1384_water() -> None:
    """ASTM D1384 corrosive water (recipe from memory): alkalinity 82.2, ratio 2.99, CSMR 1.00.

    The figures are the arithmetic of its salts.
    """
    sulfate = 148.0 / 142.04  # mmol/L of Na2SO4
    chloride = 165.0 / 58.44  # mmol/L of NaCl
    bicarbonate = 138.0 / 84.007  # mmol/L of NaHCO3
    found = corrosion_ratios.larson_skold_index(
        chloride * IONS["chloride"].molar_mass,
        sulfate * IONS["sulfate"].molar_mass,
        bicarbonate * 50.043,
    )
    assert found == pytest.approx((chloride + 2 * sulfate) / bicarbonate, rel=1e-4)
    assert found == pytest.approx(2.99, abs=0.01)
    ratio = corrosion_ratios.chloride_sulfate_ratio(chloride * 35.45, sulfate * 96.056)
    assert ratio == pytest.approx(1.00, abs=0.005)


def test_zero_alkalinity_or_sulfate_is_outside() -> None:
    with pytest.warns(OutsideValidityWarning, match="Larson-Skold index: 1 of 2"):
        found = corrosion_ratios.larson_skold_index(10.0, 10.0, [0.0, 10.0])
    assert np.isnan(found).tolist() == [True, False]
    with pytest.warns(OutsideValidityWarning, match="chloride-sulfate mass ratio: 1 of 1"):
        assert np.isnan(corrosion_ratios.chloride_sulfate_ratio(10.0, 0.0))


def test_negative_concentration_is_outside() -> None:
    with pytest.warns(OutsideValidityWarning, match="no negative concentration"):
        assert np.isnan(corrosion_ratios.larson_skold_index(-1.0, 10.0, 10.0))


def test_missing_stays_missing_without_a_warning() -> None:
    assert np.isnan(corrosion_ratios.larson_skold_index(math.nan, 10.0, 10.0))
    assert np.isnan(corrosion_ratios.chloride_sulfate_ratio(10.0, math.nan))
