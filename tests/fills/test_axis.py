"""The age of a fill counts from its logged change, through resets of the meter."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.fills.axis import choose_axis, measure_usage
from chemcheck.fills.fill_numbers import number_fills

DAYS = ["2031-01-01", "2031-01-11", "2031-01-21", "2031-01-31"]


def samples(dates, hours=None, unit="A"):
    n = len(dates)
    return pd.DataFrame(
        {
            "unit_id": pd.Series([unit] * n if isinstance(unit, str) else unit, dtype="str"),
            "taken_on": pd.to_datetime(pd.Series(dates)),
            "hours": pd.Series(hours if hours is not None else [np.nan] * n, dtype=float),
            "distance": np.full(n, np.nan),
            "days": np.full(n, np.nan),
            "sample_type": "routine",
        }
    )


def event(date, kind, hours=np.nan, unit="A"):
    return pd.DataFrame(
        {
            "unit_id": [unit],
            "date": pd.to_datetime([date]),
            "hours": [hours],
            "distance": [np.nan],
            "event": [kind],
        }
    )


def usage(drawn, log, axis="hours"):
    return measure_usage(drawn, log, number_fills(drawn, log), axis)


def test_without_a_logged_change_the_first_sample_is_the_beginning():
    seen = usage(samples(DAYS[:3], [100.0, 150.0, 230.0]), None)
    assert seen.age.tolist() == [0.0, 50.0, 130.0]
    assert not seen.origin_logged.any()


def test_the_age_counts_from_the_reading_logged_at_the_change():
    seen = usage(samples(DAYS, [100.0, 150.0, 230.0, 300.0]), event("2031-01-15", "change", 170.0))
    assert seen.age.tolist() == [0.0, 50.0, 60.0, 130.0]
    assert seen.origin_logged.tolist() == [False, False, True, True]


def test_a_change_without_a_reading_is_carried_back_by_the_rate_of_use():
    # 5 h a day throughout; the change lies 4 days before the third sample.
    seen = usage(samples(DAYS, [0.0, 50.0, 100.0, 150.0]), event("2031-01-17", "change"))
    assert seen.rate == pytest.approx([5.0])
    assert seen.age[2:] == pytest.approx([20.0, 70.0])


def test_a_reset_meter_goes_on_counting():
    log = event("2031-01-15", "meter reset", 0.0)
    seen = usage(samples(DAYS, [400.0, 500.0, 30.0, 90.0]), log)
    assert seen.age.tolist() == [0.0, 100.0, 130.0, 190.0]


def test_a_new_meter_that_does_not_start_at_zero():
    log = event("2031-01-15", "meter reset", 20.0)
    seen = usage(samples(DAYS, [400.0, 500.0, 30.0, 90.0]), log)
    assert seen.age.tolist() == [0.0, 100.0, 110.0, 170.0]


def test_two_resets_add_up_and_leave_the_other_unit_alone():
    log = pd.concat(
        [event("2031-01-05", "meter reset", 0.0), event("2031-01-25", "meter reset", 0.0)],
        ignore_index=True,
    )
    drawn = pd.concat(
        [
            samples(DAYS, [400.0, 100.0, 160.0, 10.0]),
            samples(DAYS, [7.0, 9.0, 11.0, 13.0], unit="B"),
        ],
        ignore_index=True,
    )
    seen = usage(drawn, log)
    assert seen.age.tolist() == [0.0, 100.0, 160.0, 170.0, 0.0, 2.0, 4.0, 6.0]


def test_a_change_before_the_reset_keeps_its_own_reading():
    log = pd.concat(
        [event("2031-01-12", "change", 510.0), event("2031-01-25", "meter reset", 0.0)],
        ignore_index=True,
    )
    seen = usage(samples(DAYS, [400.0, 500.0, 560.0, 30.0]), log)
    assert seen.age.tolist() == [0.0, 100.0, 50.0, 80.0]


def test_days_need_no_meter():
    seen = usage(samples(DAYS), event("2031-01-15", "change"), "days")
    assert seen.age.tolist() == [0.0, 10.0, 6.0, 16.0]
    assert seen.rate.tolist() == [1.0]


def test_a_unit_with_one_sample_borrows_the_rate_of_the_fleet():
    drawn = pd.concat(
        [samples(DAYS[:2], [0.0, 50.0]), samples(DAYS[:1], [9.0], unit="B")], ignore_index=True
    )
    seen = usage(drawn, None)
    assert seen.rate.tolist() == [5.0, 5.0]
    assert seen.rate_own.tolist() == [True, False]


def test_a_sample_without_a_unit_or_a_reading_has_no_age():
    drawn = samples(DAYS[:3], [0.0, np.nan, 50.0], unit=["A", "A", None])
    assert np.isnan(usage(drawn, None).age[1:]).all()


@pytest.mark.parametrize(
    ("hours", "distance", "axis"),
    [(1.0, 1.0, "hours"), (np.nan, 1.0, "distance"), (np.nan, np.nan, "days")],
)
def test_the_best_axis_there_is(hours, distance, axis):
    assert choose_axis(pd.DataFrame({"hours": [hours], "distance": [distance]})) == axis
