"""Exchange of files with the interpreter that has the libraries lifetimes are compared with."""

import csv
import os
import subprocess
from pathlib import Path

import numpy as np

from tests.planning.published import FIELDS, Intervals

VARIABLE = "CHEMCHECK_REFERENCE_PYTHON"
ELSEWHERE = Path(__file__).parent / "lifetimes_elsewhere.py"

# Revolutions to failure of 23 deep-groove ball bearings [millions]: Lieblein, J. and Zelen, M.
# (1956), J. Res. Natl. Bur. Stand. 57, 273-316; figures from memory.
BALL_BEARINGS = np.array(
    [
        [17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.40, 51.84, 51.96, 54.12, 55.56, 67.80],
        [68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40, np.nan],
    ]
).ravel()[:-1]


def interpreter() -> str | None:
    """Return the other interpreter, if there is one."""
    return os.environ.get(VARIABLE) or None


def run(*arguments: str | Path) -> None:
    """Run the script with the other interpreter."""
    python = interpreter()
    assert python is not None, VARIABLE
    subprocess.run([python, str(ELSEWHERE), *map(str, arguments)], check=True, timeout=300)


def simulated() -> Intervals:
    """Make lifetimes of every kind, with weights, from a fixed seed."""
    rng = np.random.default_rng(20)
    times = np.sort(6000.0 * rng.weibull(2.2, 150)).round(1)
    first = rng.uniform(0.0, 400.0, times.size).round(1)
    before = first + 500.0 * np.floor((times - first) / 500.0)
    seen = times < 8000.0
    lower = np.where(seen, np.maximum(before, 0.0), 8000.0)
    upper = np.where(seen, before + 500.0, np.inf)
    exact = seen & (rng.uniform(size=times.size) < 0.2)
    lower, upper = np.where(exact, times, lower), np.where(exact, times, upper)
    early = seen & ~exact & (rng.uniform(size=times.size) < 0.1)
    whole = np.ones(times.size)
    mixed = np.where(early, 0.0, lower)
    return {
        "simulated, all kinds": np.array([mixed, upper, whole]),
        "simulated, weighted": np.array([mixed, upper, rng.choice([0.5, 1.0, 2.25], times.size)]),
        "ball bearings, Lieblein and Zelen 1956": np.array(
            [BALL_BEARINGS, BALL_BEARINGS, np.ones(BALL_BEARINGS.size)]
        ),
    }


def write_intervals(path: Path, sets: Intervals) -> None:
    """Write data sets as the script reads them."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(FIELDS)
        for name, rows in sets.items():
            for lower, upper, weight in rows.T:
                end = "" if np.isinf(upper) else f"{upper:.12g}"
                writer.writerow((name, f"{lower:.12g}", end, f"{weight:.12g}"))
