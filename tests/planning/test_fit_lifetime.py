"""Fits against closed forms, known truth, and what must always hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import minimize

from chemcheck.errors import NotEnoughDataError
from chemcheck.planning import fit_lifetime
from tests.planning.strategies import FAMILY, lifetimes

INF = np.inf


def test_exponential_with_right_censoring_is_exposure_over_failures():
    # Maximum of r log(1/m) - A/m: m = A / r; its curvature gives a log standard error 1/sqrt(r).
    ends = np.array([120.0, 300.0, 410.0, 700.0])
    going = np.array([500.0, 900.0])
    life = fit_lifetime(np.append(ends, going), np.append(ends, [INF, INF]), family="exponential")
    assert life.scale == pytest.approx((ends.sum() + going.sum()) / 4)
    assert life.shape == 1.0
    assert life.log_likelihood == pytest.approx(-4 * np.log(life.scale) - 4)
    assert np.sqrt(life.covariance[0, 0]) == pytest.approx(0.5)
    assert (life.failures, life.censored) == (4.0, 2.0)


def test_exponential_seen_at_one_age():
    # 6 of 10 ended by 500: F(500) = 0.6 is fitted exactly.
    life = fit_lifetime([0.0] * 6 + [500.0] * 4, [500.0] * 6 + [INF] * 4, family="exponential")
    assert life.scale == pytest.approx(-500 / np.log(0.4))
    assert life.log_likelihood == pytest.approx(6 * np.log(0.6) + 4 * np.log(0.4))


def two_points(family, first, second, at_first, at_second):
    """Scale and shape of the distribution through two points, by hand."""
    if family == "weibull":
        score = np.log(-np.log(1 - np.array([first, second])))
    else:
        # Normal scores of 0.2, 0.7 and 0.3, from tables.
        tabled = {0.2: -0.8416212, 0.7: 0.5244005, 0.3: -0.5244005}
        score = np.array([tabled[first], tabled[second]])
    steepness = (score[1] - score[0]) / np.log(at_second / at_first)
    scale = at_first * np.exp(-score[0] / steepness)
    return scale, steepness if family == "weibull" else 1 / steepness


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_two_ages_looked_at_are_fitted_exactly(family):
    # 2 of 10 ended by 400, 7 of 10 others by 900: two parameters fit both shares exactly.
    lower = [0.0] * 2 + [400.0] * 8 + [0.0] * 7 + [900.0] * 3
    upper = [400.0] * 2 + [INF] * 8 + [900.0] * 7 + [INF] * 3
    life = fit_lifetime(lower, upper, family=family)
    scale, shape = two_points(family, 0.2, 0.7, 400.0, 900.0)
    assert life.scale == pytest.approx(scale, rel=1e-6)
    assert life.shape == pytest.approx(shape, rel=1e-6)


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_three_classes_are_fitted_exactly(family):
    # 3 of 10 between 0 and 250, 4 between 250 and 1000, 3 later: F(250) = 0.3, F(1000) = 0.7.
    lower = [0.0] * 3 + [250.0] * 4 + [1000.0] * 3
    upper = [250.0] * 3 + [1000.0] * 4 + [INF] * 3
    life = fit_lifetime(lower, upper, family=family)
    scale, shape = two_points(family, 0.3, 0.7, 250.0, 1000.0)
    assert life.scale == pytest.approx(scale, rel=1e-6)
    assert life.shape == pytest.approx(shape, rel=1e-6)
    expected = 3 * np.log(0.3) + 4 * np.log(0.4) + 3 * np.log(0.3)
    assert life.log_likelihood == pytest.approx(expected)


def test_exact_lognormal_is_mean_and_deviation_of_the_logarithm():
    times = np.array([80.0, 130.0, 200.0, 450.0, 700.0])
    life = fit_lifetime(times, times, family="lognormal")
    assert life.scale == pytest.approx(np.exp(np.log(times).mean()))
    assert life.shape == pytest.approx(np.log(times).std())
    # Information of a normal sample: variances s^2 / n and 1 / (2 n).
    expected = np.diag([life.shape**2 / 5, 1 / 10])
    assert_allclose(life.covariance, expected, atol=1e-9)


@pytest.mark.parametrize(
    ("family", "shape"), [("weibull", 0.8), ("weibull", 2.5), ("weibull", 12.0), ("lognormal", 0.5)]
)
def test_known_parameters_are_recovered(family, shape):
    rng = np.random.default_rng(11)
    n, scale = 40_000, 6000.0
    draw = rng.weibull(shape, n) if family == "weibull" else rng.lognormal(0.0, shape, n)
    times = scale * draw
    first = rng.uniform(0.0, 500.0, n)
    before = first + 500.0 * np.floor((times - first) / 500.0)
    last = first + 500.0 * rng.integers(5, 24, n)
    seen = before + 500.0 <= last
    lower = np.maximum(np.where(seen, before, last), 0.0)
    life = fit_lifetime(lower, np.where(seen, before + 500.0, INF), family=family)
    # Within four standard errors, and those are small.
    errors = np.sqrt(np.diag(life.covariance))
    assert (errors < 0.02).all()
    assert abs(np.log(life.scale / scale)) < 4 * errors[0]
    assert abs(np.log(life.shape / shape)) < 4 * errors[1]


def test_the_summit_is_that_of_a_general_optimiser():
    rng = np.random.default_rng(3)
    lower = rng.uniform(100.0, 900.0, 60)
    upper = lower * rng.uniform(1.1, 2.0, 60)

    def minus(logs):
        scale, shape = np.exp(logs)
        return -np.sum(
            np.log(np.exp(-((lower / scale) ** shape)) - np.exp(-((upper / scale) ** shape)))
        )

    best = minimize(minus, np.log([500.0, 2.0]), method="Nelder-Mead", options={"xatol": 1e-9})
    life = fit_lifetime(lower, upper)
    assert [life.scale, life.shape] == pytest.approx(np.exp(best.x), rel=1e-5)
    assert life.log_likelihood == pytest.approx(-best.fun, abs=1e-9)


def test_a_lower_end_next_to_nothing_is_left_censored():
    one = fit_lifetime([0.0, 200.0, 300.0, 500.0], [100.0, 250.0, 350.0, INF])
    other = fit_lifetime([1e-300, 200.0, 300.0, 500.0], [100.0, 250.0, 350.0, INF])
    assert [other.scale, other.shape] == pytest.approx([one.scale, one.shape], rel=1e-6)


@pytest.mark.parametrize(
    ("lower", "upper", "family", "message"),
    [
        ([100, 200, 300], [INF] * 3, "weibull", "0 ends seen among 3 lifetimes: expected at least"),
        ([100, 200, 300], [150, 250, INF], "exponential", "2 ends seen among 3 lifetimes"),
        ([], [], "weibull", "0 ends seen among 0"),
        ([0, 0, 0], [150, 250, 300], "weibull", "every lifetime ended before the first look"),
        ([0, 0, 0], [150, 250, 300], "exponential", "every lifetime ended before the first look"),
        ([100, 120, 90], [200, 180, 300], "weibull", "together, between 120 and 180"),
        ([70, 70, 70], [70, 70, 70], "lognormal", "together, between 70 and 70"),
        ([100, 70, 70, 70], [INF, 70, 70, 70], "lognormal", None),
        (
            [0, 0, 0, 500, 500],
            [100, 100, 100, INF, INF],
            "weibull",
            "no later than others survived",
        ),
        ([0, 0, 0, 500, 500], [100, 100, 100, INF, INF], "lognormal", "no later than others"),
    ],
)
def test_what_the_intervals_leave_open_is_said(lower, upper, family, message):
    if message is None:
        assert fit_lifetime(lower, upper, family=family).scale > 70.0
        return
    with pytest.raises(NotEnoughDataError, match=message):
        fit_lifetime(lower, upper, family=family)


@given(lifetimes(), FAMILY, st.data())
@settings(max_examples=40, deadline=None)
def test_weights_are_repetition(observed, family, data):
    lower, upper = observed
    times = data.draw(st.lists(st.integers(1, 4), min_size=lower.size, max_size=lower.size))
    weighted = fit_lifetime(lower, upper, times, family)
    repeated = fit_lifetime(np.repeat(lower, times), np.repeat(upper, times), family=family)
    assert weighted.scale == pytest.approx(repeated.scale, rel=1e-6)
    assert weighted.shape == pytest.approx(repeated.shape, rel=1e-6)
    assert weighted.log_likelihood == pytest.approx(repeated.log_likelihood)
    assert_allclose(weighted.covariance, repeated.covariance, rtol=1e-5)


@given(lifetimes(), FAMILY, st.floats(-12.0, 12.0))
@settings(max_examples=40, deadline=None)
def test_another_unit_of_time_scales_the_scale(observed, family, power):
    lower, upper = observed
    factor = 10.0**power
    one = fit_lifetime(lower, upper, family=family)
    other = fit_lifetime(lower * factor, upper * factor, family=family)
    assert other.scale == pytest.approx(factor * one.scale, rel=1e-6)
    assert other.shape == pytest.approx(one.shape, rel=1e-6)


@given(lifetimes(), FAMILY)
@settings(max_examples=25, deadline=None)
def test_the_fit_is_a_summit(observed, family):
    lower, upper = observed
    life = fit_lifetime(lower, upper, family=family)
    summit, likelihood = life._summit, life._likelihood
    free = slice(0, 2) if life.form.shape_is_free else slice(0, 1)
    for step in 1e-3 * np.vstack([np.eye(2)[free], -np.eye(2)[free]]):
        beside = likelihood.at(summit.shift + step[0], summit.steepness + step[1])
        assert beside.value <= life.log_likelihood + 1e-9
