"""Do forecast bands hold what they say? Fleets of known truth, the model chosen by the data.

Run by hand from the project's root: ``python -m tests.benchmarks.forecast_calibration [CROSSINGS]
[SEED] [SCENARIO ...]`` (1,500 a scenario by default). For every scenario it prints how many
crossings were scored, the share of them in the 50, 80 and 95 % band, the Monte Carlo error of the
second from one fleet to the next, the share before the median, the interval score of the 80 % band
over that of a model that is told the true form, and over that of one that is told the true
variances, how many never crossed, and what the data chose. Then, unless scenarios are named, the
bias of the parameters at 0, 30 and 60 % non-detects.

A crossing is scored where the forecast says `ahead`. A unit that has not crossed by the end of
its true path counts as censored: with the share of its remaining probability that lies in the
band. Everything is invented; reserve falls from 9 by 0.8 a unit of axis, or of first order at the
same rate to begin with. Whoever tunes the model
by these figures takes another seed than the report.
"""

import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.crossing_table import Crossings
from chemcheck.forecasting.curves import Curve
from chemcheck.forecasting.fleet_model import condition_fleet
from chemcheck.forecasting.fleet_readings import FleetReadings, scale_readings
from chemcheck.forecasting.outlook import Outlook
from chemcheck.forecasting.variances import one_way

STEP, END = 0.01, 20.0
GRID = np.arange(0.0, END, STEP)
QUANTILES = (0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975)
NOISE, START, START_SD, RATE_SD = 0.15, 9.0, 0.5, 0.15


@dataclass(frozen=True)
class Scenario:
    """How a fleet is made."""

    fills: int = 200
    samples: int = 6
    walks: tuple[float, ...] = (0.0,)
    two_kinds: bool = False
    top_ups: float = 0.0
    wild: float = 0.0
    bound: float = 6.5
    detection: float | None = None
    strip_step: float | None = None
    rate: float = -0.8
    rate_sd: float = RATE_SD
    first_order: bool = False
    knows_truth: bool = True


SCENARIOS = {
    "independent errors": Scenario(),
    "walk": Scenario(walks=(0.1,)),
    "mixture of two kinds of fill": Scenario(walks=(0.02,), two_kinds=True, knows_truth=False),
    "top-ups": Scenario(top_ups=0.7, knows_truth=False),
    "wild readings": Scenario(wild=0.06, knows_truth=False),
    "non-detects": Scenario(detection=8.0, bound=7.5),
    "strips": Scenario(strip_step=0.7),
    "some never cross": Scenario(rate=-0.4, rate_sd=0.25, bound=7.5),
    "first-order loss": Scenario(first_order=True, walks=(0.02,)),
    "20 fills, first-order loss": Scenario(fills=20, walks=(0.0, 0.05), first_order=True),
    "5 fills of 4, first-order loss": Scenario(
        fills=5, samples=4, walks=(0.0, 0.05), first_order=True
    ),
    "20 fills": Scenario(fills=20, walks=(0.0, 0.05)),
    "5 fills of 4 samples": Scenario(fills=5, samples=4, walks=(0.0, 0.05)),
    "3 fills": Scenario(fills=3, walks=(0.0, 0.05), knows_truth=False),
    "1 fill of 7 samples": Scenario(fills=1, samples=7, walks=(0.0, 0.05), knows_truth=False),
    "60 fills of 2 samples": Scenario(fills=60, samples=2, walks=(0.0, 0.05)),
}


@dataclass(frozen=True)
class Fleet:
    """Readings and the true crossing of every fill."""

    x: np.ndarray
    lower: np.ndarray
    upper: np.ndarray
    groups: np.ndarray
    crossing: np.ndarray
    walk: float


@dataclass
class Tally:
    """What the forecasts of a scenario came to."""

    held: dict[int, list[np.ndarray]] = field(default_factory=lambda: {50: [], 80: [], 95: []})
    early: list[np.ndarray] = field(default_factory=list)
    score: list[np.ndarray] = field(default_factory=list)
    score_of_form: list[np.ndarray] = field(default_factory=list)
    score_of_truth: list[np.ndarray] = field(default_factory=list)
    never: int = 0
    chosen: Counter[str] = field(default_factory=Counter)
    seconds: float = 0.0

    @property
    def crossings(self) -> int:
        return sum(part.size for part in self.held[80])


def say(line: str) -> None:
    """Print a line at once: a study takes minutes."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def make(scenario: Scenario, random: np.random.Generator, *, until: float = 1.5) -> Fleet:
    """Draw a fleet."""
    fills, samples = scenario.fills, scenario.samples
    walk = float(random.choice(scenario.walks))
    rate = scenario.rate + scenario.rate_sd * random.normal(size=fills)
    if scenario.two_kinds:
        slow = random.random(fills) < 0.7
        rate = np.where(slow, -0.6, -1.1) + 0.05 * random.normal(size=fills)
    path = START + START_SD * random.normal(size=(fills, 1)) + rate[:, None] * GRID
    if walk:
        path += random.normal(0.0, np.sqrt(walk * STEP), path.shape).cumsum(axis=1)
    if scenario.top_ups:
        topped = random.random(path.shape) < scenario.top_ups * STEP
        path += (topped * random.uniform(0.1, 0.4, path.shape)).cumsum(axis=1)
    if scenario.first_order:
        path = START * np.exp(path / START - 1.0)
    place = np.sort(random.integers(0, round(until / STEP), (fills, samples)), axis=1)
    y = np.take_along_axis(path, place, axis=1)
    error = NOISE * random.normal(size=place.shape)
    y = y * np.exp(error / START) if scenario.first_order else y + error
    if scenario.wild:
        y += (random.random(y.shape) < scenario.wild) * random.normal(size=y.shape)
    lower, upper = y.copy(), y.copy()
    if scenario.detection is not None:
        missed = y < scenario.detection
        lower[missed], upper[missed] = 0.0, scenario.detection
    if scenario.strip_step is not None:
        lower = np.floor(y / scenario.strip_step) * scenario.strip_step
        upper = lower + scenario.strip_step
    below = path < scenario.bound
    crossing = np.where(below.any(axis=1), GRID[below.argmax(axis=1)], np.inf)
    return Fleet(
        GRID[place].reshape(-1, 1),
        lower.ravel(),
        upper.ravel(),
        np.repeat(np.arange(fills), samples),
        crossing,
        walk,
    )


def told_the_truth(fleet: Fleet, scenario: Scenario) -> pd.DataFrame:
    """Forecast with the true variances."""
    lower = np.where((fleet.lower == 0.0) & (fleet.upper > 0.0), -np.inf, fleet.lower)
    curve = Curve("exponential" if scenario.first_order else "straight")
    scaled = scale_readings(FleetReadings(fleet.groups, fleet.x, lower, fleet.upper), curve)
    reading, axis = scaled.scale.reading, scaled.scale.axis
    if scenario.first_order:
        reading *= START
    true = one_way(NOISE**2, fleet.walk, [START_SD, 0.0, scenario.rate_sd])
    model = condition_fleet(scaled, true.rescaled(1.0 / reading, axis))
    bound = curve.reading(np.full(scenario.fills, scenario.bound))
    outlook = Outlook(model, bound, above=False)
    table = Crossings((outlook,), np.ones(1))
    return table.table(np.arange(scenario.fills), np.array(QUANTILES), END)


def share_held(
    table: pd.DataFrame, crossing: np.ndarray, by_end: np.ndarray, band: int
) -> np.ndarray:
    """Whether each crossing lies in the band; for those after the end, how much of it may."""
    tail = (1.0 - band / 100.0) / 2.0
    low, high = (table[f"p{100 * p:g}"].to_numpy() for p in (tail, 1.0 - tail))
    seen = (low <= crossing) & (crossing <= high)
    rest = np.maximum(1.0 - tail - np.maximum(by_end, tail), 0.0) / np.maximum(1 - by_end, 1e-12)
    return np.where(np.isfinite(crossing), seen, rest)


def interval_score(table: pd.DataFrame, fleet: Fleet) -> np.ndarray:
    """Width of the 80 % band, and ten times how far the crossing lies outside; all by the end."""
    low, high = (np.minimum(table[name].to_numpy(), END) for name in ("p10", "p90"))
    crossing = np.minimum(fleet.crossing, END)
    outside = np.maximum(low - crossing, 0.0) + np.maximum(crossing - high, 0.0)
    return high - low + 10.0 * outside


def study(
    scenario: Scenario, crossings: int, seed: int, fit: Callable[[Fleet], FleetTrend]
) -> Tally:
    """Forecast fleets until enough crossings are scored."""
    random, tally = np.random.default_rng(seed), Tally()
    while tally.crossings < crossings:
        fleet = make(scenario, random)
        start = time.process_time()
        try:
            trend = fit(fleet)
        except ValueError:
            tally.chosen["refused"] += 1
            continue
        tally.seconds += time.process_time() - start
        tally.chosen[f"{trend.curve_} {trend.errors_}"] += 1
        table = trend.first_crossing(scenario.bound, "below", quantiles=QUANTILES, horizon=END)
        by_end = trend.crossing_probability(scenario.bound, "below", END).to_numpy()
        ahead = (table["status"] == "ahead").to_numpy()
        for band, held in tally.held.items():
            held.append(share_held(table, fleet.crossing, by_end, band)[ahead])
        tally.never += int(np.isinf(fleet.crossing[ahead]).sum())
        tally.early.append((fleet.crossing <= table["p50"].to_numpy())[ahead])
        if scenario.knows_truth:
            tally.score.append(interval_score(table, fleet)[ahead])
            form = FleetTrend(
                curve="exponential" if scenario.first_order else "straight",
                errors="walk" if fleet.walk else "independent",
            )
            form.fit(fleet.x, fleet.lower, groups=fleet.groups, y_upper=fleet.upper)
            told = form.first_crossing(scenario.bound, "below", quantiles=QUANTILES, horizon=END)
            tally.score_of_form.append(interval_score(told, fleet)[ahead])
            truth = told_the_truth(fleet, scenario)
            tally.score_of_truth.append(interval_score(truth, fleet)[ahead])
    return tally


def fit_default(fleet: Fleet) -> FleetTrend:
    """Fit as a user would who says nothing about the model."""
    groups = None if fleet.groups.max() == 0 else fleet.groups
    return FleetTrend().fit(fleet.x, fleet.lower, groups=groups, y_upper=fleet.upper)


def bands(crossings: int, seed: int, names: list[str]) -> None:
    """Print the coverage of every scenario, and pooled."""
    say(
        f"{'scenario':30}{'scored':>7}{'50 %':>7}{'80 %':>7}{'error':>6}{'95 %':>7}{'early':>7}"
        f"{'form':>7}{'truth':>7}{'never':>6}  seed {seed}"
    )
    pooled = []
    for name in names:
        tally = study(SCENARIOS[name], crossings, seed, fit_default)
        held = {band: np.concatenate(parts) for band, parts in tally.held.items()}
        pooled.append(held[80].mean())
        score = " " * 14
        if tally.score:
            mine = np.concatenate(tally.score).mean()
            others = (tally.score_of_form, tally.score_of_truth)
            score = "".join(f"{mine / np.concatenate(other).mean():7.3f}" for other in others)
        middle, usual, wide = (f"{100 * held[band].mean():7.1f}" for band in (50, 80, 95))
        early = 100 * np.concatenate(tally.early).mean()
        fleets = sum(tally.chosen.values())
        chosen = ", ".join(f"{count} {kind}" for kind, count in tally.chosen.most_common(3))
        say(
            f"{name:30}{held[80].size:7d}{middle}{usual}{100 * by_fleet(tally.held[80]):6.1f}{wide}"
            f"{early:7.1f}{score}{tally.never:6d}"
            f"  {1000 * tally.seconds / fleets:.0f} ms a fit; {chosen}"
        )
    say(f"{'all scenarios alike':30}{'':14}{100 * np.mean(pooled):7.1f}")


def by_fleet(parts: list[np.ndarray]) -> float:
    """Error of a share, whose cases of one fleet hang together."""
    scored = np.array([part.size for part in parts])
    sums = np.array([part.sum() for part in parts])
    away = sums - scored * sums.sum() / scored.sum()
    return float(np.sqrt((away**2).sum()) / scored.sum())


def parameters(fleets: int, seed: int) -> None:
    """Print the bias of the parameters at several shares of non-detects."""
    truth = np.array([-0.8, START_SD**2, RATE_SD**2, NOISE**2])
    say("\nbias in % of the truth, and its Monte Carlo error: slope, start, rate, error")
    for share in (0.0, 0.3, 0.6):
        random, found = np.random.default_rng(seed), []
        for _ in range(fleets):
            fleet = make(Scenario(fills=1000), random, until=3.0)
            limit = np.quantile(fleet.lower, share)
            missed = fleet.lower < limit
            fleet = replace(
                fleet,
                lower=np.where(missed, 0.0, fleet.lower),
                upper=np.where(missed, limit, fleet.upper),
            )
            trend = FleetTrend(curve="straight", errors="independent").fit(
                fleet.x, fleet.lower, groups=fleet.groups, y_upper=fleet.upper
            )
            spread = trend.random_covariance_
            found.append([trend.slope_, spread[0, 0], spread[1, 1], trend.noise_variance_])
        bias = 100.0 * (np.mean(found, axis=0) / truth - 1.0)
        error = 100.0 * np.std(found, axis=0) / np.sqrt(fleets) / np.abs(truth)
        figures = "  ".join(f"{b:6.2f} ({e:.2f})" for b, e in zip(bias, error, strict=True))
        say(f"{share:4.0%} non-detects  {figures}")


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 1500
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 20260101
    bands(wanted, first, sys.argv[3:] or list(SCENARIOS))
    if not sys.argv[3:]:
        parameters(max(wanted // 15, 4), first + 1)
