"""Hydroxyapatite against PHREEQC and at the edges."""

import numpy as np
import pytest

from chemcheck.chemistry import carbonate
from chemcheck.chemistry.phosphate import hydroxyapatite_index
from chemcheck.errors import OutsideValidityWarning

WATER = (7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0)


def test_against_phreeqc() -> None:
    """phreeqpython 1.6.2, phreeqc.dat, 0.5 mg/L PO4, 25 deg C and heated to 90: 1.678, 5.017.

    There phosphate takes part in the alkalinity; half a milligram is little of it.
    """
    water = carbonate.speciate(*WATER)
    assert hydroxyapatite_index(water, 0.5) == pytest.approx(1.678, abs=0.02)
    hot = carbonate.heat(water, 90.0)
    assert hydroxyapatite_index(hot, 0.5) == pytest.approx(5.017, abs=0.02)


def test_rises_three_times_with_phosphate() -> None:
    """Three phosphates in the formula: ten times as much is three units."""
    water = carbonate.speciate(*WATER)
    low, high = hydroxyapatite_index(water, [0.1, 1.0])
    assert high - low == pytest.approx(3.0)


def test_absent_missing_and_too_much() -> None:
    water = carbonate.speciate(*WATER)
    assert np.isneginf(hydroxyapatite_index(water, 0.0))
    assert np.isnan(hydroxyapatite_index(water, np.nan))
    with pytest.warns(OutsideValidityWarning, match="hydroxyapatite index: 1 of 2"):
        found = hydroxyapatite_index(water, [50.0, 1.0])
    assert np.isnan(found).tolist() == [True, False]
