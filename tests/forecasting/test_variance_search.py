"""Known variances are found again, the walk above all."""

import numpy as np
import pytest

from chemcheck.forecasting import FleetTrend
from tests.forecasting.fleets import simulate


@pytest.mark.parametrize("walk", [0.02, 0.1, 0.4])
def test_a_known_walk_is_found(walk):
    fleet = simulate(600, 7, seed=21, walk=walk)
    trend = FleetTrend().fit(fleet.x, fleet.y, groups=fleet.groups)
    assert trend.errors_ == "walk"
    assert trend.walk_variance_ == pytest.approx(walk, rel=0.25)
    assert trend.noise_variance_ == pytest.approx(0.15**2, rel=0.15)


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
def test_variances_survive_non_detects(share):
    fleet = simulate(700, 6, seed=24, walk=0.05, until=3.0)
    limit = np.quantile(fleet.y, share)
    missed = fleet.y < limit
    trend = FleetTrend(errors="walk").fit(
        fleet.x,
        np.where(missed, 0.0, fleet.y),
        groups=fleet.groups,
        y_upper=np.where(missed, limit, fleet.y),
    )
    assert trend.slope_ == pytest.approx(-0.8, rel=0.03)
    assert trend.intercept_ == pytest.approx(9.0, rel=0.01)
    assert trend.noise_variance_ == pytest.approx(0.15**2, rel=0.2)
    assert trend.walk_variance_ == pytest.approx(0.05, rel=0.25)
    # Four standard errors of one fleet of this size with 60 % not detected.
    assert np.sqrt(trend.random_covariance_[0, 0]) == pytest.approx(0.5, rel=0.16)
