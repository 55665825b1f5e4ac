"""Dates off the line, dates that cannot be, meters that run backwards."""

from datetime import date

import numpy as np
import pandas as pd

from chemcheck.fills import number_fills
from chemcheck.fills.meter_order import meter_questions
from chemcheck.fills.sample_dates import date_questions
from chemcheck.fills.wrong_dates import wrong_date_questions, wrong_dates
from tests.readings.build import samples_of


def unit(n=12, **changes):
    """One unit sampled every 40 days, 8 h a day."""
    dates = pd.to_datetime("2031-01-03") + pd.to_timedelta(40 * np.arange(n), "D")
    hours = 5000.0 + 320 * np.arange(n)
    return samples_of(n, {"unit_id": "A", "taken_on": dates, "hours": hours} | changes)


def asked(samples):
    return wrong_date_questions(samples, wrong_dates(samples, number_fills(samples)))


def test_a_steady_unit_is_left_alone():
    assert not len(asked(unit()))


def test_day_and_month_exchanged():
    samples = unit()
    place = 9  # 2031-12-29 has no other reading, 2032-01-03 is 2032-03-01
    samples.loc[place, "taken_on"] = pd.Timestamp("2032-03-01")
    samples.loc[place, "hours"] = 5000 + 8 * 365
    [row] = asked(samples).to_dict("records")
    assert row["row"] == place + 2
    assert row["text"] == "2032-03-01"
    assert row["question"].endswith("with day and month exchanged it is, 2032-01-03?")


def test_a_wrong_year():
    samples = unit()
    samples.loc[5, "taken_on"] += pd.DateOffset(years=1)
    [row] = asked(samples).to_dict("records")
    assert "with another year it is, 2031-07-22?" in row["question"]


def test_a_date_that_no_slip_explains():
    samples = unit()
    samples["sample_id"] = [f"x{k}" for k in np.random.default_rng(1).permutation(12)]
    samples["row"] = samples["sample_id"].str[1:].astype(int)  # the rows say nothing
    samples.loc[5, "hours"] += 2000
    [row] = asked(samples).to_dict("records")
    assert row["question"].endswith("is the date wrong, or the meter?")


def test_without_meters_the_order_of_numbers_tells():
    samples = unit(hours=np.nan, sample_id=[f"L-{100 + k}" for k in range(12)])
    samples.loc[6, "taken_on"] -= pd.DateOffset(years=1)
    [row] = asked(samples).to_dict("records")
    assert row["question"].startswith("the order of the samples puts it about 2031-08-31")


def test_no_dates_no_questions():
    assert not len(asked(samples_of(5, {"unit_id": "A", "hours": [1.0, 2, 3, 4, 5]})))


def test_the_future_and_the_post():
    samples = samples_of(
        4,
        {
            "taken_on": ["2031-05-01", "2031-05-03 10:00", "2031-05-09", None],
            "Received": ["2031-04-28", "2031-05-03", None, "2031-05-01"],
        },
    )
    table = date_questions(samples, date(2031, 5, 2))
    assert table[["row", "column", "text"]].values.tolist() == [
        [2, "Received", "2031-04-28"],
        [4, "taken_on", "2031-05-09"],
    ]


def backwards(hours, events=None, **more):
    n = len(hours)
    dates = [f"2031-{k + 1:02}-01" for k in range(n)]
    samples = samples_of(n, {"unit_id": "A", "taken_on": dates, "hours": hours} | more)
    return meter_questions(samples, number_fills(samples), events)["row"].tolist()


def test_meters_that_run_backwards():
    assert backwards([100, 200, 300, 400]) == []
    assert backwards([100, 200, 150, 400]) == [4]  # either would do: the later
    assert backwards([100, 2000, 300, 400]) == [3]  # a digit too many
    assert backwards([100, 200, 30, 400]) == [4]  # a digit too few
    assert backwards([100, 200, 20, 120]) == [4]


def test_a_logged_reset_explains_it():
    events = pd.DataFrame(
        {
            "unit_id": ["A"], "date": pd.to_datetime(["2031-02-15"]), "hours": [np.nan],
            "distance": [np.nan], "event": ["meter reset"],
        }
    )  # fmt: skip
    assert backwards([100, 200, 20, 120], events) == []


def test_another_unit_is_another_meter():
    assert backwards([500, 100, 600, 200], unit_id=["A", "B", "A", "B"]) == []
