"""Dissolved solids from conductivity: the interval that the factor allows."""

import numpy as np
import pytest

from chemcheck.chemistry import dissolved_solids as ds


def test_limit_spans_a_range_of_conductivity() -> None:
    """340 mg/L stands for 380 to 680 uS/cm (arithmetic of 0.5 to 0.9; the factor from memory)."""
    low, high = ds.conductivity_from_dissolved_solids(340.0, 340.0)
    assert low == pytest.approx(380.0, abs=3.0)
    assert high == pytest.approx(680.0)


def test_meter_scales_lie_inside() -> None:
    """Meters print 0.5, 0.65 or 0.7 (memory): all inside the interval."""
    low, high = ds.dissolved_solids_from_conductivity(1000.0, 1000.0)
    for factor in (0.5, 0.65, 0.7):
        assert low <= factor * 1000.0 <= high


def test_potassium_chloride_standard() -> None:
    """0.01 mol/kg KCl: 1413 uS/cm at 25 C, 745.5 mg/L (memory: the conductivity standard)."""
    low, high = ds.dissolved_solids_from_conductivity(1413.0, 1413.0)
    assert low <= 745.5 <= high


def test_wider_reading_never_narrows() -> None:
    low, high = ds.dissolved_solids_from_conductivity([500.0, 400.0], [500.0, np.inf])
    assert low[1] <= low[0]
    assert high[1] >= high[0]


def test_missing_stays_missing() -> None:
    low, high = ds.dissolved_solids_from_conductivity(np.nan, np.nan)
    assert np.isnan(low)
    assert np.isnan(high)
