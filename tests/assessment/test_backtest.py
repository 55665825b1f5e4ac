"""Forecasts of the past on fleets whose truth is known."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.backtest import backtest
from chemcheck.assessment.backtest_baselines import BASELINES, LAST_VALUE, OWN_LINE
from chemcheck.assessment.backtest_scores import COVERAGES, MODEL, Score, winning_sentence
from chemcheck.assessment.forecast import forecast
from chemcheck.intake.read import read_results


def write(folder, seed, n_units=30, n_samples=8, dates=True, step=None, per_day=10):
    """Write units that lose nitrite on straight lines of their own, with errors of 20 mg/L."""
    random = np.random.default_rng(seed)
    hours = 250.0 * np.arange(n_samples)
    rate = random.normal(-0.3, 0.05, n_units)
    start = random.normal(1900, 40, n_units)
    frame = pd.DataFrame(
        {
            "Unit ID": np.repeat([f"U{k:02d}" for k in range(n_units)], n_samples),
            "Hours": np.tile(hours, n_units),
        }
    )
    true = start[:, None] + rate[:, None] * hours
    if step is not None:
        true[:, n_samples // 2 + 1 :] += step
    frame["Nitrite NO2 (mg/L)"] = np.round(true + random.normal(0, 20, true.shape), 1).ravel()
    frame["Date Sampled"] = (
        (pd.Timestamp("2031-01-01") + pd.to_timedelta(frame["Hours"] / per_day, unit="D")).dt.date
        if dates
        else ""
    )
    frame["Technology"] = "heavy duty with supplemental additive"
    frame["Material"] = "coolant"
    path = folder / "fleet.csv"
    frame.to_csv(path, index_label="Sample No")
    return read_results([str(path)])


@pytest.fixture(scope="module")
def straight(tmp_path_factory):
    readings = write(tmp_path_factory.mktemp("straight"), seed=3)
    return backtest(forecast(readings))


def test_the_bands_hold_what_they_say_where_the_model_is_true(straight):
    coverage = straight.scores[MODEL].coverage
    n = len(straight.cases)
    assert n >= 60
    for share in COVERAGES:
        # Three standard deviations of a share of so many independent readings.
        assert abs(coverage[share] - share) < 3 * np.sqrt(share * (1 - share) / n) + 0.01


def test_the_model_beats_the_plain_ways_where_it_is_true(straight):
    scores = straight.scores
    assert set(scores) == {MODEL, *BASELINES}
    assert scores[MODEL].interval_score < scores[LAST_VALUE].interval_score
    assert scores[MODEL].interval_score < scores[OWN_LINE].interval_score
    assert abs(scores[MODEL].bias) < 0.2


def test_nothing_is_foreseen_from_itself_or_twice(straight):
    cases = straight.cases
    assert not cases.duplicated(["column", "unit_id", "age"]).any()
    # Ten hours a day from 2031-01-01.
    taken = pd.Timestamp("2031-01-01") + pd.to_timedelta(cases["age"] / 10, unit="D")
    assert (taken > cases["origin"]).all()


def test_it_is_said_where_the_model_does_not_win(tmp_path):
    # All units jump by the same dose after the first day foreseen from: no trend knows that.
    result = backtest(forecast(write(tmp_path, seed=5, step=900.0)))
    wins = min(result.scores, key=lambda way: result.scores[way].interval_score) == MODEL
    assert ("does not win" in result.sentence) != wins
    assert result.scores[MODEL].coverage[0.8] < 0.8


def test_without_dates_there_is_no_earlier_day(tmp_path):
    result = backtest(forecast(write(tmp_path, seed=6, dates=False)))
    assert result.scores == {}
    assert "No backtest" in result.sentence


def test_on_a_single_date_there_is_no_earlier_day(tmp_path):
    result = backtest(forecast(write(tmp_path, seed=7, per_day=1e9)))
    assert result.scores == {}
    assert result.origins == ()
    assert "No backtest" in result.sentence


@pytest.mark.parametrize(
    ("held", "says"),
    [
        (0.74, "Its 80 % band held 74 % of them, so that its bands are too narrow: take the dates"),
        (0.79, None),
        (0.88, "Its 80 % band held 88 % of them, so that its bands are too wide: more is known"),
    ],
)
def test_bands_of_a_wrong_width_are_said_to_be_so(held, says):
    """Of 1,000 readings one standard error of 80 % is 1.3 %: sqrt(0.8 * 0.2 / 1000)."""
    score = {way: Score({0.8: held}, 0.0, 0.1, 1.0) for way in (MODEL, *BASELINES)}
    said = winning_sentence(score, 1000)
    assert said.endswith(").") if says is None else says in said
