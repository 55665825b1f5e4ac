"""The walk against dense Gaussian conditioning, the textbook formula."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from chemcheck.forecasting.fill_rows import order_rows
from chemcheck.forecasting.walk_filter import smooth_walk, walk_variances


@pytest.fixture
def places():
    random = np.random.default_rng(3)
    codes = np.repeat([0, 1, 2], [4, 1, 5])
    axis = random.uniform(0.0, 2.0, codes.size)
    rows, _ = order_rows(codes, axis, np.empty((0, codes.size)), 0.0)
    precision = random.uniform(0.5, 3.0, codes.size)
    precision[2] = 0.0
    return rows, precision, random.normal(size=(2, codes.size))


def dense_covariance(rows, walk_variance):
    """Covariance of a Wiener process that is 0 at the fill: variance times the earlier time."""
    axis = rows.design[1]
    same = rows.fill[:, None] == rows.fill[None, :]
    return walk_variance * same * np.minimum(axis[:, None], axis[None, :])


@pytest.mark.parametrize("walk_variance", [1e-3, 0.7, 200.0])
def test_walk_is_the_conditional_expectation(places, walk_variance):
    rows, precision, columns = places
    covariance = dense_covariance(rows, walk_variance)
    # w | y = K (K + T^-1)^-1 y, written so that a reading without precision drops out.
    gain = covariance @ np.linalg.inv(np.eye(10) + np.diag(precision) @ covariance)
    walk = smooth_walk(rows, precision, walk_variance, columns)
    assert_allclose(walk.columns, (gain @ (precision * columns).T).T, rtol=1e-9)
    assert_allclose(walk_variances(walk, 10), np.diag(gain), rtol=1e-9)
    _, log_determinant = np.linalg.slogdet(np.eye(10) + covariance @ np.diag(precision))
    assert_allclose(walk.log_determinant, log_determinant, rtol=1e-9)


def test_no_walk_leaves_nothing_to_smooth(places):
    rows, precision, columns = places
    walk = smooth_walk(rows, precision, 0.0, columns)
    assert not walk.columns.any()
    assert walk.log_determinant == 0.0
    assert not walk_variances(walk, 10).any()


def test_two_readings_at_one_place_share_the_walk():
    rows, _ = order_rows(np.zeros(2, dtype=int), np.ones(2), np.empty((0, 2)), 0.0)
    walk = smooth_walk(rows, np.ones(2), 1.0, np.array([[1.0, 3.0]]))
    # The mean of two readings, error variance 1/2, against a walk of variance 1.
    assert_allclose(walk.columns, [[4.0 / 3.0, 4.0 / 3.0]], atol=1e-6)
