"""Known variances are found again, the walk above all."""

import numpy as np
import pytest

from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.curves import Curve
from chemcheck.forecasting.fleet_readings import FleetReadings, scale_readings
from chemcheck.forecasting.model_choice import find_variances
from tests.forecasting.fleets import simulate


@pytest.mark.parametrize("walk", [0.02, 0.1, 0.4])
def test_a_known_walk_is_found(walk):
    fleet = simulate(600, 7, seed=21, walk=walk)
    trend = FleetTrend().fit(fleet.x, fleet.y, groups=fleet.groups)
    assert trend.errors_ == "walk"
    assert trend.walk_variance_ == pytest.approx(walk, rel=0.25)
    assert trend.noise_variance_ == pytest.approx(0.15**2, rel=0.15)


@pytest.mark.parametrize("step", [0.3, 0.7])
def test_a_known_walk_is_found_through_strips(step):
    # Two to five standard errors of a reading to a pad: the search has a hill at 'no walk', too.
    fleet = simulate(200, 7, seed=26, walk=0.2)
    lower = np.floor(fleet.y / step) * step
    trend = FleetTrend(curve="straight").fit(
        fleet.x, lower, groups=fleet.groups, y_upper=lower + step
    )
    assert trend.errors_ == "walk"
    assert trend.walk_variance_ == pytest.approx(0.2, rel=0.35)


@pytest.mark.parametrize("shares", [(0.001, 0.3, 0.9), (0.2, 0.5, 0.8), (0.6, 0.95, 0.999)])
def test_the_walk_found_does_not_hang_on_where_the_search_begins(shares):
    fleet = simulate(150, 7, seed=27, walk=0.1)
    scaled = scale_readings(
        FleetReadings(fleet.groups, fleet.x, fleet.y, fleet.y), Curve("straight")
    )
    usual = find_variances(scaled, "walk")
    other = find_variances(scaled, "walk", shares)
    assert usual.variances.walk[0] * scaled.scale.reading**2 / scaled.scale.axis == pytest.approx(
        0.1, rel=0.4
    )
    assert other.log_likelihood == pytest.approx(usual.log_likelihood, abs=1e-3)


def test_no_walk_is_claimed_where_there_is_none():
    fleet = simulate(600, 7, seed=22)
    trend = FleetTrend().fit(fleet.x, fleet.y, groups=fleet.groups)
    assert trend.errors_ == "independent"
    assert trend.walk_variance_ == 0.0


@pytest.mark.parametrize("walk", [0.0, 0.1])
def test_the_search_ends_at_the_top_of_the_likelihood(walk):
    fleet = simulate(80, 6, seed=23, walk=walk)
    free = FleetTrend(errors="walk").fit(fleet.x, fleet.y, groups=fleet.groups)
    plain = FleetTrend(errors="independent").fit(fleet.x, fleet.y, groups=fleet.groups)
    # The walk's family holds the independent errors.
    assert free.restricted_log_likelihood_ >= plain.restricted_log_likelihood_ - 1e-6


@pytest.mark.parametrize("share", [0.0, 0.3, 0.6])
def test_known_parameters_survive_non_detects(share):
    fleet = simulate(1000, 6, seed=24, until=3.0, spread=(0.5, 0.15, 0.0))
    limit = np.quantile(fleet.y, share)
    missed = fleet.y < limit
    trend = FleetTrend(curve="straight", errors="independent").fit(
        fleet.x,
        np.where(missed, 0.0, fleet.y),
        groups=fleet.groups,
        y_upper=np.where(missed, limit, fleet.y),
    )
    # Each about four standard errors of one fleet of this size.
    assert trend.slope_ == pytest.approx(-0.8, rel=0.03)
    assert trend.intercept_ == pytest.approx(9.0, rel=0.01)
    assert trend.noise_variance_ == pytest.approx(0.15**2, rel=0.15)
    assert trend.random_covariance_[0, 0] == pytest.approx(0.5**2, rel=0.25)
    assert trend.random_covariance_[1, 1] == pytest.approx(0.15**2, rel=0.25)


def test_half_the_limit_in_place_of_a_non_detect_would_not_do():
    # What the interval is for: the customary substitute bends the line.
    fleet = simulate(400, 6, seed=25, until=3.0, spread=(0.5, 0.15, 0.0))
    limit = np.quantile(fleet.y, 0.6)
    halved = np.where(fleet.y < limit, limit / 2.0, fleet.y)
    trend = FleetTrend(curve="straight", errors="independent").fit(
        fleet.x, halved, groups=fleet.groups
    )
    assert abs(trend.slope_ + 0.8) > 0.4
