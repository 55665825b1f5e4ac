"""Interval readings against the exact likelihood of small fills by numerical integration."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.special import log_ndtr, logsumexp
from scipy.stats import multivariate_normal

from chemcheck.forecasting.fill_posterior import fill_posterior
from chemcheck.forecasting.fill_rows import order_rows
from chemcheck.forecasting.propagation import Readings, held_log_likelihood, propagate
from chemcheck.forecasting.variances import WILD_FACTOR, Variances, one_way

NOISE, FACTOR = 0.3, [0.8, -0.2, 0.4]


def small_fleet(walk):
    """Two fills of four; three readings are non-detects, one a strip's step."""
    axis = np.array([0.0, 0.5, 1.0, 1.6, 0.2, 0.7, 1.1, 1.5])
    rows, _ = order_rows(np.repeat([0, 1], 4), axis, np.empty((0, 8)), 0.0)
    value = np.array([1.2, 0.6, -0.4, -0.4, 0.9, 0.2, 0.3, -0.4])
    lower = np.array([-np.inf, -np.inf, -0.2, -np.inf])
    upper = np.array([-0.4, -0.4, 0.6, -0.4])
    readings = Readings(value, np.ones(8), lower, upper, np.array([2, 3, 5, 7]))
    return rows, readings, one_way(NOISE, walk, FACTOR)


def exact_likelihood(rows, readings, variances):
    """Density of the exact readings times the probability of the box, the line integrated out.

    The line's flat prior is a very wide normal, taken out again as its density at the mean.
    """
    x = rows.design.T
    n, exact = x.shape[0], np.setdiff1d(np.arange(x.shape[0]), readings.special)
    a, b, c = FACTOR
    z = x @ np.array([[a, 0.0], [b, c]])
    same = rows.fill[:, None] == rows.fill[None, :]
    v = NOISE * np.eye(n) + same * (
        z @ z.T + variances.walk[0] * np.minimum.outer(x[:, 1], x[:, 1])
    )
    wide = 1e4
    v = v + wide * x @ x.T
    boxed = readings.special
    v_ee, v_be, v_bb = v[np.ix_(exact, exact)], v[np.ix_(boxed, exact)], v[np.ix_(boxed, boxed)]
    density = multivariate_normal(np.zeros(exact.size), v_ee).logpdf(readings.value[exact])
    gain = v_be @ np.linalg.inv(v_ee)
    box = multivariate_normal.cdf(
        readings.upper,
        gain @ readings.value[exact],
        v_bb - gain @ v_be.T,
        abseps=1e-7,
        releps=1e-7,
        lower_limit=readings.lower,
    )
    return density + np.log(box) + 0.5 * x.shape[1] * np.log(2 * np.pi * wide)


@pytest.mark.parametrize("walk", [0.0, 0.2])
def test_likelihood_is_close_to_numerical_integration(walk):
    rows, readings, variances = small_fleet(walk)
    found = propagate(rows, readings, variances)
    assert found.settled
    expected = exact_likelihood(rows, readings, variances)
    assert_allclose(found.log_likelihood[0], expected, atol=0.01)


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
    variances = one_way(0.2, 0.0, np.zeros(3))
    found = propagate(rows, readings, variances)
    mean, variance = (part[0] for part in found.posterior.path(np.arange(4)))
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


@pytest.mark.parametrize("name", ["noise", "walk", "factor"])
def test_slope_with_pseudo_readings_held_is_the_slope_itself(name):
    rows, readings, variances = small_fleet(0.2)
    at = propagate(rows, readings, variances)
    ends = []
    for sign in (1.0, -1.0):
        near = replace(variances, **{name: getattr(variances, name) * np.exp(sign * 1e-4)})
        ends.append(
            (
                held_log_likelihood(rows, readings, at, near)[0],
                propagate(rows, readings, near, at.sites).log_likelihood[0],
            )
        )
    held, free = np.subtract(*ends) / 2e-4
    assert_allclose(held, free, rtol=1e-3, atol=1e-4)


def test_wild_readings_against_every_way_they_may_be_wild():
    # Twelve readings may each be wild or not: 4096 normal models, weighed exactly.
    random = np.random.default_rng(4)
    codes = np.repeat([0, 1], 6)
    axis = np.sort(random.uniform(0.0, 1.0, (2, 6)), axis=1).ravel()
    rows, _ = order_rows(codes, axis, np.empty((0, 12)), 0.0)
    value = np.array([0.7, -0.5])[codes] - axis + 0.3 * random.normal(size=12)
    value[[3, 8]] += [1.8, -2.0]
    wild = np.array(list(product([0.0, 1.0], repeat=12)))
    ways = len(wild)
    share, noise = 0.05, 0.09
    every = Variances(
        np.full(ways, noise),
        np.full(ways, 0.05),
        np.repeat([[0.7], [0.0], [0.2]], ways, axis=1),
        np.zeros(ways),
    )
    precision = 1.0 / (noise * (1.0 + wild * (WILD_FACTOR**2 - 1.0)))
    posterior, fit = fill_posterior(rows, np.repeat(value[None], ways, axis=0), precision, every)
    log_weight = fit.log_likelihood + np.log(np.where(wild > 0, share, 1.0 - share)).sum(axis=1)
    expected = logsumexp(log_weight)
    weight = np.exp(log_weight - expected)
    means, variances = posterior.path(np.arange(12))
    mean = weight @ means
    deviation = np.sqrt(weight @ (variances + (means - mean) ** 2))
    readings = Readings(value, np.ones(12), value, value, np.arange(12))
    found = propagate(rows, readings, one_way(noise, 0.05, [0.7, 0.0, 0.2], share))
    assert found.settled
    assert_allclose(found.log_likelihood[0], expected, atol=0.15)
    got, spread = (part[0] for part in found.posterior.path(np.arange(12)))
    assert np.max(np.abs(got - mean) / deviation) < 0.25
    assert_allclose(np.sqrt(spread), deviation, rtol=0.25)


def test_without_intervals_it_is_the_plain_likelihood():
    rows, readings, variances = small_fleet(0.2)
    empty = np.empty(0)
    exact = Readings(readings.value, readings.counted, empty, empty, np.empty(0, dtype=int))
    found = propagate(rows, exact, variances)
    _, fit = fill_posterior(rows, exact.value[None], exact.counted[None] / NOISE, variances)
    assert_allclose(found.log_likelihood, fit.log_likelihood, rtol=1e-12)


def test_a_very_narrow_interval_is_an_exact_reading():
    rows, readings, variances = small_fleet(0.2)
    width = 1e-6
    which = readings.special
    near = readings.value[which]
    narrow = replace(readings, lower=near - width / 2, upper=near + width / 2)
    found = propagate(rows, narrow, variances)
    empty = np.empty(0)
    exact = Readings(readings.value, readings.counted, empty, empty, np.empty(0, dtype=int))
    plain = propagate(rows, exact, variances)
    assert_allclose(
        found.log_likelihood, plain.log_likelihood + which.size * np.log(width), rtol=1e-6
    )
    places = np.arange(8)
    assert_allclose(found.posterior.path(places)[0], plain.posterior.path(places)[0], atol=1e-6)


def test_readings_keep_their_intervals_when_some_are_chosen():
    _, readings, _ = small_fleet(0.0)
    some = readings.select(np.array([4, 5, 6, 7]))
    assert some.special.tolist() == [1, 3]
    assert some.lower.tolist() == [-0.2, -np.inf]
    every = readings.all_special()
    assert every.special.tolist() == list(range(8))
    assert every.lower[0] == every.upper[0] == readings.value[0]
    assert every.upper[2] == -0.4
