"""First passage against known distributions and against brute force."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import invgauss, multivariate_normal, norm

from chemcheck.forecasting.first_passage import Approach, probability_reached, travel_quantiles


def approach(distance, distance_sd=0.0, rate=1.0, rate_sd=0.0, correlation=0.0, walk=0.0):
    def row(value):
        return np.broadcast_to(np.asarray(value, dtype=float), (1, np.size(distance)))

    return Approach(
        row(distance),
        row(distance_sd) ** 2,
        row(rate),
        row(rate_sd) ** 2,
        row(correlation) * row(distance_sd) * row(rate_sd),
        np.array([[walk]]),
        np.ones(1),
    )


@pytest.mark.parametrize("walk", [0.05, 1.0, 8.0])
def test_known_start_and_drift_give_the_inverse_gaussian(walk):
    # Folks and Chhikara (1978): mean d / v, shape d^2 / q.
    distance, rate = 3.0, 1.5
    shape = distance**2 / walk
    times = np.array([0.5, 1.0, 2.0, 3.0, 6.0])
    expected = invgauss(distance / rate / shape, scale=shape).cdf(times)
    known = approach([distance] * 5, rate=[rate] * 5, walk=walk)
    assert_allclose(probability_reached(known, times), expected, atol=1e-6)


def test_drift_away_is_reached_with_the_known_chance():
    # P(ever) = exp(-2 |v| d / q) for a drift away from the bound.
    known = approach([1.0], rate=[-0.5], walk=2.0)
    assert_allclose(probability_reached(known, np.array([1e6])), np.exp(-0.5), atol=1e-4)


def test_without_a_walk_it_is_the_bivariate_normal():
    unsure = approach([2.0], [0.8], [1.1], [0.4], [-0.5])
    time = 1.7
    shared = -0.5 * 0.8 * 0.4
    covariance = np.array(
        [
            [0.64, 0.64 - time * shared],
            [0.64 - time * shared, 0.64 - 2 * time * shared + time**2 * 0.16],
        ]
    )
    inside = multivariate_normal([2.0, 2.0 - 1.1 * time], covariance).cdf(
        [np.inf, np.inf], lower_limit=[0.0, 0.0]
    )
    assert_allclose(probability_reached(unsure, np.array([time])), 1.0 - inside, atol=1e-6)


@pytest.mark.parametrize(
    ("distance", "distance_sd", "rate_sd", "walk"),
    [(2.0, 0.3, 0.2, 0.4), (0.5, 0.4, 0.5, 0.1), (1.0, 0.7, 0.1, 2.0)],
)
def test_everything_unsure_against_simulated_inverse_gaussians(
    distance, distance_sd, rate_sd, walk
):
    # Given distance and drift the time is inverse Gaussian: its distribution function averaged
    # over many seeded draws is the answer.
    random = np.random.default_rng(5)
    d = distance + distance_sd * random.normal(size=400_000)
    v = 1.0 + rate_sd * random.normal(size=400_000)
    for time in (0.3, 1.0, 2.5):
        root = np.sqrt(walk * time)
        with np.errstate(over="ignore", invalid="ignore"):
            touched = np.exp(2 * v * d / walk) * norm.cdf(-(d + v * time) / root)
        reached = np.where(d > 0, norm.cdf((v * time - d) / root) + touched, 1.0)
        found = probability_reached(
            approach([distance], [distance_sd], [1.0], [rate_sd], walk=walk), np.array([time])
        )
        assert_allclose(found, np.nanmean(reached), atol=3e-3)


def test_quantiles_invert_the_probability():
    random = np.random.default_rng(8)
    n = 300
    many = approach(
        random.uniform(0.0, 4.0, n),
        random.uniform(0.01, 1.0, n),
        random.normal(0.8, 0.6, n),
        random.uniform(0.01, 0.5, n),
        random.uniform(-0.9, 0.9, n),
        walk=0.2,
    )
    farthest = np.full(n, 50.0)
    asked = np.array([0.1, 0.5, 0.9])
    travel = travel_quantiles(many, asked, farthest)
    assert (np.diff(np.where(np.isinf(travel), 1e9, travel), axis=0) >= 0.0).all()
    for p, row in zip(asked, travel, strict=True):
        solved = np.isfinite(row) & (row > 0.0)
        assert solved.sum() > 50
        back = probability_reached(many.take(np.flatnonzero(solved)), row[solved])
        assert_allclose(back, p, atol=1e-3)
        never = np.isinf(row)
        assert (probability_reached(many, farthest)[never] < p).all()
        assert (many.probability_beyond()[row == 0.0] >= p).all()


def test_no_travel_left_means_now_or_never():
    near = approach([0.0, 5.0], [1.0, 1.0])
    travel = travel_quantiles(near, np.array([0.5]), np.zeros(2))
    assert travel.tolist() == [[0.0, np.inf]]
