"""The standard atmosphere against printed tables."""

import numpy as np
import pytest

from chemcheck.chemistry.standard_atmosphere import air_pressure
from chemcheck.errors import OutsideValidityWarning


@pytest.mark.parametrize(
    ("altitude", "pressure"),
    # ISO 2533 / ICAO Doc 7488 tables [kPa], memory.
    [
        (-1000, 113.93),
        (0, 101.325),
        (1000, 89.874),
        (3000, 70.108),
        (5000, 54.020),
        (11000, 22.632),
    ],
)
def test_tables_of_the_standard(altitude, pressure):
    assert air_pressure(altitude) == pytest.approx(pressure, rel=2e-4)


def test_outside_the_troposphere_is_empty_and_said():
    with pytest.warns(OutsideValidityWarning, match="standard atmosphere: 2 of 4 outside"):
        found = air_pressure([0.0, -2500.0, 12000.0, np.nan])
    assert np.isnan(found).tolist() == [False, True, True, True]
