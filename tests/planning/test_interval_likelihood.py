"""The log-likelihood against scipy's distributions, its derivatives against differences."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy import stats

from chemcheck.planning.interval_likelihood import interval_likelihood
from chemcheck.planning.observations import observe
from chemcheck.planning.standard_forms import FAMILIES

LOWER = np.array([0.0, 100.0, 250.0, 400.0, 700.0, 333.0, 90.0, 0.0])
UPPER = np.array([150.0, 300.0, 250.0, np.inf, 1000.0, 333.0, np.inf, 800.0])
WEIGHTS = np.array([1.0, 2.0, 1.0, 3.0, 0.5, 1.0, 1.0, 2.0])
KNOWN = {
    "weibull": lambda scale, shape: stats.weibull_min(shape, scale=scale),
    "lognormal": lambda scale, shape: stats.lognorm(shape, scale=scale),
}


def likelihood_at(family, lower, upper, weights, scale, shape):
    form = FAMILIES[family]
    likelihood = interval_likelihood(observe(lower, upper, weights), form)
    steepness = form.steepness(shape)
    shift = steepness * (np.log(scale) - likelihood.centre)
    return likelihood, shift, steepness * likelihood.spread


@pytest.mark.parametrize(("family", "shape"), [("weibull", 1.7), ("lognormal", 0.8)])
def test_value_is_density_or_probability(family, shape):
    known = KNOWN[family](420.0, shape)
    exact = LOWER == UPPER
    single = np.where(exact, known.logpdf(LOWER), np.nan)
    between = np.log(np.where(exact, 1.0, known.cdf(UPPER) - known.cdf(LOWER)))
    expected = WEIGHTS @ np.where(exact, single, between)
    likelihood, shift, steepness = likelihood_at(family, LOWER, UPPER, WEIGHTS, 420.0, shape)
    assert likelihood.at(shift, steepness).value == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_derivatives_are_differences(family):
    likelihood, _, _ = likelihood_at(family, LOWER, UPPER, WEIGHTS, 400.0, 1.0)
    at, h = np.array([0.3, 1.4]), 1e-5
    hill = likelihood.at(*at)
    for i in range(2):
        step = h * np.eye(2)[i]
        up, down = likelihood.at(*(at + step)), likelihood.at(*(at - step))
        assert hill.gradient[i] == pytest.approx((up.value - down.value) / (2 * h), rel=1e-6)
        assert_allclose(hill.hessian[i], (up.gradient - down.gradient) / (2 * h), rtol=1e-6)


@pytest.mark.parametrize(("family", "shape"), [("weibull", 2.0), ("lognormal", 0.5)])
@pytest.mark.parametrize("width", [3e-4, 3e-6, 3e-8])
def test_narrow_intervals_are_density_times_width(family, shape, width):
    # Wide and narrow treatment meet: both are log f(t) + log(width) to many digits.
    lower = np.array([300.0, 500.0, 800.0])
    upper = lower * (1.0 + width)
    known = KNOWN[family](500.0, shape)
    expected = np.sum(known.logpdf(lower * (1.0 + 0.5 * width)) + np.log(upper - lower))
    likelihood, shift, steepness = likelihood_at(family, lower, upper, np.ones(3), 500.0, shape)
    assert likelihood.at(shift, steepness).value == pytest.approx(expected, rel=1e-8)


def test_nothing_is_said_by_zero_to_infinity():
    form = FAMILIES["weibull"]
    one = interval_likelihood(observe([1.0, 2.0], [2.0, 4.0]), form)
    two = interval_likelihood(observe([1.0, 2.0, 0.0], [2.0, 4.0, np.inf]), form)
    assert one.at(0.1, 1.2).value == two.at(0.1, 1.2).value


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
@pytest.mark.parametrize("point", [(0.0, 1e4), (1e5, 1e-3), (-1e5, 1.0), (0.0, -1.0), (0.0, 0.0)])
def test_absurd_points_are_finite_or_nowhere(family, point):
    likelihood, _, _ = likelihood_at(family, LOWER, UPPER, WEIGHTS, 400.0, 1.0)
    hill = likelihood.at(*point)
    assert hill.value <= 0.0
    assert np.isfinite(hill.gradient).all()
