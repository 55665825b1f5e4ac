"""Bounds that move: crossings against arithmetic and against simulated paths."""

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import brentq

from chemcheck.forecasting import FleetTrend

RATE = -1.5e-4


def fleet(curve, fills=8, seed=0):
    """Return hours, corrected readings with hardly an error, and fills, from known curves."""
    random = np.random.default_rng(seed)
    hours = np.tile(np.arange(0.0, 2001.0, 400.0), (fills, 1))
    start = 1800.0 + random.normal(0, 30, (fills, 1))
    rate = 1.0 + random.normal(0, 0.1, (fills, 1))
    if curve == "straight":
        value = start - 0.2 * rate * hours
    else:
        value = start * np.exp(-1.5e-4 * rate * hours)
    value = value * (1.0 + random.normal(0, 1e-4, value.shape))
    return hours, value, np.repeat(np.arange(fills), hours.shape[1]), start[:, 0], rate[:, 0]


def drift(fills, rate=-RATE, variance=0.0, walk=0.0):
    return pd.DataFrame(
        {"rate": rate, "variance": variance, "walk": walk}, index=pd.Index(range(fills))
    )


@pytest.mark.parametrize("curve", ["straight", "exponential"])
def test_the_crossing_is_where_the_diluted_value_meets_the_bound(curve):
    hours, value, fill, start, rate = fleet(curve)
    trend = FleetTrend(curve=curve, errors="independent").fit(
        hours.reshape(-1, 1), value.ravel(), groups=fill
    )
    found = trend.first_crossing(800.0, "below", drift=drift(8))["p50"].to_numpy()

    def diluted(at, k):
        left = np.exp(RATE * (at - 2000.0))
        if curve == "straight":
            return (start[k] - 0.2 * rate[k] * at) * left - 800.0
        return start[k] * np.exp(-1.5e-4 * rate[k] * at) * left - 800.0

    expected = [brentq(diluted, 2000.0, 9000.0, args=(k,)) for k in range(8)]
    assert found == pytest.approx(expected, rel=2e-3)


def test_a_bound_without_drift_stays_where_it_is():
    hours, value, fill, *_ = fleet("straight")
    trend = FleetTrend("straight", "walk").fit(hours.reshape(-1, 1), value.ravel(), groups=fill)
    still = trend.first_crossing(800.0, "below")
    moved = trend.first_crossing(800.0, "below", drift=drift(8, rate=0.0))
    pd.testing.assert_frame_equal(still, moved, rtol=1e-6)


def test_unsure_dilution_widens_the_band_as_simulated_paths_do():
    """Straight loss of a known fill, a bound of unsure rate: quantiles against simulation."""
    hours, value, fill, start, rate = fleet("straight")
    trend = FleetTrend("straight", "independent").fit(
        hours.reshape(-1, 1), value.ravel(), groups=fill
    )
    spread, wander = 4e-5, 1e-6
    found = trend.first_crossing(800.0, "below", drift=drift(8, -RATE, spread**2, wander))
    random = np.random.default_rng(1)
    step, n = 10.0, 4000
    at = np.arange(2000.0, 12000.0, step)
    log_left = random.normal(RATE, spread, (n, 1)) * (at - 2000.0)
    log_left += random.normal(0.0, np.sqrt(wander * step), (n, at.size)).cumsum(axis=1)
    path = (start[0] - 0.2 * rate[0] * at) * np.exp(log_left)
    crossed = at[(path < 800.0).argmax(axis=1)]
    simulated = np.quantile(crossed, [0.1, 0.5, 0.9])
    assert found.loc[0, ["p10", "p50", "p90"]].to_numpy(float) == pytest.approx(simulated, rel=0.02)


def test_a_chance_that_comes_and_goes_is_not_missed():
    """A metal that rises while ever more water comes in: it peaks, and then falls again."""
    hours = np.tile(np.arange(0.0, 2001.0, 400.0), (6, 1))
    value = 1.0 + 0.01 * hours
    fill = np.repeat(np.arange(6), hours.shape[1])
    random = np.random.default_rng(2)
    noisy = value * (1 + random.normal(0, 1e-4, value.shape))
    trend = FleetTrend("straight", "independent").fit(
        hours.reshape(-1, 1), noisy.ravel(), groups=fill
    )
    # (1 + 0.01 x) exp(-2e-4 (x - 2000)) reaches 25 at about 2700 and ends near nothing.
    table = trend.first_crossing(25.0, "above", drift=drift(6, rate=2e-4), horizon=40_000.0)
    truth = brentq(lambda x: (1 + 0.01 * x) * np.exp(-2e-4 * (x - 2000)) - 25, 2000, 4000)
    assert table["p50"].to_numpy() == pytest.approx(np.full(6, truth), rel=5e-3)


@pytest.mark.parametrize(
    ("table", "message"),
    [
        (pd.DataFrame({"rate": [0.0]}), "no column 'variance'; expected rate, variance, walk"),
        (pd.DataFrame({"rate": [0.0], "variance": [-1.0], "walk": [0.0]}), "below 0"),
    ],
)
def test_a_drift_that_cannot_be_meant_is_refused(table, message):
    hours, value, fill, *_ = fleet("straight")
    trend = FleetTrend("straight", "independent").fit(
        hours.reshape(-1, 1), value.ravel(), groups=fill
    )
    with pytest.raises(ValueError, match=message):
        trend.first_crossing(800.0, "below", drift=table)
