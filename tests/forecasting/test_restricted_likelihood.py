"""The restricted likelihood against its textbook form with dense matrices (Lindstrom and Bates)."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import approx_fprime
from scipy.stats import multivariate_normal

from chemcheck.forecasting.fill_rows import order_rows
from chemcheck.forecasting.restricted_likelihood import fill_sums, restricted_fit

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


@pytest.mark.parametrize("walk", [0.0, WALK])
def test_absolute_variances_give_the_dense_value(fleet, walk):
    rows, readings = fleet
    sums, _ = fill_sums(rows, readings, np.full(readings.size, 1 / NOISE), walk)
    fit = restricted_fit(sums, FACTOR, absolute=True)
    value, coefficients, covariance = dense_restricted(rows, readings, walk)
    assert_allclose(fit.log_likelihood, value, rtol=1e-10)
    assert_allclose(fit.coefficients, coefficients, rtol=1e-9)
    assert_allclose(fit.covariance, covariance, rtol=1e-9)


def test_estimated_scale_is_the_best_scale(fleet):
    rows, readings = fleet

    def value(scale):
        sums, _ = fill_sums(rows, readings, np.full(readings.size, 1 / scale), WALK * scale)
        return restricted_fit(sums, FACTOR * np.sqrt(scale), absolute=True).log_likelihood

    sums, _ = fill_sums(rows, readings, np.ones(readings.size), WALK)
    fit = restricted_fit(sums, FACTOR)
    assert_allclose(fit.log_likelihood, value(fit.scale), rtol=1e-10)
    assert value(fit.scale) > max(value(0.99 * fit.scale), value(1.01 * fit.scale))


@pytest.mark.parametrize("absolute", [True, False])
def test_gradient_is_the_difference_quotient(fleet, absolute):
    rows, readings = fleet
    sums, _ = fill_sums(rows, readings, np.full(readings.size, 1 / NOISE), WALK)

    def value(factor):
        return restricted_fit(sums, factor, absolute=absolute).log_likelihood

    fit = restricted_fit(sums, FACTOR, absolute=absolute)
    assert_allclose(fit.gradient, approx_fprime(FACTOR, value, 1e-7), rtol=1e-4, atol=1e-6)


def test_a_repeated_column_changes_nothing_but_its_own_coefficient(fleet):
    rows, readings = fleet
    twice, _ = order_rows(
        rows.fill, rows.design[1], np.vstack((rows.design[2], 2.0 * rows.design[2])), 0.0
    )
    fits = []
    for places in (rows, twice):
        sums, _ = fill_sums(places, readings, np.full(readings.size, 1 / NOISE), WALK)
        fits.append(restricted_fit(sums, FACTOR))
    assert_allclose(fits[0].coefficients[:2], fits[1].coefficients[:2], rtol=1e-7)
    assert_allclose(fits[0].scale, fits[1].scale, rtol=1e-7)
