"""Interval readings against the exact likelihood of small fills by numerical integration."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import approx_fprime
from scipy.special import log_ndtr
from scipy.stats import multivariate_normal

from chemcheck.forecasting.fill_rows import order_rows
from chemcheck.forecasting.interval_sites import (
    Readings,
    _pack,
    _Search,
    first_sites,
    propagate,
)
from chemcheck.forecasting.restricted_likelihood import fill_sums, restricted_fit
from chemcheck.forecasting.variance_search import Variances

VARIANCES = Variances(0.3, 0.2, np.array([0.8, -0.2, 0.4]))


def small_fleet(walk):
    """Two fills of four; three readings are non-detects, one a strip's step."""
    axis = np.array([0.0, 0.5, 1.0, 1.6, 0.2, 0.7, 1.1, 1.5])
    rows, _ = order_rows(np.repeat([0, 1], 4), axis, np.empty((0, 8)), 0.0)
    value = np.array([1.2, 0.6, -0.4, -0.4, 0.9, 0.2, 0.3, -0.4])
    lower = np.array([-np.inf, -np.inf, -0.2, -np.inf])
    upper = np.array([-0.4, -0.4, 0.6, -0.4])
    readings = Readings(value, np.ones(8), lower, upper, np.array([2, 3, 5, 7]))
    variances = Variances(VARIANCES.noise, walk, VARIANCES.factor)
    return rows, readings, variances


def exact_likelihood(rows, readings, variances):
    """Density of the exact readings times the probability of the box, the line integrated out.

    The line's flat prior is a very wide normal, taken out again as its density at the mean.
    """
    x = rows.design.T
    n, exact = x.shape[0], np.setdiff1d(np.arange(x.shape[0]), readings.intervals)
    a, b, c = variances.factor
    z = x @ np.array([[a, 0.0], [b, c]])
    same = rows.fill[:, None] == rows.fill[None, :]
    v = variances.noise * np.eye(n) + same * (
        z @ z.T + variances.walk * np.minimum.outer(x[:, 1], x[:, 1])
    )
    wide = 1e4
    v = v + wide * x @ x.T
    boxed = readings.intervals
    v_ee, v_be, v_bb = v[np.ix_(exact, exact)], v[np.ix_(boxed, exact)], v[np.ix_(boxed, boxed)]
    density = multivariate_normal(np.zeros(exact.size), v_ee).logpdf(readings.value[exact])
    gain = v_be @ np.linalg.inv(v_ee)
    box = multivariate_normal(
        gain @ readings.value[exact], v_bb - gain @ v_be.T, abseps=1e-9, releps=1e-9, seed=1
    ).cdf(readings.upper, lower_limit=readings.lower)
    return density + np.log(box) + 0.5 * x.shape[1] * np.log(2 * np.pi * wide)


@pytest.mark.parametrize("walk", [0.0, 0.2])
def test_likelihood_is_close_to_numerical_integration(walk):
    rows, readings, variances = small_fleet(walk)
    found = propagate(rows, readings, variances, first_sites(readings, variances))
    assert found.settled
    expected = exact_likelihood(rows, readings, variances)
    assert_allclose(found.log_likelihood, expected, atol=0.01)


def test_true_values_are_close_to_numerical_integration():
    # One fill: integrate start and rate on a grid, exact readings and intervals as they are.
    axis = np.array([0.0, 0.6, 1.0, 1.5])
    rows, _ = order_rows(np.zeros(4, dtype=int), axis, np.empty((0, 4)), 0.0)
    readings = Readings(
        np.array([1.0, 0.4, 0.0, 0.0]),
        np.ones(4),
        np.full(2, -np.inf),
        np.zeros(2),
        np.array([2, 3]),
    )
    variances = Variances(0.2, 0.0, np.zeros(3))
    found = propagate(rows, readings, variances, first_sites(readings, variances))
    mean, variance = found.posterior.path()
    start, rate = np.meshgrid(np.linspace(-3, 5, 801), np.linspace(-8, 6, 801), indexing="ij")

    def line(x):
        return start + rate * x

    weight = -0.5 * ((1.0 - line(0.0)) ** 2 + (0.4 - line(0.6)) ** 2) / 0.2
    weight += log_ndtr(-line(1.0) / np.sqrt(0.2)) + log_ndtr(-line(1.5) / np.sqrt(0.2))
    weight = np.exp(weight - weight.max())
    weight /= weight.sum()
    for place, x in enumerate(axis):
        expected = (weight * line(x)).sum()
        spread = (weight * (line(x) - expected) ** 2).sum()
        assert_allclose(mean[place], expected, atol=0.02)
        assert_allclose(variance[place], spread, rtol=0.08)


def test_gradient_is_the_difference_quotient():
    rows, readings, variances = small_fleet(0.2)
    search = _Search(rows, readings, True, True, variances)
    packed = _pack(variances, walk=True)
    slope = search(packed)[1]
    assert_allclose(
        slope, approx_fprime(packed, lambda point: search(point)[0], 1e-5), rtol=1e-3, atol=1e-4
    )


def test_without_intervals_it_is_the_plain_likelihood():
    rows, readings, variances = small_fleet(0.2)
    empty = np.empty(0)
    exact = Readings(readings.value, readings.counted, empty, empty, np.empty(0, dtype=int))
    found = propagate(rows, exact, variances, first_sites(exact, variances))
    sums, _ = fill_sums(rows, exact.value, exact.counted / variances.noise, variances.walk)
    assert_allclose(
        found.log_likelihood,
        restricted_fit(sums, variances.factor, absolute=True).log_likelihood,
        rtol=1e-12,
    )


def test_a_very_narrow_interval_is_an_exact_reading():
    rows, readings, variances = small_fleet(0.2)
    width = 1e-6
    which = readings.intervals
    narrow = Readings(
        readings.value,
        readings.counted,
        readings.value[which] - width / 2,
        readings.value[which] + width / 2,
        which,
    )
    found = propagate(rows, narrow, variances, first_sites(narrow, variances))
    empty = np.empty(0)
    exact = Readings(readings.value, readings.counted, empty, empty, np.empty(0, dtype=int))
    plain = propagate(rows, exact, variances, first_sites(exact, variances))
    assert_allclose(
        found.log_likelihood, plain.log_likelihood + which.size * np.log(width), rtol=1e-6
    )
    assert_allclose(found.posterior.path()[0], plain.posterior.path()[0], atol=1e-6)
