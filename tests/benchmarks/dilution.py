"""Does correcting for dilution make forecasts better? Fleets of known truth with water top-ups.

Run by hand from the project's root: ``python -m tests.benchmarks.dilution [FLEETS] [SEED]`` (12
fleets by default). Every unit loses nitrite by its own chemistry and is topped up with water by
chance, at a rate of its own; half of the fleet hardly leaks. The bound is passed by the true
nitrite of the coolant as it is, the top-ups going on. For each scenario the same readings are
forecast with the correction and without: error of the median in percent of the true travel still
to go, the same of the leaking half alone, and the share of crossings in the 80 % band. Everything
is invented.
"""

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from chemcheck.assessment.forecast import forecast
from chemcheck.forecasting import FleetTrend
from chemcheck.intake.read import read_results

START, GLYCOL, BOUND = 1800.0, 50.0, 800.0
STEP, END = 10.0, 20_000.0
GRID = np.arange(0.0, END, STEP)


@dataclass(frozen=True)
class Scenario:
    """How a fleet is made: rates are per 1,000 h."""

    units: int = 40
    samples: int = 5
    until: float = 1800.0
    loss: float = 0.25
    first_order: bool = True
    leak: float = 0.10
    share: float = 0.05
    begins: float = 0.0


SCENARIOS = {
    "first-order loss, 5 % top-ups": Scenario(),
    "steady loss, 5 % top-ups": Scenario(first_order=False),
    "three samples a unit": Scenario(samples=3),
    "three samples a unit, steady loss": Scenario(samples=3, first_order=False),
    "two samples a unit": Scenario(samples=2),
    "two samples a unit, steady loss": Scenario(samples=2, first_order=False),
    "10 % top-ups": Scenario(share=0.10),
    "the leak begins half-way": Scenario(begins=900.0),
}


@dataclass(frozen=True)
class Fleet:
    """Samples of a fleet and where each unit's true nitrite passes the bound."""

    samples: pd.DataFrame
    crossing: np.ndarray
    leaks: np.ndarray


def simulate(scenario: Scenario, seed: int) -> Fleet:
    """Make one fleet."""
    random = np.random.default_rng(seed)
    n = scenario.units
    leaks = np.arange(n) % 2 == 0
    rate = np.where(leaks, scenario.leak * np.exp(random.normal(0, 0.3, n)), 0.005) / 1000.0
    begins = np.where(leaks, scenario.begins, 0.0)
    chance = rate * STEP / scenario.share
    events = (random.random((n, GRID.size)) < chance[:, None]) & (begins[:, None] < GRID)
    left = np.exp(np.cumsum(np.where(events, np.log1p(-scenario.share), 0.0), axis=1))
    k = scenario.loss * np.exp(random.normal(0, 0.15, n))[:, None] / 1000.0
    start = START * np.exp(random.normal(0, 0.03, n))[:, None]
    chemistry = np.exp(-k * GRID) if scenario.first_order else np.maximum(1 - k * GRID, 0.0)
    nitrite = start * chemistry * left
    passed = nitrite < BOUND
    crossing = np.where(passed.any(axis=1), GRID[passed.argmax(axis=1)], np.inf)
    rows = []
    for unit in range(n):
        hours = np.sort(random.choice(int(scenario.until / STEP), scenario.samples, replace=False))
        for place in hours.tolist():
            rows.append(
                {
                    "Unit ID": f"U{unit:03d}",
                    "Date Sampled": (
                        pd.Timestamp("2031-01-01") + pd.Timedelta(GRID[place] / 10, "D")
                    ).date(),
                    "Hours": GRID[place],
                    "Glycol (vol%)": GLYCOL * left[unit, place] * np.exp(random.normal(0, 0.012)),
                    "Nitrite NO2 (mg/L)": nitrite[unit, place] * np.exp(random.normal(0, 0.02)),
                }
            )
    frame = pd.DataFrame(rows)
    frame["Material"] = "coolant"
    frame["Technology"] = "heavy duty with supplemental additive"
    return Fleet(frame, crossing, leaks)


def corrected(fleet: Fleet) -> pd.DataFrame:
    """Forecast as the command does."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "fleet.csv"
        fleet.samples.to_csv(path, index=False, float_format="%.4g")
        answer = forecast(read_results([str(path)]), limits=["heavy_duty_additive_in_service"])
    columns = [column.analyte for column in answer.readings.columns]
    mine = answer.analytes[
        (answer.analytes["column"] == columns.index("nitrite"))
        & (answer.analytes["side"] == "lower")
    ]
    # The command counts from each unit's first sample; the truth from the fill.
    first = fleet.samples.groupby("Unit ID")["Hours"].min().to_numpy()
    return mine[["p10", "p50", "p90"]].reset_index(drop=True).add(first, axis=0)


def uncorrected(fleet: Fleet) -> pd.DataFrame:
    """Fit the readings as they are."""
    samples = fleet.samples
    first = samples.groupby("Unit ID")["Hours"].transform("min")
    trend = FleetTrend().fit(
        (samples["Hours"] - first).to_numpy()[:, None],
        samples["Nitrite NO2 (mg/L)"].to_numpy(),
        groups=samples["Unit ID"].to_numpy(),
    )
    table = trend.first_crossing(BOUND, "below", horizon=END)[["p10", "p50", "p90"]]
    return table.reset_index(drop=True).add(
        first.groupby(samples["Unit ID"]).first().to_numpy(), axis=0
    )


def score(fleet: Fleet, table: pd.DataFrame) -> pd.DataFrame:
    """Score the crossings still ahead at the last sample."""
    last = fleet.samples.groupby("Unit ID")["Hours"].max().to_numpy()
    truth = fleet.crossing
    scored = np.isfinite(truth) & (truth > last)
    ahead = np.maximum(truth - last, STEP)
    low, middle, high = (np.minimum(table[name].to_numpy(), END) for name in ("p10", "p50", "p90"))
    return pd.DataFrame(
        {
            "error": (middle - truth) / ahead,
            "held": (truth >= low) & (truth <= high),
            "score": (
                high - low + 10 * np.maximum(low - truth, 0) + 10 * np.maximum(truth - high, 0)
            ),
            "leaks": fleet.leaks,
        }
    )[scored]


def say(line: str) -> None:
    """Write one line at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main(fleets: int, first: int) -> None:
    """Print each scenario's scores with and without the correction."""
    say("bias and median size of the error of p50 [% of what is left], 80 % band, score ratio")
    for name, scenario in SCENARIOS.items():
        tables: dict[str, list[pd.DataFrame]] = {"corrected": [], "as read": []}
        for seed in range(first, first + fleets):
            fleet = simulate(scenario, seed)
            tables["corrected"].append(score(fleet, corrected(fleet)))
            tables["as read"].append(score(fleet, uncorrected(fleet)))
        say(f"{name}:")
        joined = {way: pd.concat(parts) for way, parts in tables.items()}
        usual = np.median(joined["as read"]["score"])
        for way, table in joined.items():
            finite = table[np.isfinite(table["error"])]
            half = finite.groupby("leaks")["error"].median()
            say(
                f"  {way:10s} n {len(table):4d}  bias {100 * finite['error'].median():6.1f}"
                f"  leaking {100 * half[True]:6.1f}  tight {100 * half[False]:6.1f}"
                f"  size {100 * finite['error'].abs().median():5.1f}"
                f"  held {100 * table['held'].mean():5.1f}"
                f" (leaking {100 * table[table['leaks']]['held'].mean():5.1f},"
                f" tight {100 * table[~table['leaks']]['held'].mean():5.1f})"
                f"  score {np.median(table['score']) / usual:5.2f}"
            )


if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:]]
    main(*(numbers + [12, 0][len(numbers) :]))
