"""Confidence limits against closed forms, brute force, and how often they hold the truth."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar
from scipy.stats import chi2

from chemcheck.planning import fit_lifetime
from tests.planning.strategies import FAMILY, lifetimes

INF = np.inf


def exponential_limits(failures, estimate, level=0.95):
    """Means whose likelihood ratio 2 r (e/m - 1 - log(e/m)) is the chi-squared quantile."""
    allowed = chi2.ppf(level, 1)

    def excess(mean):
        ratio = estimate / mean
        return 2 * failures * (ratio - 1 - np.log(ratio)) - allowed

    return brentq(excess, 1e-3 * estimate, estimate), brentq(excess, estimate, 1e3 * estimate)


@pytest.mark.parametrize("level", [0.8, 0.95])
def test_exponential_limits_are_the_closed_form(level):
    ends = np.array([120.0, 300.0, 410.0, 700.0, 800.0])
    life = fit_lifetime(np.append(ends, 950.0), np.append(ends, INF), family="exponential")
    expected = exponential_limits(5, life.scale, level)
    assert life.scale_limits(level) == pytest.approx(expected, rel=1e-6)
    # A quantile is the mean times -log(1 - p), and so are its limits.
    scaled = tuple(-np.log(0.9) * np.array(expected))
    assert life.quantile_limits(0.1, level) == pytest.approx(scaled, rel=1e-6)
    survival = np.exp(-500.0 / np.array(expected))
    assert life.survival_limits(500.0, level) == pytest.approx(tuple(survival), rel=1e-6)
    assert life.shape_limits(level) == (1.0, 1.0)


BRUTE_LOWER = np.array([50.0, 200.0, 240.0, 300.0, 410.0, 500.0, 0.0, 600.0])
BRUTE_UPPER = np.array([100.0, 260.0, 240.0, INF, 430.0, 900.0, 350.0, INF])


def log_likelihood(scale, shape):
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        cumulative_low, cumulative_high = (
            (BRUTE_LOWER / scale) ** shape,
            (BRUTE_UPPER / scale) ** shape,
        )
        between = np.log(np.exp(-cumulative_low) - np.exp(-cumulative_high))
        density = np.log(shape / scale) + (shape - 1) * np.log(BRUTE_LOWER / scale) - cumulative_low
    return np.sum(np.where(BRUTE_LOWER == BRUTE_UPPER, density, between))


def brute_limits(profile, low, middle, high):
    allowed = profile(middle) - 0.5 * chi2.ppf(0.95, 1)
    return (
        np.exp(brentq(lambda at: profile(at) - allowed, low, middle)),
        np.exp(brentq(lambda at: profile(at) - allowed, middle, high)),
    )


def greatest(function, low, high):
    grid = np.linspace(low, high, 201)
    place = int(np.argmax([function(at) for at in grid]))
    around = grid[max(place - 1, 0)], grid[min(place + 1, 200)]
    return -minimize_scalar(
        lambda at: -function(at), bounds=around, method="bounded", options={"xatol": 1e-10}
    ).fun


def test_shape_limits_are_those_of_brute_force():
    life = fit_lifetime(BRUTE_LOWER, BRUTE_UPPER)

    def profile(log_shape):
        return greatest(
            lambda log_scale: log_likelihood(np.exp(log_scale), np.exp(log_shape)), 3, 9
        )

    expected = brute_limits(profile, np.log(0.3), np.log(life.shape), np.log(9.0))
    assert life.shape_limits() == pytest.approx(expected, rel=1e-5)


def test_quantile_limits_are_those_of_brute_force():
    life = fit_lifetime(BRUTE_LOWER, BRUTE_UPPER)

    def profile(log_quantile):
        def of_shape(log_shape):
            shape = np.exp(log_shape)
            scale = np.exp(log_quantile) / (-np.log(0.8)) ** (1 / shape)
            return log_likelihood(scale, shape)

        return greatest(of_shape, -1.5, 2.5)

    middle = np.log(life.quantile(0.2))
    expected = brute_limits(profile, middle - 3.0, middle, middle + 1.5)
    assert life.quantile_limits(0.2) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_survival_and_quantile_limits_are_two_sides_of_one(family):
    # t is the lower limit of the p-quantile where 1 - p is the lower limit of survival at t.
    life = fit_lifetime(BRUTE_LOWER, BRUTE_UPPER, family=family)
    low, high = life.quantile_limits(0.25)
    assert life.survival_limits(low)[0] == pytest.approx(0.75, abs=1e-6)
    assert life.survival_limits(high)[1] == pytest.approx(0.75, abs=1e-6)


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_other_lifetimes_at_the_shape_limits(family):
    life = fit_lifetime(BRUTE_LOWER, BRUTE_UPPER, family=family)
    least, most = life.at_shape_limits()
    assert least.steepness < life.steepness < most.steepness
    low, high = life.shape_limits()
    assert {least.shape, most.shape} == {low, high}
    assert 100.0 < least.scale < 2000.0


def test_higher_confidence_is_wider():
    life = fit_lifetime(BRUTE_LOWER, BRUTE_UPPER)
    for limits in (life.scale_limits, life.shape_limits, lambda c: life.quantile_limits(0.1, c)):
        low, high = limits(0.5)
        lower, higher = limits(0.99)
        assert lower < low < high < higher


def test_no_limit_where_the_data_set_none():
    # Looked at once, at two ages, a share apart that chance could explain: any shape below is
    # possible, and so is any early quantile.
    lower = [0.0] * 3 + [400.0] * 7 + [0.0] * 4 + [500.0] * 6
    upper = [400.0] * 3 + [INF] * 7 + [500.0] * 4 + [INF] * 6
    life = fit_lifetime(lower, upper)
    low, high = life.shape_limits()
    assert low == 0.0
    assert np.isfinite(high)
    assert life.quantile_limits(1e-3)[0] == 0.0
    assert life.quantile_limits(0.999)[1] == np.inf
    normal = fit_lifetime(lower, upper, family="lognormal").shape_limits()
    assert normal[1] == np.inf


def test_impossible_confidence_is_refused():
    life = fit_lifetime(BRUTE_LOWER, BRUTE_UPPER)
    with pytest.raises(ValueError, match="confidence: 1: expected a probability"):
        life.shape_limits(1.0)


@given(lifetimes(), FAMILY, st.floats(1e-4, 0.9999), st.floats(0.01, 0.999))
@settings(max_examples=60, deadline=None)
def test_limits_hold_the_estimate(observed, family, p, confidence):
    life = fit_lifetime(*observed, family=family)
    for limits, estimate in (
        (life.shape_limits(confidence), life.shape),
        (life.scale_limits(confidence), life.scale),
        (life.quantile_limits(p, confidence), life.quantile(p)),
        (life.survival_limits(life.scale, confidence), life.survival(life.scale)),
    ):
        assert limits[0] <= estimate * (1 + 1e-9)
        assert estimate * (1 - 1e-9) <= limits[1]


@pytest.mark.parametrize(("family", "shape"), [("weibull", 2.0), ("lognormal", 0.6)])
def test_limits_hold_the_truth_as_often_as_they_say(family, shape):
    rng = np.random.default_rng(5)
    trials, n = 150, 40
    truth = {"weibull": 1000.0 * np.log(2.0) ** 0.5, "lognormal": 1000.0}[family]
    held = np.zeros((trials, 2))
    for trial in range(trials):
        draw = rng.weibull(shape, n) if family == "weibull" else rng.lognormal(0.0, shape, n)
        before = 150.0 * np.floor(1000.0 * draw / 150.0)
        seen = before < 1500.0
        life = fit_lifetime(
            np.where(seen, before, 1500.0), np.where(seen, before + 150.0, INF), family=family
        )
        limits = life.quantile_limits(0.5), life.shape_limits()
        held[trial] = [
            low <= at <= high for (low, high), at in zip(limits, (truth, shape), strict=True)
        ]
    # 95 %, give or take three standard errors of 150 trials and a little for small samples.
    assert (np.abs(held.mean(axis=0) - 0.95) < 0.055).all()
