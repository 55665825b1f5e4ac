"""The worst sample of each source: the share that holds in all of them."""

import math

import pandas as pd
import pytest

from chemcheck.assessment.water import water
from chemcheck.reports.source_outlook import worst_words
from tests.builders import bound, limit, limit_set, readings

DATES = ["2031-01-10", "2031-04-10", "2031-07-10", "2031-10-10"]
CHLORIDE = [50.0, 60.0, 100.0, 45.0]


def answer(chloride=CHLORIDE, units=None, dates=DATES, sets=None):
    n = len(chloride)
    table = readings(
        {"chloride": chloride, "sulfate": [10.0] * n, "total_hardness": [20.0] * n},
        material="water",
        unit_id=units or ["tap"] * n,
        taken_on=dates,
    )
    return water(table, sets)


def test_the_worst_sample_decides_for_all():
    [found] = answer().source_blends.to_dict("records")
    # By hand: deionised water brings 1 mg/L, so that (40 - 1) / (100 - 1) of the worst may stay.
    assert found["tap_share_max"] == pytest.approx(39 / 99)
    assert (found["source"], found["samples"], found["controlled_by"]) == ("tap", 4, "chloride")
    assert found["worst_taken_on"] == pd.Timestamp("2031-07-10")
    assert found["worst_month"] == 7
    [line] = worst_words(answer().source_blends, {"chloride": "chloride"})
    assert line == (
        "tap, 4 samples: at most 39 % tap water meets every bound in all of them. The worst is "
        "that of 2031-07-10, where chloride controls. Of the months July allows least."
    )


def test_sources_stay_apart_and_a_single_sample_is_no_source():
    units = ["a", "a", "b", "c"]
    found = answer(units=units).source_blends
    assert found["source"].tolist() == ["a"]
    assert found["tap_share_max"].tolist() == [pytest.approx(39 / 59)]


def test_a_good_source_is_not_told_in_words():
    found = answer(chloride=[10.0] * 4).source_blends
    assert found["tap_share_max"].tolist() == [1.0]
    assert worst_words(found, {}) == ()


def test_a_sample_that_no_share_mends_is_the_worst():
    never = limit_set(
        limit("chloride", bound("upper", 40.0)),
        limit("silicon", bound("lower", 5.0)),
        material="water",
    )
    table = readings(
        {"chloride": [50.0, 20.0], "silicon": [5.0, 9.0]},
        material="water",
        unit_id=["tap", "tap"],
        taken_on=[None, None],
    )
    found = water(table, [never]).source_blends
    assert math.isnan(found["tap_share_max"][0])
    assert worst_words(found, {}) == (
        "tap, 2 samples: in the worst, row 2, no share meets every bound.",
    )


def test_a_share_that_is_not_known_counts_for_nothing():
    # Hardness, an essential, was not read in the third sample.
    table = readings(
        {"chloride": CHLORIDE, "sulfate": [10.0] * 4, "total_hardness": [20.0, 20.0, None, 20.0]},
        material="water",
        unit_id=["tap"] * 4,
        taken_on=DATES,
    )
    [found] = water(table).source_blends.to_dict("records")
    assert found["samples"] == 3
    assert found["tap_share_max"] == pytest.approx(39 / 59)
