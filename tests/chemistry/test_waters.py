"""From an analysis per litre to totals per kilogram of water."""

import numpy as np
import pytest

from chemcheck.chemistry.waters import totals_per_kilogram, water_per_litre


def test_fresh_water() -> None:
    """A litre of pure water at 20 deg C weighs 0.9982 kg (handbook)."""
    assert water_per_litre(0.0) == pytest.approx(0.9982, abs=1e-4)


def test_seawater() -> None:
    """Salinity 35 at 20 deg C: density 1.02476 (EOS-80, memory), so 0.98889 kg of water a litre."""
    salts = 35.0 * 1024.76  # mg/L
    assert water_per_litre(salts) == pytest.approx(1.02476 * (1.0 - 0.035), rel=1e-3)


def test_amounts() -> None:
    """Moles by definition; one equivalent of alkalinity is 50.043 g of CaCO3."""
    totals = totals_per_kilogram(50.043, 40.078, 24.305, 22.990, 39.098, 35.45, 96.056, 60.083)
    water = water_per_litre(50.043 * 1.21927 + 40.078 + 24.305 + 22.99 + 39.098 + 35.45 + 156.139)
    for name in ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "silica"):
        assert getattr(totals, name) * water == pytest.approx(1e-3, rel=1e-4)
    assert totals.alkalinity * water == pytest.approx(1e-3, rel=1e-4)
    assert np.isnan(totals.carbonate)


def test_missing_makes_all_missing() -> None:
    """Without an ion even the water in a litre is not known: nothing is filled in."""
    totals = totals_per_kilogram(100.0, [40.0, np.nan], 12.0, 23.0, 4.0, 35.0, 48.0)
    assert np.isnan(totals.calcium).tolist() == [False, True]
    assert np.isnan(totals.chloride).tolist() == [False, True]
