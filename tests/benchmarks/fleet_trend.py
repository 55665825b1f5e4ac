"""Time fleet trends against statsmodels' mixed model and its straight lines, in one run.

Run by hand from the project's root with an interpreter that has statsmodels:
``python -m tests.benchmarks.fleet_trend [FILLS ...]``. First the mixed model on 2,000 fills of 6
samples, the same model by both. Then the whole default path (choice of curve and errors, fit,
p10, p50 and p90 of the crossing) of three analytes on 100,000 fills of 6, against a loop of
ordinary least squares over the 300,000 series, timed on the first 10,000 of them. Last the
default path of one analyte for the numbers of fills given (100,000, 300,000 and 1,000,000 unless
told), each in a process of its own, with its peak memory. Seconds of the processor, least of
three where short; everything is invented.
"""

import resource
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np

from chemcheck.forecasting import FleetTrend

MIXED_FILLS, FILLS, SAMPLES, ANALYTES, LOOP = 2_000, 100_000, 6, 3, 10_000
BOUND = 6.0


def say(line: str) -> None:
    """Print a line at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def seconds(work: Callable[[], object], rounds: int = 3) -> float:
    """Least processor time of some rounds."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def fleet(fills: int, seed: int, walk: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A reserve sampled over 1,500 h: places, readings, fills."""
    random = np.random.default_rng(seed)
    hours = np.sort(random.uniform(0.0, 1500.0, (fills, SAMPLES)), axis=1)
    gained = walk * np.diff(hours, axis=1, prepend=0.0)
    wander = (np.sqrt(gained) * random.normal(size=hours.shape)).cumsum(axis=1)
    start = 9.0 + 0.5 * random.normal(size=(fills, 1))
    rate = 8e-4 * (1.0 + 0.2 * random.normal(size=(fills, 1)))
    y = start - rate * hours + wander + 0.15 * random.normal(size=hours.shape)
    return hours.reshape(-1, 1), y.ravel(), np.repeat(np.arange(fills), SAMPLES)


def default_path(X: np.ndarray, y: np.ndarray, groups: np.ndarray) -> FleetTrend:
    """Choose, fit and forecast, as a user would who says nothing about the model."""
    trend = FleetTrend().fit(X, y, groups=groups)
    trend.first_crossing(BOUND, "below")
    return trend


def against_mixed_model() -> None:
    """Fit the same model on the same readings by both."""
    from statsmodels.regression.mixed_linear_model import MixedLM

    X, y, groups = fleet(MIXED_FILLS, 1, walk=0.0)
    hours = X[:, 0] / 1000.0
    design = np.column_stack((np.ones_like(hours), hours))
    other = MixedLM(y, design, groups=groups, exog_re=design)
    slow = seconds(lambda: other.fit(reml=True), rounds=1)
    mine = FleetTrend(curve="straight", errors="independent")
    fast = seconds(lambda: mine.fit(hours[:, None], y, groups=groups))
    theirs = other.fit(reml=True)
    away = mine.restricted_log_likelihood_ - theirs.llf
    say(
        f"mixed model, {MIXED_FILLS:,} x {SAMPLES}: statsmodels {slow:.2f} s, FleetTrend "
        f"{1000 * fast:.1f} ms, {slow / fast:.0f} times faster; log-likelihood {away:+.1e} apart"
    )


def against_straight_lines() -> None:
    """Run the default path on three analytes, and ordinary least squares on each series."""
    from statsmodels.regression.linear_model import OLS

    X, y, _ = fleet(LOOP, 0, walk=0.0)
    hours, readings = X.reshape(LOOP, SAMPLES), y.reshape(LOOP, SAMPLES)

    def loop() -> None:
        for x, values in zip(hours, readings, strict=True):
            OLS(values, np.column_stack((np.ones(SAMPLES), x))).fit()

    slow = seconds(loop) * ANALYTES * FILLS / LOOP
    chosen: list[FleetTrend] = []
    analytes = [fleet(FILLS, seed, walk) for seed, walk in enumerate((0.0, 2e-5, 6e-5))]
    fast = seconds(lambda: chosen.extend(default_path(*part) for part in analytes), rounds=1)
    kinds = ", ".join(f"{trend.curve_} {trend.errors_}" for trend in chosen)
    say(
        f"default path, {FILLS:,} x {SAMPLES} x {ANALYTES}: {fast:.2f} s ({kinds}); "
        f"loop of least squares {slow:.1f} s, {slow / fast:.1f} times longer"
    )


def grow(sizes: list[int]) -> None:
    """Run the default path of one analyte on ever more fills, in a process each."""
    for fills in sizes:
        done = subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.fleet_trend", "--one", str(fills)],
            check=True,
            capture_output=True,
            text=True,
        )
        say(done.stdout.strip())


def one(fills: int) -> None:
    """Time the default path once, and tell the peak memory of the process."""
    default_path(*fleet(500, 1, walk=2e-5))
    X, y, groups = fleet(fills, 1, walk=2e-5)
    start = time.process_time()
    trend = FleetTrend().fit(X, y, groups=groups)
    fitted = time.process_time()
    trend.first_crossing(BOUND, "below")
    end = time.process_time()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    say(
        f"{fills:>9,} fills: fit {fitted - start:.2f} s, crossings {end - fitted:.2f} s, "
        f"{1e6 * (end - start) / fills:.1f} s a million; peak {peak:,.0f} MiB"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        one(int(sys.argv[2]))
    else:
        against_mixed_model()
        against_straight_lines()
        grow([int(text) for text in sys.argv[1:]] or [100_000, 300_000, 1_000_000])
