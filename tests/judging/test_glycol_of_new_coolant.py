"""Glycol of new coolant that nobody read: by freezing point, or as concentrates hold."""

import numpy as np
import pytest

from chemcheck.judging.glycol_of_concentrate import GLYCOL
from chemcheck.judging.glycol_of_new_coolant import with_glycol_of_new_coolant
from tests.readings.build import readings_of

EG, PG = "ethylene_glycol", "propylene_glycol"


def worked_out(freezing, kind=EG, sample_type="bulk tank", glycol=np.nan):
    samples = {"glycol_type": [kind], "sample_type": [sample_type]}
    readings = readings_of(samples, [GLYCOL, "freezing_point"], [[glycol, freezing]])
    readings, said = with_glycol_of_new_coolant(readings, np.array([0]))
    return readings.lower[0, 0], readings.upper[0, 0], said


# Makers' printed freezing points by percent of coolant, and Lange's Handbook, table 5.13 (PG).
@pytest.mark.parametrize(
    ("kind", "percent", "freezes"),
    [(EG, 40, -24), (EG, 50, -37), (PG, 40, -20.6), (PG, 50, -33.3)],
)
def test_by_the_freezing_point(kind, percent, freezes):
    low, high, said = worked_out(freezes, kind)
    assert low - 1 <= percent <= high + 1
    assert high - low < 4
    assert said == (
        "1 sample of new coolant: glycol worked out from the freezing point, by all tables of "
        "limits/properties",
    )


def test_an_unknown_glycol_may_be_either():
    ends = [worked_out(-25.0, kind)[:2] for kind in (EG, PG)]
    low, high, _ = worked_out(-25.0, None)
    assert low == min(end[0] for end in ends)
    assert high == max(end[1] for end in ends)


def test_colder_than_any_table_is_anything_from_there_on():
    low, high, _ = worked_out(-70.0)
    assert 59 < low <= 60
    assert high == 100.0


def test_a_concentrate_holds_what_concentrates_hold():
    # 92 and 97 mass% (memory), by volume from the densities 1113.4 and 998.2 kg/m3.
    low, high, said = worked_out(-13.0, sample_type="new concentrate")
    assert low == pytest.approx(91.16, abs=0.05)
    assert high == pytest.approx(96.67, abs=0.05)
    assert "taken for 92 to 97 % by mass" in said[0]


def test_a_glycol_that_was_read_stays():
    assert worked_out(-37.0, glycol=44.0) == (44.0, 44.0, ())
