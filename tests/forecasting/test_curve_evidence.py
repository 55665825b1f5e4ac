"""Curves are told by how fills went on, not by how their first levels spread."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.stats import multivariate_normal

from chemcheck.forecasting.curve_evidence import likelihood_along_fills
from chemcheck.forecasting.curves import Curve
from chemcheck.forecasting.fleet_readings import FleetReadings, scale_readings
from chemcheck.forecasting.variances import one_way
from tests.forecasting.fleets import simulate

STRAIGHT = Curve("straight")


def fleet_of(x, y, groups):
    return FleetReadings(groups, x.reshape(-1, 1), y, y)


def test_it_is_the_likelihood_of_the_changes_since_the_first_sample():
    # Against scipy's density of the changes; what is constant between variances drops out.
    x, groups = np.array([0.0, 0.4, 1.0, 1.2, 0.0, 0.3, 0.7, 0.9]), np.repeat([0, 1], 4)
    y = np.array([9.0, 8.5, 8.2, 8.1, 8.0, 7.8, 7.3, 7.4])
    fleet = fleet_of(x, y, groups)
    scale = scale_readings(fleet, STRAIGHT).scale

    def mine(noise, rate):
        variances = one_way(noise, 0.0, [0.0, 0.0, np.sqrt(rate)])
        return likelihood_along_fills(
            fleet, STRAIGHT, variances.rescaled(1.0 / scale.reading, scale.axis)
        )

    def theirs(noise, rate):
        def loss(slope):
            value = 0.0
            for fill in (0, 1):
                at, read = x[groups == fill], y[groups == fill]
                covariance = noise * (np.eye(3) + 1.0) + rate * np.outer(at[1:], at[1:])
                value -= multivariate_normal(slope * at[1:], covariance).logpdf(read[1:] - read[0])
            return value

        return -minimize_scalar(loss, bounds=(-3.0, 1.0), method="bounded").fun

    found, expected = ([f(0.02, 0.05) - f(0.05, 0.01)] for f in (mine, theirs))
    assert found == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize("curve", ["straight", "exponential"])
def test_where_each_fill_began_is_no_evidence(curve):
    known = simulate(12, 5, seed=95)
    x = known.x[:, 0] - np.repeat(known.x[::5, 0], 5)
    moved = np.repeat(np.random.default_rng(2).uniform(0.5, 3.0, 12), 5)
    y = known.y * moved if curve == "exponential" else known.y + moved
    size = 1.0 / 9.0 if curve == "exponential" else 1.0
    variances = one_way((0.15 * size) ** 2, 0.0, [0.5 * size, 0.0, 0.15 * size])

    def evidence(readings):
        fleet = fleet_of(x, readings, known.groups)
        scale = scale_readings(fleet, Curve(curve)).scale
        turned = variances.rescaled(1.0 / scale.reading, scale.axis)
        return likelihood_along_fills(fleet, Curve(curve), turned)

    # The density of a reading four times as high is a quarter as high, but for the first ones.
    stretch = -0.8 * np.log(moved).sum() if curve == "exponential" else 0.0
    assert evidence(y) - evidence(known.y) == pytest.approx(stretch, abs=1e-4)


def test_nothing_is_told_where_no_fill_has_a_sample_at_the_start():
    known = simulate(12, 5, seed=95)
    fleet = fleet_of(known.x[:, 0] + 0.1, known.y, known.groups)
    assert np.isnan(likelihood_along_fills(fleet, STRAIGHT, one_way(0.1, 0.0, [1.0, 0.0, 1.0])))
