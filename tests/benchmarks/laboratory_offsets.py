"""Fleets that several laboratories measured: offsets, rates and crossings against known truth.

Run from the project's root: ``python tests/benchmarks/laboratory_offsets.py [FLEETS]``.
"""

import sys
import time
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.level_offsets import level_offsets
from chemcheck.forecasting.level_readings import LevelReadings
from tests.forecasting.laboratories import Measured, measured_fleet, shared_prior

PRIOR, BOUND, STEP, AHEAD = 0.05, 6.0, 0.01, 30.0
CENTRAL = {0.50: 0.6745, 0.80: 1.2816, 0.95: 1.9600}


@dataclass(frozen=True)
class Scenario:
    """A kind of fleet."""

    units: int
    rounds: int
    laboratories: int
    walk: float
    who: str = "random"


SCENARIOS = (
    Scenario(12, 6, 2, 0.0),
    Scenario(12, 6, 3, 0.2),
    Scenario(5, 4, 2, 0.1),
    Scenario(30, 6, 3, 0.2),
    Scenario(12, 6, 2, 0.1, "later"),
)


def offsets_line(scenario: Scenario, fleets: int) -> str:
    """Say how often bands hold the true offset, and how far off it was."""
    missed, errors, deviations = [], [], []
    started = time.perf_counter()
    for seed in range(1_000, 1_000 + fleets):
        made = measured_fleet(seed, **vars(scenario))
        prior = shared_prior(scenario.laboratories, PRIOR)
        found = level_offsets(made.readings, prior)
        deviation = np.sqrt(np.diag(found.covariance))
        errors.extend(found.offset - made.offset)
        deviations.extend(deviation)
        missed.extend((found.offset - made.offset) / deviation)
    taken = (time.perf_counter() - started) / fleets
    held = [np.mean(np.abs(missed) < width) for width in CENTRAL.values()]
    return (
        f"{'/'.join(f'{100 * share:.0f}' for share in held):>9} %   error "
        f"{100 * np.sqrt(np.mean(np.square(errors))):.2f} %, said {100 * np.mean(deviations):.2f} "
        f"% (prior {100 * PRIOR * np.sqrt(2):.1f} %)   {taken:.2f} s"
    )


def crossings(made: Measured, scenario: Scenario, seed: int) -> np.ndarray:
    """Let each fill go on as it did until it passes the bound, as its reference would read it."""
    random = np.random.default_rng(seed + 1)
    last = made.readings.axis[scenario.rounds - 1 :: scenario.rounds]
    steps = made.rates[:, None] * STEP + random.normal(
        0.0, scenario.walk * np.sqrt(STEP), (scenario.units, int(AHEAD / STEP))
    )
    path = made.level[:, None] + np.cumsum(steps, axis=1)
    passed = path < BOUND
    place = np.where(passed.any(axis=1), passed.argmax(axis=1), np.inf)
    return last + STEP * place


def crossing_line(scenario: Scenario, fleets: int) -> str:
    """Say how the 80 % band of crossings does, ignoring offsets, corrected, with their doubt."""
    held: dict[str, list[bool]] = {"ignored": [], "corrected": [], "with doubt": []}
    width: dict[str, list[float]] = {name: [] for name in held}
    bias: dict[str, list[float]] = {name: [] for name in held}
    for seed in range(5_000, 5_000 + fleets):
        made = measured_fleet(seed, **vars(scenario))
        readings = made.readings
        found = level_offsets(readings, shared_prior(scenario.laboratories, PRIOR))
        corrected, _ = readings.corrected(found.offset)
        who = readings.level[:, None] == np.arange(1, scenario.laboratories)
        doubts = (who * corrected[:, None]) @ np.linalg.cholesky(found.covariance)
        x = readings.axis[:, None]
        truth = crossings(made, scenario, seed)
        series = {
            "ignored": (readings.lower, None),
            "corrected": (corrected, None),
            "with doubt": (corrected, doubts),
        }
        for name, (y, unsure) in series.items():
            trend = FleetTrend().fit(x, y, groups=readings.fill, doubts=unsure)
            table = trend.first_crossing(BOUND, "below")
            low, middle, high = (table[column].to_numpy() for column in ("p10", "p50", "p90"))
            held[name].extend((low <= truth) & (truth <= high))
            width[name].extend((high - low)[np.isfinite(high)])
            bias[name].append(float(np.median(middle - truth)))
    return "   ".join(
        f"{name} {100 * np.mean(held[name]):.0f} % in {np.median(width[name]):.2f} "
        f"(off by {np.mean(bias[name]):+.2f})"
        for name in held
    )


def time_line(units: int) -> str:
    """Say what offsets cost beside the trend itself in a large fleet."""
    made = measured_fleet(1, units=units, rounds=6)
    readings: LevelReadings = made.readings
    x = readings.axis[:, None]
    started = time.perf_counter()
    found = level_offsets(readings, shared_prior(2, PRIOR))
    offsets = time.perf_counter() - started
    corrected, _ = readings.corrected(found.offset)
    times = []
    for unsure in (None, (readings.level == 1)[:, None] * corrected[:, None] * 0.01):
        started = time.perf_counter()
        trend = FleetTrend().fit(x, corrected, groups=readings.fill, doubts=unsure)
        trend.first_crossing(BOUND, "below")
        times.append(time.perf_counter() - started)
    return (
        f"{units:>7,} units x 6: offsets {offsets:.2f} s; fit and crossings {times[0]:.2f} s, "
        f"with doubt {times[1]:.2f} s"
    )


def main() -> None:
    """Print all."""
    fleets = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    warnings.simplefilter("ignore")
    write = sys.stdout.write
    write("offset within its 50/80/95 % band\n")
    for scenario in SCENARIOS:
        write(f"  {vars(scenario)}\n    {offsets_line(scenario, fleets)}\n")
    write("true crossing within the 80 % band, and the band's width\n")
    for scenario in SCENARIOS:
        write(f"  {vars(scenario)}\n    {crossing_line(scenario, max(fleets // 4, 3))}\n")
    for units in (200, 20_000, 100_000):
        write(time_line(units) + "\n")


if __name__ == "__main__":
    main()
