"""Time fits of lifetimes known as intervals against plainer ways to the same answer, in one run.

Run by hand: ``python -m tests.benchmarks.lifetimes [N]``; N lifetimes, 100,000 unless told.
"""

import sys
import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from chemcheck.planning import fit_lifetime, lifetimes_from_samples, turnbull

Floats = NDArray[np.float64]


def simulate(n: int) -> tuple[Floats, Floats]:
    """Make n intervals 500 h wide, every unit sampled at ages of its own."""
    rng = np.random.default_rng(1)
    times, first = 6000.0 * rng.weibull(2.2, n), rng.uniform(0.0, 500.0, n)
    before = first + 500.0 * np.floor((times - first) / 500.0)
    seen = before < 8500.0
    return np.where(seen, np.maximum(before, 0.0), 8500.0), np.where(seen, before + 500.0, np.inf)


def by_general_optimiser(lower: Floats, upper: Floats) -> tuple[float, float]:
    """Maximise the same likelihood without derivatives."""

    def minus(logs: Floats) -> float:
        scale, shape = np.exp(logs)
        at_low, at_high = (lower / scale) ** shape, (upper / scale) ** shape
        between = np.exp(-at_low) - np.exp(-at_high)
        return -float(np.sum(np.log(np.maximum(between, 1e-300))))

    found = minimize(minus, np.log([lower.mean(), 1.5]), method="Nelder-Mead")
    scale, shape = np.exp(found.x)
    return float(scale), float(shape)


def seconds(run: Callable[[], object], rounds: int = 3) -> float:
    """Return the least time of some rounds [s]."""
    least = np.inf
    for _ in range(rounds):
        start = time.perf_counter()
        run()
        least = min(least, time.perf_counter() - start)
    return least


def main(n: int) -> None:
    """Print times, and the ratio to the general optimiser."""
    lower, upper = simulate(n)
    general = seconds(lambda: by_general_optimiser(lower, upper), rounds=1)
    lines = [f"{n:,} intervals, general optimiser, weibull    {general:8.3f} s"]
    for family in ("weibull", "lognormal", "exponential"):
        taken = seconds(lambda family=family: fit_lifetime(lower, upper, family=family))
        lines.append(f"fit, {family:39} {taken:8.3f} s  ratio {general / taken:5.1f}")
    life = fit_lifetime(lower, upper)
    limits = seconds(lambda: (life.shape_limits(), life.quantile_limits(0.1)), rounds=1)
    lines.append(f"limits of shape and a quantile               {limits:8.3f} s")
    free = seconds(lambda: turnbull(lower, upper), rounds=1)
    lines.append(f"survival without a family                    {free:8.3f} s")
    fill = np.repeat(np.arange(n), 6)
    age = np.tile(np.arange(1, 7) * 250.0, n)
    outside = age > np.repeat(lower, 6)
    made = seconds(lambda: lifetimes_from_samples(age, outside, fill))
    lines.append(f"intervals from {6 * n:,} samples{'':15} {made:8.3f} s")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
