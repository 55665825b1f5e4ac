"""Does the band of the first of several crossings hold what it says? Fleets of known truth.

Run by hand from the project's root: ``python -m tests.benchmarks.joint_calibration [CROSSINGS]
[SEED]`` (1,500 a scenario by default). Every fill has three analytes, read from the same samples,
each with a bound of its own; what one analyte does may hang together with what the others do: its
start and rate, its walk, its reading's error. The fleet's model is chosen by the data for each
analyte. Printed are how many crossings were scored, the share of them in the 50, 80 and 95 %
band, the share before the median, and how often the analyte named is the one that crosses first.

Scored is a fill whose joint median lies after its last sample; one that never crosses counts as
censored. Everything is invented.
"""

import sys
from dataclasses import dataclass

import numpy as np
import pandas as pd

from chemcheck.forecasting import FleetTrend, joint_crossing
from tests.benchmarks.forecast_calibration import END, GRID, QUANTILES, STEP, say, share_held

START, START_SD, RATE_SD, NOISE, UNTIL = 9.0, 0.5, 0.15, 0.15, 1.5
RATES, BOUNDS, WALKS = (-0.8, -0.6, -1.0), (6.8, 7.2, 6.3), (0.0, 0.05, 0.1)
NAMES = ("first", "second", "third")


@dataclass(frozen=True)
class Scenario:
    """How a fleet is made: correlations between analytes."""

    fills: int = 200
    samples: int = 6
    between_fills: float = 0.0
    along_fills: float = 0.0
    errors: float = 0.0


SCENARIOS = {
    "independent analytes": Scenario(),
    "errors correlated by 0.6": Scenario(errors=0.6),
    "fills correlated by 0.6": Scenario(between_fills=0.6),
    "all correlated by 0.6": Scenario(between_fills=0.6, along_fills=0.6, errors=0.6),
    "all correlated by 0.9": Scenario(between_fills=0.9, along_fills=0.9, errors=0.9),
    "5 fills of 4, correlated by 0.6": Scenario(5, 4, 0.6, 0.6, 0.6),
}


@dataclass(frozen=True)
class Fleet:
    """Readings of three analytes, (3, n), and each fill's first crossing and what it was by."""

    x: np.ndarray
    y: np.ndarray
    groups: np.ndarray
    crossing: np.ndarray
    by: np.ndarray


def together(random: np.random.Generator, correlation: float, *shape: int) -> np.ndarray:
    """Draw normals of shape (3, ...) that are correlated along the first."""
    own = random.normal(size=(len(NAMES), *shape))
    shared = random.normal(size=shape)
    drawn: np.ndarray = np.sqrt(correlation) * shared + np.sqrt(1.0 - correlation) * own
    return drawn


def make(scenario: Scenario, random: np.random.Generator) -> Fleet:
    """Draw a fleet."""
    fills, samples = scenario.fills, scenario.samples
    walk = np.sqrt(np.array(WALKS) * STEP)[:, None, None]
    rate = np.array(RATES)[:, None] + RATE_SD * together(random, scenario.between_fills, fills)
    start = START + START_SD * together(random, scenario.between_fills, fills)
    steps = walk * together(random, scenario.along_fills, fills, GRID.size)
    path = start[..., None] + rate[..., None] * GRID + steps.cumsum(axis=2)
    place = np.sort(random.integers(0, round(UNTIL / STEP), (fills, samples)), axis=1)
    y = np.take_along_axis(path, place[None], axis=2)
    y = y + NOISE * together(random, scenario.errors, *place.shape)
    below = path < np.array(BOUNDS)[:, None, None]
    each = np.where(below.any(axis=2), GRID[below.argmax(axis=2)], np.inf)
    return Fleet(
        GRID[place].reshape(-1, 1),
        y.reshape(len(NAMES), -1),
        np.repeat(np.arange(fills), samples),
        each.min(axis=0),
        each.argmin(axis=0),
    )


def forecast(fleet: Fleet) -> tuple[pd.DataFrame, np.ndarray]:
    """Say when some bound is passed, and the chance that it is by the end."""
    facing = {}
    stays = np.ones(fleet.crossing.size)
    for name, y, bound in zip(NAMES, fleet.y, BOUNDS, strict=True):
        trend = FleetTrend().fit(fleet.x, y, groups=fleet.groups)
        facing[name] = (trend, bound, "below")
        stays *= 1.0 - trend.crossing_probability(bound, "below", END).to_numpy()
    return joint_crossing(facing, quantiles=QUANTILES, horizon=END), 1.0 - stays


def study(scenario: Scenario, crossings: int, seed: int) -> str:
    """Forecast fleets until enough crossings are scored."""
    random = np.random.default_rng(seed)
    held: dict[int, list[np.ndarray]] = {50: [], 80: [], 95: []}
    early, named, scored = [], [], 0
    while scored < crossings:
        fleet = make(scenario, random)
        table, by_end = forecast(fleet)
        last = np.maximum.reduceat(fleet.x[:, 0], np.arange(0, fleet.x.size, scenario.samples))
        median = table["p50"].to_numpy()
        ahead = np.isfinite(median) & (median > last)
        for band, parts in held.items():
            parts.append(share_held(table, fleet.crossing, by_end, band)[ahead])
        early.append((fleet.crossing <= median)[ahead])
        named.append((table["limiting"].to_numpy() == np.array(NAMES)[fleet.by])[ahead])
        scored += int(ahead.sum())
    shares = [100 * np.concatenate(parts).mean() for parts in (*held.values(), early, named)]
    return f"{scored:7d}" + "".join(f"{share:7.1f}" for share in shares)


def main(crossings: int, seed: int) -> None:
    """Print the coverage of every scenario."""
    say(
        f"{'scenario':32}{'scored':>7}{'50 %':>7}{'80 %':>7}{'95 %':>7}{'early':>7}{'named':>7}"
        f"  seed {seed}"
    )
    for name, scenario in SCENARIOS.items():
        say(f"{name:32}{study(scenario, crossings, seed)}")


if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:]]
    main(*(numbers + [1500, 20260104][len(numbers) :]))
