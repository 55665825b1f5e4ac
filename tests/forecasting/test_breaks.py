"""Levels that a dose moved by nobody knows how much: a break costs one level and nothing else."""

import numpy as np
import pytest

from chemcheck.forecasting import FleetTrend


def dosed_fleet(fills=24, samples=7, seed=3, noise=8.0):
    """Return hours, readings, fills, breaks, and what each fill's line is after its dose."""
    random = np.random.default_rng(seed)
    hours = np.tile(np.linspace(0.0, 2100.0, samples), (fills, 1))
    rate = -0.4 + 0.06 * random.normal(size=(fills, 1))
    level = 1800.0 + 25.0 * random.normal(size=(fills, 1)) + rate * hours
    breaks = np.zeros((fills, samples), dtype=bool)
    for fill in range(0, fills, 2):
        at = int(random.integers(2, samples - 1))
        level[fill, at:] += random.uniform(300.0, 700.0)
        breaks[fill, at] = True
    readings = level + random.normal(0.0, noise, level.shape)
    crossing = 2100.0 + (level[:, -1] - 800.0) / -rate[:, 0]
    codes = np.repeat(np.arange(fills), samples)
    return hours.reshape(-1, 1), readings.ravel(), codes, breaks.ravel(), crossing


def test_a_break_is_a_fixed_level_of_its_own():
    """The same estimates as with a column of ones from the break on: Patterson and Thompson."""
    random = np.random.default_rng(5)
    x = np.tile(np.arange(8.0), 6)
    fill = np.repeat(np.arange(6), 8)
    y = 10.0 - 0.5 * x + 0.4 * random.normal(size=6)[fill] + 0.2 * random.normal(size=x.size)
    after = (fill == 2) & (x >= 4)
    y = y + 7.0 * after
    breaks = (fill == 2) & (x == 4)
    by_break = FleetTrend("straight", "independent").fit(x[:, None], y, groups=fill, breaks=breaks)
    by_column = FleetTrend("straight", "independent").fit(
        np.column_stack((x, after.astype(float))), y, groups=fill
    )
    assert by_break.slope_ == pytest.approx(by_column.slope_, rel=1e-4)
    assert by_break.noise_variance_ == pytest.approx(by_column.noise_variance_, rel=1e-3)
    assert by_break.random_covariance_[0, 0] == pytest.approx(
        by_column.random_covariance_[0, 0], rel=1e-2
    )
    ahead = np.array([[12.0]])
    assert by_break.predict(ahead, groups=[2]) == pytest.approx(
        by_column.predict(np.array([[12.0, 1.0]]), groups=[2]), rel=2e-3
    )


@pytest.mark.parametrize("errors", ["independent", "walk", "auto"])
def test_rate_error_and_crossings_are_those_of_the_fills_without_doses(errors):
    x, y, fill, breaks, crossing = dosed_fleet()
    trend = FleetTrend("straight", errors).fit(x, y, groups=fill, breaks=breaks)
    # The truth they were made from: a rate of -0.4, an error of 8.
    assert trend.slope_ == pytest.approx(-0.4, abs=0.04)
    assert trend.scale_ == pytest.approx(8.0, rel=0.25)
    table = trend.first_crossing(800.0, "below")
    error = np.abs(table["p50"] - crossing)
    assert error.median() < 60.0
    blind = FleetTrend("straight", errors).fit(x, y, groups=fill)
    blind_error = np.abs(blind.first_crossing(800.0, "below")["p50"] - crossing)
    assert blind_error.median() > 2.0 * error.median()


def test_what_was_before_a_dose_is_no_crossing_now():
    """Below the bound before the dose, far above it since: the bound is still ahead."""
    x, y, fill, breaks, _ = dosed_fleet(seed=4)
    low = fill == 0
    at = int(np.flatnonzero(breaks & low)[0])
    y = y.copy()
    before = low & (np.arange(y.size) < at)
    y[before] = np.linspace(1000.0, 700.0, before.sum())
    table = (
        FleetTrend("straight", "walk")
        .fit(x, y, groups=fill, breaks=breaks)
        .first_crossing(800.0, "below", quantiles=(0.05, 0.5))
    )
    assert table.loc[0, "status"] == "ahead"
    assert table.loc[0, "p5"] > x[at, 0]


def test_breaks_of_another_length_are_refused():
    x, y, fill, breaks, _ = dosed_fleet()
    with pytest.raises(ValueError, match=r"breaks has shape \(5,\); expected \(168,\) as y"):
        FleetTrend().fit(x, y, groups=fill, breaks=breaks[:5])
