"""The first of several crossings, and the dates that follow."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtr, ndtri

from chemcheck.assessment.crossing_dates import (
    dates_of,
    earliest,
    first_of_all,
    next_sample,
    probability_by,
)

PROBABILITIES = np.array([0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.99])
DAY = np.array(["2031-01-01"], "datetime64[D]")


def normal_quantiles(mean, deviation):
    return mean + deviation * ndtri(PROBABILITIES)


def test_one_bound_keeps_its_own_quantiles():
    quantiles = normal_quantiles(1000.0, 100.0)[None]
    first = first_of_all(
        np.array([0]), np.zeros(1), np.zeros(1), quantiles, PROBABILITIES, np.array([0.1, 0.5, 0.9])
    )
    assert first[0] == pytest.approx(quantiles[0, [3, 7, 11]], abs=0.01)


def test_the_first_of_two_normal_crossings():
    """Of two independent crossings the chance by t is 1 - (1 - F1)(1 - F2): arithmetic."""
    quantiles = np.stack([normal_quantiles(1000.0, 100.0), normal_quantiles(1050.0, 80.0)])
    wanted = np.array([0.1, 0.5, 0.9])
    first = first_of_all(
        np.array([0, 0]), np.zeros(2), np.zeros(2), quantiles, PROBABILITIES, wanted
    )[0]
    by_first, by_second = ndtr((first - 1000) / 100), ndtr((first - 1050) / 80)
    # The quantiles are joined by straight lines.
    assert 1 - (1 - by_first) * (1 - by_second) == pytest.approx(wanted, abs=0.01)


def test_what_lies_beyond_the_horizon_is_never_reached():
    quantiles = normal_quantiles(1000.0, 100.0)[None].copy()
    quantiles[0, 7:] = np.inf
    first = first_of_all(
        np.array([0]), np.zeros(1), np.zeros(1), quantiles, PROBABILITIES, np.array([0.1, 0.5])
    )
    assert np.isfinite(first[0, 0])
    assert np.isinf(first[0, 1])


@given(
    st.integers(1, 4),
    st.integers(1, 4),
    st.integers(0, 2**32 - 1),
)
def test_another_bound_never_makes_the_first_crossing_later(n_units, n_bounds, seed):
    rng = np.random.default_rng(seed)
    unit = np.repeat(np.arange(n_units), n_bounds)
    quantiles = np.sort(rng.uniform(0, 1000, (len(unit), len(PROBABILITIES))), axis=1)
    zero = np.zeros(len(unit))
    wanted = np.array([0.1, 0.5, 0.9])
    every = first_of_all(unit, zero, zero, quantiles, PROBABILITIES, wanted)
    own = np.arange(0, len(unit), n_bounds)
    alone = first_of_all(
        np.arange(n_units), zero[own], zero[own], quantiles[own], PROBABILITIES, wanted
    )
    assert (every <= alone + 1e-3).all()
    assert (np.diff(every, axis=1) >= -1e-9).all()


@given(st.integers(0, 2**32 - 1))
def test_the_probability_never_falls_along_the_axis(seed):
    rng = np.random.default_rng(seed)
    quantiles = np.sort(rng.uniform(0, 1000, (1, len(PROBABILITIES))), axis=1)
    axis = np.sort(rng.uniform(-100, 1500, 200))
    chance = probability_by(
        axis, np.zeros(200), np.zeros(200), np.repeat(quantiles, 200, axis=0), PROBABILITIES
    )
    assert (np.diff(chance) >= -1e-12).all()
    assert chance.min() >= 0
    assert chance.max() <= 0.99


def test_a_date_is_never_later_than_the_forecast():
    dates = dates_of(np.array([309.0]), np.array([300.0]), DAY, np.array([5.0]), 3650)
    assert dates.tolist() == [pd.Timestamp("2031-01-02").date()]


@pytest.mark.parametrize(
    ("axis", "rate"), [(np.inf, 5.0), (np.nan, 5.0), (350.0, np.nan), (350.0, 0.0), (9e9, 5.0)]
)
def test_no_date_without_a_crossing_a_rate_or_a_horizon(axis, rate):
    assert np.isnat(dates_of(np.array([axis]), np.array([300.0]), DAY, np.array([rate]), 3650))


def test_the_next_sample_leaves_time_to_act():
    assert next_sample(DAY, DAY + 114, 14, 2, 365).tolist() == [pd.Timestamp("2031-02-20").date()]


def test_an_overdue_unit_is_sampled_at_once_and_a_quiet_one_within_the_longest_gap():
    nothing = np.array(["NaT"], "datetime64[D]")
    assert next_sample(DAY, DAY - 10, 14, 2, 365).tolist() == DAY.tolist()
    assert next_sample(DAY, nothing, 14, 2, 365).tolist() == (DAY + 365).tolist()
    assert np.isnat(next_sample(nothing, nothing, 14, 2, 365))


def test_the_limiting_bound_has_the_earliest_median_then_the_earliest_tenth():
    unit = np.array([0, 0, 1, 1, 2])
    quantiles = pd.DataFrame(
        {
            "p10": [10.0, 20.0, 90.0, 30.0, np.inf],
            "p50": [60.0, 40.0, np.inf, np.inf, np.inf],
        }
    )
    assert earliest(unit, quantiles).tolist() == [1, 3, -1]
