"""Glycol worked out from the share of concentrate: once, as an interval, and said."""

import numpy as np
import pytest

from chemcheck.judging.doubts import Doubt, Doubts
from chemcheck.judging.glycol_of_concentrate import (
    GLYCOL,
    by_volume,
    filled_glycol,
    with_glycol_of_concentrate,
)
from chemcheck.readings.record import REJECTED, ReadingColumn
from tests.readings.build import coded, readings_of

EG, PG = "ethylene_glycol", "propylene_glycol"
CONCENTRATE = ReadingColumn("coolant_concentrate", "by_volume")


def glycol_of(share, kind=None, basis="by_volume"):
    column = ReadingColumn("coolant_concentrate", basis)
    readings = readings_of({"glycol_type": [kind]}, [column], [[share]])
    readings, _, _ = with_glycol_of_concentrate(readings)
    place = readings.columns.index(GLYCOL)
    return readings.lower[0, place], readings.upper[0, place]


# 92 to 97 mass% of the concentrate is glycol (memory); volumes by hand from the densities
# 1113.4 and 998.2 kg/m3 at 20 C: 0.92/1.1134 = 0.8263, 0.08/0.9982 = 0.0801; 0.9116 of it.
def test_half_and_half_by_volume_of_ethylene_glycol():
    low, high = glycol_of(50.0, EG)
    assert low == pytest.approx(50 * 0.9116, abs=0.02)
    share = (0.97 / 1.1134) / (0.97 / 1.1134 + 0.03 / 0.9982)
    assert high == pytest.approx(50 * share, abs=0.02)


def test_half_and_half_by_mass_of_propylene_glycol():
    # 46 to 48.5 mass%; 1036 kg/m3: 0.46/1.036 = 0.4440, 0.54/0.9982 = 0.5410.
    low, _ = glycol_of(50.0, PG, "by_mass")
    assert low == pytest.approx(100 * 0.4440 / (0.4440 + 0.5410), abs=0.1)


def test_an_unknown_glycol_may_be_either():
    ends = [glycol_of(50.0, kind) for kind in (EG, PG)]
    low, high = glycol_of(50.0)
    assert low == min(end[0] for end in ends)
    assert high == max(end[1] for end in ends)


def test_a_glycol_that_was_read_counts_alone():
    lower = [[50.0, 44.0], [50.0, np.nan]]
    readings = readings_of({}, [CONCENTRATE, GLYCOL], lower)
    after, _, said = with_glycol_of_concentrate(readings)
    assert after.lower[0, 1] == after.upper[0, 1] == 44.0
    assert 45 < after.lower[1, 1] < after.upper[1, 1] < 49
    assert said[0].startswith("1 sample: glycol worked out from the share of concentrate, 92 to 97")


def test_a_glycol_read_by_mass_counts_too():
    readings = readings_of({}, [CONCENTRATE, ReadingColumn("glycol", "by_mass")], [[50.0, 47.0]])
    after, _, said = with_glycol_of_concentrate(readings)
    assert after is readings
    assert said == ()


def test_a_glycol_that_could_not_be_read_stays_open():
    readings = readings_of({}, [CONCENTRATE, GLYCOL], [[50.0, np.nan]])
    readings.status[0, 1] = REJECTED
    after, _, _ = with_glycol_of_concentrate(readings)
    assert np.isnan(after.lower[0, 1])


def test_method_and_doubt_come_along():
    doubts = Doubts((Doubt("control failed", "us", "memory"),), np.array([-1]), np.array([[0]]))
    readings = readings_of({}, [CONCENTRATE], [[50.0]], method=coded(["refractometer"], [0], 1))
    after, doubts, _ = with_glycol_of_concentrate(readings, doubts)
    assert after.method.codes.tolist() == [[0, 0]]
    assert doubts.of_cell.tolist() == [[0, 0]]


def test_what_is_filled_in_leaves_the_readings_given_alone():
    readings = readings_of({}, [GLYCOL, "ph"], [[np.nan, 8.0]])
    after = filled_glycol(readings, np.array([0]), np.array([40.0]), np.array([45.0]), None)
    assert np.isnan(readings.lower[0, 0])
    assert (after.lower[0, 0], after.upper[0, 0]) == (40.0, 45.0)
    assert after.status[0, 0] == readings.status[0, 0]


# Ideal volumes by hand: 50 g of 1.1134 kg/L and 50 g of 0.9982 kg/L.
def test_by_volume():
    of_glycol, of_water = 50 / 1.1134, 50 / 0.9982
    expected = 100 * of_glycol / (of_glycol + of_water)
    assert by_volume(np.array([50.0]), 0, EG)[0] == pytest.approx(expected, abs=0.01)
