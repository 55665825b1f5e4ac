"""Doubt about the variances: known distributions, and bands that hold in small fleets."""

import numpy as np
import pytest
from scipy.stats import t

from chemcheck.errors import NotEnoughDataError
from chemcheck.forecasting import FleetTrend
from tests.forecasting.fleets import simulate


@pytest.mark.parametrize("samples", [4, 7, 15])
def test_one_fill_with_independent_errors_is_the_t_distribution(samples):
    # Textbook prediction interval of a straight line: t with n - 2 degrees of freedom.
    random = np.random.default_rng(samples)
    x = np.linspace(0.0, 1.0, samples)
    y = 3.0 - x + 0.2 * random.normal(size=samples)
    trend = FleetTrend(curve="straight", errors="independent").fit(x[:, None], y)
    crossing = trend.first_crossing(1.2, "below", quantiles=[0.2, 0.8], horizon=100.0).iloc[0]
    design = np.column_stack((np.ones(samples), x))
    line, residual, _, _ = np.linalg.lstsq(design, y)
    covariance = np.linalg.inv(design.T @ design) * residual[0] / (samples - 2)
    for column in ("p20", "p80"):
        place = np.array([1.0, crossing[column]])
        score = (1.2 - place @ line) / np.sqrt(place @ covariance @ place)
        # The line is below the bound there with that probability.
        assert t(samples - 2).cdf(score) == pytest.approx(float(column[1:]) / 100.0, abs=0.025)


@pytest.mark.parametrize(("fills", "samples", "fleets"), [(5, 4, 25), (3, 6, 30), (1, 7, 90)])
def test_small_fleets_have_bands_that_hold(fills, samples, fleets):
    held, scored = 0, 0
    for seed in range(fleets):
        fleet = simulate(fills, samples, seed=1000 + seed, walk=(0.0, 0.05)[seed % 2])
        groups = fleet.groups if fills > 1 else None
        try:
            trend = FleetTrend(curve="straight").fit(fleet.x, fleet.y, groups=groups)
        except NotEnoughDataError:
            continue
        truth = fleet.crossing(6.5)
        crossing = trend.first_crossing(6.5, "below", horizon=20.0)
        ahead = (crossing["status"] != "outside now").to_numpy()
        inside = (crossing["p10"] <= truth) & (truth <= crossing["p90"])
        held, scored = held + inside[ahead].sum(), scored + ahead.sum()
    # 80 % and three standard errors of so few.
    assert held / scored == pytest.approx(0.8, abs=0.11)


def test_doubt_shrinks_as_the_fleet_grows():
    widths = []
    for fills in (4, 400):
        fleet = simulate(fills, 5, seed=61)
        trend = FleetTrend(curve="straight", errors="walk").fit(
            fleet.x, fleet.y, groups=fleet.groups
        )
        crossing = trend.first_crossing(6.5, "below", horizon=100.0)
        widths.append((crossing["p90"] - crossing["p10"]).median())
    assert widths[0] > 1.1 * widths[1]


@pytest.mark.parametrize("curve", ["auto", "straight", "exponential"])
def test_four_readings_that_lines_fit_exactly_are_foreseen_within_reason(curve):
    """Two fills of two readings each: the likelihood has no top, a forecast still has a width."""
    hours = np.array([[0.0], [147.0], [0.0], [151.0]])
    trend = FleetTrend(curve, "walk").fit(hours, [5.85, 5.9, 5.86, 5.95], groups=[0, 0, 1, 1])
    mean, deviation = trend.predict([[298.0]], groups=[0], return_std=True)
    assert 5.8 < mean.item() < 6.2
    assert 0.005 < deviation.item() < 0.5
