"""The walk against dense Gaussian conditioning, the textbook formula."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from chemcheck.forecasting.fill_rows import order_rows
from chemcheck.forecasting.walk_filter import smooth_walk


@pytest.fixture
def places():
    random = np.random.default_rng(3)
    codes = np.repeat([0, 1, 2], [4, 1, 5])
    axis = random.uniform(0.0, 2.0, codes.size)
    rows, _ = order_rows(codes, axis, np.empty((0, codes.size)), 0.0)
    precision = random.uniform(0.5, 3.0, codes.size)
    precision[2] = 0.0
    return rows, precision[None], random.normal(size=(2, 1, codes.size))


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
    errors = np.diag(precision[0])
    gain = covariance @ np.linalg.inv(np.eye(10) + errors @ covariance)
    walk = smooth_walk(rows, precision, np.array([walk_variance]), columns)
    assert_allclose(walk.columns[:, 0], (gain @ (precision * columns[:, 0]).T).T, rtol=1e-9)
    assert_allclose(walk.variances()[0], np.diag(gain), rtol=1e-9)
    _, log_determinant = np.linalg.slogdet(np.eye(10) + covariance @ errors)
    assert_allclose(walk.log_determinant, log_determinant, rtol=1e-9)


def test_several_ways_at_once_are_each_way_alone(places):
    rows, precision, columns = places
    several = np.vstack((precision, 2.0 * precision))
    both = smooth_walk(rows, several, np.array([0.5, 3.0]), np.repeat(columns, 2, axis=1))
    for way, variance in enumerate([0.5, 3.0]):
        alone = smooth_walk(rows, several[way : way + 1], np.array([variance]), columns)
        assert_allclose(both.columns[:, way], alone.columns[:, 0], rtol=1e-12)
        assert_allclose(both.variances()[way], alone.variances()[0], rtol=1e-12)
        assert_allclose(both.log_determinant[way], alone.log_determinant[0], rtol=1e-12)


def test_no_walk_leaves_nothing_to_smooth(places):
    rows, precision, columns = places
    walk = smooth_walk(rows, precision, np.zeros(1), columns)
    assert not walk.columns.any()
    assert walk.log_determinant == 0.0
    assert not walk.variances().any()


def test_two_readings_at_one_place_share_the_walk():
    rows, _ = order_rows(np.zeros(2, dtype=int), np.ones(2), np.empty((0, 2)), 0.0)
    walk = smooth_walk(rows, np.ones((1, 2)), np.ones(1), np.array([[[1.0, 3.0]]]))
    # The mean of two readings, error variance 1/2, against a walk of variance 1.
    assert_allclose(walk.columns, [[[4.0 / 3.0, 4.0 / 3.0]]], atol=1e-6)
