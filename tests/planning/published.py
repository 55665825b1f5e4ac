"""Lifetimes and what other libraries make of them, as committed."""

import csv
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

FOLDER = Path(__file__).parents[1] / "published"
INTERVALS = FOLDER / "lifetime_intervals.csv"
ANSWERS = FOLDER / "lifetimes.csv"
FIELDS = ("dataset", "lower", "upper", "weight")

# Of each data set an array of lower, upper, weight.
Intervals = dict[str, NDArray[np.float64]]


class Answer(NamedTuple):
    """One number that a library gives."""

    subject: str
    case: str
    family: str
    quantity: str
    value: float
    library: str
    version: str


def read_intervals(path: Path = INTERVALS) -> Intervals:
    """Read the data sets; no upper end is infinite."""
    sets: dict[str, list[tuple[float, float, float]]] = {}
    with path.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            numbers = float(row["lower"]), float(row["upper"] or "inf"), float(row["weight"])
            sets.setdefault(row["dataset"], []).append(numbers)
    return {name: np.array(rows).T for name, rows in sets.items()}


def read_answers(path: Path = ANSWERS) -> list[Answer]:
    """Read what the libraries say."""
    with path.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [Answer(**{**row, "value": float(row["value"])}) for row in rows]
