"""Errors are chosen as the fleet was made."""

import numpy as np
import pytest

from chemcheck.forecasting import FleetTrend
from tests.forecasting.fleets import simulate


def with_wild_readings(fleet, share, *, seed):
    random = np.random.default_rng(seed)
    wild = random.random(fleet.y.size) < share
    # Five times as wide as the usual error of 0.15, which these have as well.
    return fleet.y + wild * random.normal(0.0, 0.15 * np.sqrt(24.0), fleet.y.size), wild


def test_wild_readings_are_found_and_cost_little():
    fleet = simulate(120, 6, seed=51)
    y, wild = with_wild_readings(fleet, 0.05, seed=1)
    trend = FleetTrend(curve="straight").fit(fleet.x, y, groups=fleet.groups)
    assert trend.errors_ == "heavy"
    assert trend.wild_share_ == pytest.approx(0.05, abs=0.03)
    assert trend.noise_variance_ == pytest.approx(0.15**2, rel=0.3)
    plain = FleetTrend(curve="straight", errors="independent").fit(fleet.x, y, groups=fleet.groups)
    truth, hit = fleet.crossing(6.5), np.unique(fleet.groups[wild])
    missed = [
        np.abs(model.first_crossing(6.5, "below")["p50"] - truth)[hit].mean()
        for model in (trend, plain)
    ]
    assert missed[0] < 0.9 * missed[1]


def test_one_wild_reading_does_not_turn_its_fill():
    fleet = simulate(60, 6, seed=52)
    y = fleet.y.copy()
    y[3] += 3.0
    before = FleetTrend(errors="heavy").fit(fleet.x, fleet.y, groups=fleet.groups)
    after = FleetTrend(errors="heavy").fit(fleet.x, y, groups=fleet.groups)
    plain = FleetTrend(errors="independent").fit(fleet.x, y, groups=fleet.groups)
    start, moved, swayed = (
        model.first_crossing(6.5, "below")["p50"].iloc[0] for model in (before, after, plain)
    )
    assert abs(moved - start) < 0.3
    assert abs(moved - start) < 0.6 * abs(swayed - start)


def test_table_of_candidates_leads_with_the_choice():
    fleet = simulate(60, 6, seed=53, walk=0.1)
    trend = FleetTrend().fit(fleet.x, fleet.y, groups=fleet.groups)
    table = trend.candidates_
    assert (table["curve"].iloc[0], table["errors"].iloc[0]) == (trend.curve_, trend.errors_)
    assert {"straight", "exponential"} <= set(table["curve"])
    assert {"independent", "walk"} <= set(table["errors"])
    assert (table["fills"] == 60).all()
    assert table["coverage_80"].between(0.0, 1.0).all()
    assert (table["median_absolute_error"] > 0.0).all()


def test_a_part_of_a_large_fleet_speaks_for_all(monkeypatch):
    fleet = simulate(900, 5, seed=54, walk=0.1)
    whole = FleetTrend().fit(fleet.x, fleet.y, groups=fleet.groups)
    monkeypatch.setattr("chemcheck.forecasting.model_choice.CHOICE_FILLS", 200)
    monkeypatch.setattr("chemcheck.forecasting.model_choice.VARIANCE_FILLS", 600)
    part = FleetTrend().fit(fleet.x, fleet.y, groups=fleet.groups)
    assert part.candidates_["fills"].iloc[0] == 200
    assert part.errors_ == whole.errors_ == "walk"
    assert part.noise_variance_ == pytest.approx(whole.noise_variance_, rel=0.1)
    assert part.walk_variance_ == pytest.approx(whole.walk_variance_, rel=0.3)
    left, right = (model.first_crossing(6.5, "below")["p50"] for model in (part, whole))
    assert np.abs(left - right).median() < 0.1
