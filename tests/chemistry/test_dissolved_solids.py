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


def test_bicarbonate_counts_as_carbonate() -> None:
    """Hem, Water-Supply Paper 2254: bicarbonate times 0.4917 (memory)."""
    alkalinity = 0.82016 * 100.0  # 100 mg/L of bicarbonate
    assert ds.dissolved_solids_from_ions({}, alkalinity) == pytest.approx(49.17, abs=0.02)


def test_d1384_water() -> None:
    """ASTM D1384 water (recipe from memory): 451 mg/L of salts, bicarbonate dried to carbonate."""
    ions = {"sodium": 150.6, "chloride": 100.1, "sulfate": 100.1}
    dried = ds.dissolved_solids_from_ions(ions, 82.2)
    assert dried == pytest.approx(451.0 - 100.2 * (1.0 - 0.4917), abs=0.5)


def test_carbonate_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="leave them out of the ions"):
        ds.dissolved_solids_from_ions({"bicarbonate": 100.0}, 82.0)


def test_conductivity_of_the_potassium_chloride_standard() -> None:
    """0.01 mol/kg KCl is 10 meq/L and conducts 1413 uS/cm (memory): a salt without pairs.

    Its two fast ions exceed the band for natural waters, whose sodium and bicarbonate are slow.
    """
    _, high = ds.conductivity_from_charges(10.0)
    assert high < 1413.0


def test_conductivity_of_a_sodium_bicarbonate_water() -> None:
    """Sodium bicarbonate, 5 meq/L: limiting conductances 50.1 + 44.5 S cm2/mol (memory: CRC)."""
    low, high = ds.conductivity_from_charges(5.0)
    assert low <= 5.0 * (50.1 + 44.5) * 0.96 <= high
