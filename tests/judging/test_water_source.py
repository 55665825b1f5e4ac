"""The next sample of a water source, by simulation and by published order statistics."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.judging.water_source import (
    next_at_most,
    range_factors,
    source_outlook,
    worst_month,
)
from tests.readings.build import readings_of

DISTRIBUTIONS = {
    "normal": lambda random, size: 100 + 10 * random.standard_normal(size),
    "log-normal": lambda random, size: 50 * np.exp(0.5 * random.standard_normal(size)),
    "skewed": lambda random, size: random.gamma(1.5, 20, size),
}


@pytest.mark.parametrize("shape", DISTRIBUTIONS)
@pytest.mark.parametrize(("n", "rank"), [(10, 10), (14, 14), (19, 18), (29, 27)])
def test_order_statistics_hold_nine_of_ten_for_any_shape(n, rank, shape):
    # Of n + 1 samples from one distribution the next has any rank with the same chance, so
    # it is at most the r-th of n with chance r / (n + 1): the non-parametric prediction limit
    # of US EPA's 2009 Unified Guidance (memory).
    random = np.random.default_rng(n)
    samples = DISTRIBUTIONS[shape](random, (3000, n + 1))
    held = [row[-1] <= next_at_most(row[:-1])[0] for row in samples]
    assert next_at_most(np.arange(1.0, n + 1))[0] == rank
    assert np.mean(held) == pytest.approx(rank / (n + 1), abs=4 * np.sqrt(0.09 / 3000))
    assert rank / (n + 1) >= 0.9


@pytest.mark.parametrize("n", range(2, 10))
def test_the_range_factors_hold_nine_of_ten_of_a_normal_distribution(n):
    random = np.random.default_rng(100 + n)
    samples = random.standard_normal((200_000, n + 1))
    most, least = samples[:, :-1].max(axis=1), samples[:, :-1].min(axis=1)
    held = samples[:, -1] <= most + range_factors()[n] * (most - least)
    assert held.mean() == pytest.approx(0.9, abs=0.004)


def test_amounts_are_ranged_on_their_logarithm():
    random = np.random.default_rng(6)
    samples = DISTRIBUTIONS["log-normal"](random, (4000, 6))
    held = [row[-1] <= next_at_most(row[:-1])[0] for row in samples]
    assert np.mean(held) == pytest.approx(0.9, abs=0.02)


def test_a_single_sample_says_nothing():
    bound, how = next_at_most([40.0])
    assert np.isnan(bound)
    assert how == "a single sample says nothing of the next"


def test_a_sample_of_nothing_rules_the_logarithm_out():
    assert next_at_most([0.0, 2.0, 1.0]) == (3.3, "greatest of 3, and 0.65 times the range")


def test_an_open_end_stays_open():
    assert next_at_most([3.0, np.inf])[0] == np.inf


def tap(values, dates, **more):
    samples = {"unit_id": ["tap"] * len(values), "material": "water", "taken_on": dates} | more
    return readings_of(samples, ["chloride"], np.array(values, float)[:, None])


QUARTERS = ["2031-01-10", "2031-04-10", "2031-07-10", "2031-10-10"]


def test_worst_month_and_next_date():
    readings = tap([20, 31, 55, 24], QUARTERS)
    [row] = source_outlook(readings).to_dict("records")
    assert (row["source"], row["samples"], row["worst_month"]) == ("tap", 4, 7)
    assert row["test_again"] == pd.Timestamp("2032-01-10")  # three months on: fewer than ten
    [row] = source_outlook(readings, {"chloride": 40.0}).to_dict("records")
    assert row["test_again"] == pd.Timestamp("2031-11-10")  # may be beyond 40


def test_never_past_the_worst_month():
    dates = pd.date_range("2031-01-10", periods=24, freq="MS") + pd.Timedelta(days=9)
    values = [30 + 10 * (d.month == 3) for d in dates]
    [row] = source_outlook(tap(values, dates)).to_dict("records")
    assert (row["worst_month"], row["test_again"]) == (3, pd.Timestamp("2033-03-01"))


def test_too_few_months_are_no_season():
    dates = pd.Series(pd.to_datetime(["2031-01-10", "2032-01-11", "2031-04-10", "2031-07-10"]))
    assert worst_month(dates, [1, 2, 3, 4]) is None
    assert worst_month(dates.iloc[:0], []) is None


def test_blanks_coolants_and_single_samples_are_left_out():
    readings = tap(
        [20, 31, 55, 24], QUARTERS, sample_type=["routine", "blank", "routine", "routine"]
    )
    assert source_outlook(readings)["samples"].tolist() == [3]
    assert not len(source_outlook(tap([20, 31, 55, 24], QUARTERS, material="coolant")))
    assert not len(source_outlook(tap([20], QUARTERS[:1])))


def test_undated_samples_have_a_bound_and_no_date():
    [row] = source_outlook(tap([20, 31], [None, None])).to_dict("records")
    assert row["next_at_most"] > 31
    assert pd.isna(row["test_again"])
    assert pd.isna(row["worst_month"])
