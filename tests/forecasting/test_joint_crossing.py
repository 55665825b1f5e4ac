"""Whichever bound comes first: against simulated pairs, and in simple cases."""

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose

from chemcheck.forecasting import FleetTrend, joint_crossing
from tests.forecasting.fleets import simulate


def fitted(seed, fills=60, walk=0.05):
    fleet = simulate(fills, 6, seed=seed, walk=walk)
    trend = FleetTrend(curve="straight", errors="walk").fit(fleet.x, fleet.y, groups=fleet.groups)
    return fleet, trend


def test_one_bound_alone_is_its_own_crossing():
    _, trend = fitted(81)
    alone = trend.first_crossing(6.0, "below", horizon=20.0)
    joint = joint_crossing({"reserve": (trend, 6.0, "below")}, horizon=20.0)
    columns = ["p10", "p50", "p90"]
    assert_allclose(joint[columns].to_numpy(), alone[columns].to_numpy())
    assert (joint["limiting"] == "reserve").all()


def test_two_bounds_are_independent_given_their_readings():
    _, one = fitted(82)
    _, other = fitted(83)
    facing = {"one": (one, 6.5, "below"), "other": (other, 6.3, "below")}
    joint = joint_crossing(facing, horizon=20.0)
    last = np.maximum(
        pd.Series(one.last_axis_, one.groups_), pd.Series(other.last_axis_, other.groups_)
    )
    ahead = (joint["p10"] > last.to_numpy()).to_numpy()
    assert ahead.sum() > 40
    for column, p in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9)):
        axis = joint[column].to_numpy()
        stays = np.ones(axis.size)
        for trend, bound, side in facing.values():
            stays *= 1.0 - trend.crossing_probability(bound, side, axis).to_numpy()
        assert_allclose(1.0 - stays[ahead], p, atol=2e-3)


def test_joint_bands_hold_what_they_say():
    one_fleet, one = fitted(84, fills=500)
    other_fleet, other = fitted(85, fills=500)
    truth = np.minimum(one_fleet.crossing(6.5), other_fleet.crossing(6.3))
    joint = joint_crossing(
        {"one": (one, 6.5, "below"), "other": (other, 6.3, "below")}, horizon=20.0
    )
    inside = (joint["p10"] <= truth) & (truth <= joint["p90"])
    assert inside.mean() == pytest.approx(0.8, abs=0.06)
    first = np.where(one_fleet.crossing(6.5) <= other_fleet.crossing(6.3), "one", "other")
    assert (joint["limiting"] == first).mean() > 0.7


def test_fills_that_only_one_trend_knows():
    hours = [[0.0], [100.0], [200.0], [300.0]]
    falling = FleetTrend("straight", "independent").fit(
        hours * 2, [9.0, 8.1, 7.0, 5.9, 9.0, 7.9, 7.0, 6.1], groups=["a"] * 4 + ["b"] * 4
    )
    rising = FleetTrend("straight", "independent").fit(
        hours * 2, [0.0, 1.1, 2.0, 2.9, 0.0, 2.1, 4.0, 5.9], groups=["b"] * 4 + ["c"] * 4
    )
    bound = pd.Series({"b": 3.4, "c": np.nan})
    joint = joint_crossing(
        {"reserve": (falling, 3.0, "below"), "chloride": (rising, bound, "above")}
    )
    assert joint.index.tolist() == ["a", "b", "c"]
    assert joint["limiting"].tolist()[:2] == ["reserve", "chloride"]
    assert pd.isna(joint["limiting"].iloc[2])
    assert joint["p50"].iloc[0] == pytest.approx(600.0, rel=0.05)
    assert joint["p50"].iloc[1] == pytest.approx(340.0, rel=0.05)
    assert np.isinf(joint["p50"].iloc[2])


def test_nothing_to_cross():
    with pytest.raises(ValueError, match="no trend to cross a bound"):
        joint_crossing({})
