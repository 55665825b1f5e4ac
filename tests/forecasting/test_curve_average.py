"""Forecasts over the curves that the readings cannot tell apart."""

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose

from chemcheck.forecasting import FleetTrend
from tests.forecasting.fleets import simulate

QUANTILES = (0.1, 0.5, 0.9)


def few(seed=91):
    return simulate(8, 4, seed=seed, walk=0.02)


def fit(fleet, curve="auto"):
    return FleetTrend(curve, errors="walk").fit(fleet.x, fleet.y, groups=fleet.groups)


def first_order(fills, samples, *, seed):
    """A first-order loss from 9, at 0.09 a unit of axis to begin with: axis, readings, truth."""
    fleet = simulate(fills, samples, seed=seed, walk=0.02)
    random = np.random.default_rng(seed)
    place = np.rint(fleet.x[:, 0] / 0.01).astype(int)
    path = 9.0 * np.exp(fleet.path / 9.0 - 1.0)
    y = path[fleet.groups, place] * np.exp(random.normal(0.0, 0.15 / 9.0, place.size))
    below = path < 6.5
    return fleet, y, fleet.grid[below.argmax(axis=1)]


def test_shares_follow_the_likelihoods():
    trend = fit(few())
    likelihood = trend.candidates_.set_index("curve")["log_likelihood"]
    odds = np.exp(likelihood["exponential"] - likelihood["straight"])
    assert sum(trend.curve_shares_.values()) == pytest.approx(1.0)
    assert trend.curve_shares_["exponential"] == pytest.approx(odds / (1.0 + odds), rel=1e-9)


def test_chance_is_the_average_of_the_chances():
    fleet = few()
    both, axis = fit(fleet), 4.0
    chances = {
        curve: fit(fleet, curve).crossing_probability(6.0, "below", axis)
        for curve in both.curve_shares_
    }
    expected = sum(share * chances[curve] for curve, share in both.curve_shares_.items())
    assert_allclose(both.crossing_probability(6.0, "below", axis), expected, atol=1e-3)


def test_quantiles_are_those_of_the_average_also_where_the_bound_moves():
    fleet = few()
    drift = pd.DataFrame({"rate": 0.02, "variance": 1e-4, "walk": 1e-3}, index=range(8))
    trends = {curve: fit(fleet, curve) for curve in ("auto", "straight", "exponential")}
    asked = {"bound": 6.0, "side": "below", "drift": drift, "horizon": 60.0}
    both = trends["auto"].first_crossing(quantiles=QUANTILES, **asked)
    ahead = np.flatnonzero(both["status"] == "ahead")
    assert ahead.size > 4
    fine = np.linspace(0.01, 0.99, 197)
    for p in QUANTILES:
        axis, chance = both[f"p{100 * p:g}"].to_numpy()[ahead], np.zeros(ahead.size)
        for curve, share in trends["auto"].curve_shares_.items():
            table = trends[curve].first_crossing(quantiles=fine, **asked)
            steps = table.iloc[ahead, : fine.size].to_numpy()
            pairs = zip(axis, steps, strict=True)
            chance += share * np.array([np.interp(at, row, fine) for at, row in pairs])
        assert_allclose(chance, p, atol=0.01)


def test_prediction_holds_what_the_curves_differ_by():
    fleet = few()
    trends = {curve: fit(fleet, curve) for curve in ("auto", "straight", "exponential")}
    shares = trends["auto"].curve_shares_
    places = np.array([[2.0], [5.0]])
    found, deviation = trends["auto"].predict(places, groups=[3, 3], return_std=True)
    parts = [trends[c].predict(places, groups=[3, 3], return_std=True) for c in shares]
    weight = np.array(list(shares.values()))
    means, spreads = (np.array([part[k] for part in parts]) for k in (0, 1))
    assert_allclose(found, weight @ means, rtol=1e-4)
    variance = weight @ (spreads**2 + (means - weight @ means) ** 2)
    assert_allclose(deviation, np.sqrt(variance), rtol=1e-3)


def test_a_curve_asked_for_or_told_by_the_data_stands_alone():
    assert fit(few(), "straight").curve_shares_ == {"straight": 1.0}
    fleet = simulate(400, 8, seed=92)
    assert fit(fleet).curve_shares_ == {"straight": 1.0}


def test_readings_too_few_to_bend_leave_both_curves_alike():
    hours = [[0.0], [500.0], [0.0], [600.0], [0.0], [400.0]]
    fill, y = ["a", "a", "b", "b", "c", "c"], [1800.0, 1600.0, 1750.0, 1520.0, 1830.0, 1680.0]
    trend = FleetTrend().fit(hours, y, groups=fill)
    assert trend.curve_ == "straight"
    assert trend.curve_shares_ == pytest.approx({"straight": 0.5, "exponential": 0.5})
    alone = FleetTrend("straight").fit(hours, y, groups=fill)
    both, line = (one.first_crossing(800.0, "below") for one in (trend, alone))
    assert (both["p90"] - both["p10"] > line["p90"] - line["p10"]).all()
    # A reading of nothing is on no exponential.
    assert FleetTrend().fit(hours[:4], [2.0, 1.0, 1.5, 0.0]).curve_shares_ == {"straight": 1.0}


def test_a_bound_that_one_curve_never_comes_to():
    trend = fit(few())
    assert len(trend.curve_shares_) == 2
    crossing = trend.first_crossing(0.0, "below", horizon=1000.0)
    alone = fit(few(), "straight").first_crossing(0.0, "below", horizon=1000.0)
    assert (crossing["p10"] > alone["p10"]).all()
    by_end = trend.crossing_probability(0.0, "below", 1000.0)
    assert (by_end <= trend.curve_shares_["straight"] + 1e-6).all()


def test_bands_hold_what_they_say_where_a_line_would_fit_as_well():
    held = {"auto": [], "straight": []}
    for seed in range(10):
        fleet, y, truth = first_order(20, 6, seed=seed)
        for curve, parts in held.items():
            trend = FleetTrend(curve).fit(fleet.x, y, groups=fleet.groups)
            table = trend.first_crossing(6.5, "below", horizon=20.0)
            inside = (table["p10"] <= truth) & (truth <= table["p90"])
            parts.append(inside[(table["status"] == "ahead").to_numpy()])
    shares = {curve: np.concatenate(parts).mean() for curve, parts in held.items()}
    assert 0.74 < shares["auto"] < 0.88, shares
    assert shares["straight"] < shares["auto"] - 0.04, shares
