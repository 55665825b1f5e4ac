"""The restricted likelihood against its textbook form with dense matrices (Lindstrom and Bates)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import approx_fprime
from scipy.stats import multivariate_normal

from chemcheck.forecasting.fill_rows import order_rows
from chemcheck.forecasting.restricted_likelihood import (
    fill_sums,
    restricted_fit,
    spread_slopes,
)
from chemcheck.forecasting.variances import lower_of_root, root_of_lower

NOISE, WALK, FACTOR = 0.4, 0.3, np.array([0.9, -0.3, 0.5])


@pytest.fixture
def fleet():
    random = np.random.default_rng(11)
    codes = np.repeat([0, 1, 2], [5, 1, 4])
    axis = random.uniform(0.0, 2.0, codes.size)
    rows, _ = order_rows(codes, axis, random.normal(size=(1, codes.size)), 0.0)
    return rows, random.normal(size=codes.size)


def dense_restricted(rows, readings, walk):
    """Restricted log-likelihood, fixed part and its covariance, from the whole matrix V."""
    x, n = rows.design.T, readings.size
    same = rows.fill[:, None] == rows.fill[None, :]
    a, b, c = FACTOR
    lower = np.array([[a, 0.0], [b, c]])
    z = x[:, :2] @ lower
    v = NOISE * np.eye(n) + same * (z @ z.T + walk * np.minimum.outer(x[:, 1], x[:, 1]))
    information = x.T @ np.linalg.solve(v, x)
    coefficients = np.linalg.solve(information, x.T @ np.linalg.solve(v, readings))
    value = multivariate_normal(x @ coefficients, v).logpdf(readings)
    value += 0.5 * x.shape[1] * np.log(2 * np.pi) - 0.5 * np.linalg.slogdet(information)[1]
    return value, coefficients, np.linalg.inv(information)


def evaluate(rows, readings, *, noise=NOISE, walk=WALK, factor=FACTOR, absolute=True):
    sums, _ = fill_sums(
        rows, readings[None], np.full((1, readings.size), 1 / noise), np.array([walk])
    )
    return restricted_fit(sums, factor[:, None], absolute=absolute)[0]


@pytest.mark.parametrize("walk", [0.0, WALK])
def test_absolute_variances_give_the_dense_value(fleet, walk):
    rows, readings = fleet
    fit = evaluate(rows, readings, walk=walk)
    value, coefficients, covariance = dense_restricted(rows, readings, walk)
    assert_allclose(fit.log_likelihood[0], value, rtol=1e-10)
    assert_allclose(fit.coefficients[0], coefficients, rtol=1e-9)
    assert_allclose(fit.covariance[0], covariance, rtol=1e-9)


def test_estimated_scale_is_the_best_scale(fleet):
    rows, readings = fleet

    def value(scale):
        factor = FACTOR * np.sqrt(scale)
        fit = evaluate(rows, readings, noise=scale, walk=WALK * scale, factor=factor)
        return fit.log_likelihood[0]

    fit = evaluate(rows, readings, noise=1.0, absolute=False)
    scale = fit.scale[0]
    assert_allclose(fit.log_likelihood[0], value(scale), rtol=1e-10)
    assert value(scale) > max(value(0.99 * scale), value(1.01 * scale))


@pytest.mark.parametrize("root", [[0.9, -0.3, 0.5], [0.0, 0.0, 0.7], [0.6, 0.0, 0.0]])
def test_slopes_are_difference_quotients(fleet, root):
    rows, readings = fleet
    sums, _ = fill_sums(rows, readings[None], np.ones((1, readings.size)), np.array([WALK]))
    turn, unit = np.array([2.0, 3.0, 4.5]), np.array([np.sqrt(2.0), np.sqrt(4.5), np.sqrt(4.5)])

    def fitted(root):
        return restricted_fit(sums, (unit * lower_of_root(root))[:, None])

    def value(root):
        return fitted(root)[0].log_likelihood[0]

    root = np.array(root)
    fit, shrunk, _ = fitted(root)
    slope, bend = spread_slopes(sums, root[:, None], turn[:, None], fit, shrunk)
    assert_allclose(slope[0], approx_fprime(root, value, 1e-7), rtol=1e-3, atol=1e-5)
    assert_allclose(bend[0], bend[0].T)


def test_a_repeated_column_changes_nothing_but_its_own_coefficient(fleet):
    rows, readings = fleet
    twice, _ = order_rows(
        rows.fill, rows.design[1], np.vstack((rows.design[2], 2.0 * rows.design[2])), 0.0
    )
    fits = [evaluate(places, readings, absolute=False) for places in (rows, twice)]
    assert_allclose(fits[0].coefficients[0, :2], fits[1].coefficients[0, :2], rtol=1e-7)
    assert_allclose(fits[0].scale, fits[1].scale, rtol=1e-7)


def test_several_ways_at_once_are_each_way_alone(fleet):
    rows, readings = fleet
    noise, walk = np.array([0.4, 1.1]), np.array([0.3, 0.05])
    factor = np.column_stack((FACTOR, [0.2, 0.1, 0.9]))
    sums, _ = fill_sums(
        rows, np.vstack((readings, readings)), np.repeat(1 / noise[:, None], 10, axis=1), walk
    )
    both, _, _ = restricted_fit(sums, factor, absolute=True)
    for way in range(2):
        alone = evaluate(rows, readings, noise=noise[way], walk=walk[way], factor=factor[:, way])
        assert_allclose(both.log_likelihood[way], alone.log_likelihood[0], rtol=1e-12)
        assert_allclose(both.coefficients[way], alone.coefficients[0], rtol=1e-12)


@given(st.lists(st.floats(-5.0, 5.0).map(lambda entry: round(entry, 6)), min_size=3, max_size=3))
def test_both_factors_of_the_spread_give_the_same_covariance(entries):
    a, b, c = lower = np.array(entries)
    root = root_of_lower(lower)
    square = np.array([[root[0], root[1]], [root[1], root[2]]])
    left = np.array([[a, 0.0], [b, c]])
    assert_allclose(square @ square, left @ left.T, atol=1e-9)
    again = lower_of_root(root)
    left = np.array([[again[0], 0.0], [again[1], again[2]]])
    assert_allclose(square @ square, left @ left.T, atol=1e-6)
