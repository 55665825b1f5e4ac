"""Fit lifetimes with other libraries; run by their own interpreter, knows nothing of chemcheck.

``python lifetimes_elsewhere.py fit INTERVALS.csv ANSWERS.csv`` reads intervals (dataset, lower,
upper, weight; no upper end where empty) and writes what lifelines and surpyval find, and for
the cases of age replacement below what reliability finds.
``python lifetimes_elsewhere.py data INTERVALS.csv`` writes open data that lifelines ships.
"""

import csv
import sys
import warnings
from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path

import lifelines
import lifelines.datasets
import numpy as np
import surpyval
from reliability.Repairable_systems import optimal_replacement_time

Row = tuple[str, str, str, str, float, str, str]

FIELDS = ("subject", "case", "family", "quantity", "value", "library", "version")
# Planned cost, failure cost, Weibull scale, Weibull shape.
REPLACEMENTS = (
    (1.0, 5.0, 1000.0, 2.5),
    (100.0, 1000.0, 6000.0, 3.0),
    (1.0, 4.0, 12.0, 2.0),
    (1.0, 15.0, 6000.0, 2.5),
)


def read(path: Path) -> dict[str, np.ndarray]:
    """Read each data set as an array of lower, upper, weight."""
    sets: dict[str, list[tuple[float, float, float]]] = {}
    with path.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            upper = float(row["upper"]) if row["upper"] else np.inf
            sets.setdefault(row["dataset"], []).append(
                (float(row["lower"]), upper, float(row["weight"]))
            )
    return {name: np.array(rows).T for name, rows in sets.items()}


def fits_of_lifelines(name: str, data: np.ndarray) -> Iterator[Row]:
    """Fit three families."""
    lower, upper, weights = data
    about = "lifelines", lifelines.__version__
    weibull = lifelines.WeibullFitter().fit_interval_censoring(lower, upper, weights=weights)
    normal = lifelines.LogNormalFitter().fit_interval_censoring(lower, upper, weights=weights)
    plain = lifelines.ExponentialFitter().fit_interval_censoring(lower, upper, weights=weights)
    found = (
        ("weibull", weibull.lambda_, weibull.rho_, weibull),
        ("lognormal", np.exp(normal.mu_), normal.sigma_, normal),
        ("exponential", plain.lambda_, 1.0, plain),
    )
    for family, scale, shape, model in found:
        yield "fit", name, family, "scale", scale, *about
        yield "fit", name, family, "shape", shape, *about
        yield "fit", name, family, "log_likelihood", model.log_likelihood_, *about


def fits_of_surpyval(name: str, data: np.ndarray) -> Iterator[Row]:
    """Fit the Weibull family, and survival without a family."""
    lower, upper, weights = data
    about = "surpyval", version("surpyval")
    if np.all(weights == np.round(weights)):
        counts = weights.astype(int)
        left = np.where(lower == 0.0, -np.inf, lower)
        model = surpyval.Weibull.fit(xl=left, xr=upper, n=counts)
        yield "fit", name, "weibull", "scale", model.alpha, *about
        yield "fit", name, "weibull", "shape", model.beta, *about
        free = surpyval.Turnbull.fit(
            xl=left, xr=upper, n=counts, turnbull_estimator="Kaplan-Meier", max_iter=100_000
        )
        # Only at ends of intervals is survival the same wherever inside them an end lies.
        ends = np.unique(upper[np.isfinite(upper)])
        for time in ends[:: max(1, ends.size // 6)]:
            place = np.searchsorted(free.x, time, side="right") - 1
            yield "turnbull", name, "", f"survival {time:.12g}", free.R[place], *about


def replacements() -> Iterator[Row]:
    """Ask for the replacement time of least cost."""
    about = "reliability", version("reliability")
    for case in REPLACEMENTS:
        found = optimal_replacement_time(
            cost_PM=case[0],
            cost_CM=case[1],
            weibull_alpha=case[2],
            weibull_beta=case[3],
            show_time_plot=False,
            show_ratio_plot=False,
            print_results=False,
            q=0,
        )
        name = " ".join(f"{number:g}" for number in case)
        yield "age replacement", name, "weibull", "interval", found.ORT, *about
        yield "age replacement", name, "weibull", "cost_rate", found.min_cost, *about


def fit(intervals: Path, answers: Path) -> None:
    """Write what the libraries find, one number a row."""
    rows: list[Row] = []
    for name, data in read(intervals).items():
        rows += fits_of_lifelines(name, data)
        rows += fits_of_surpyval(name, data)
    rows += replacements()
    with answers.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(FIELDS)
        writer.writerows((*row[:4], f"{float(row[4]):.9g}", *row[5:]) for row in rows)


def data(intervals: Path) -> None:
    """Write open data that lifelines ships, with where it says they come from."""
    mice = lifelines.datasets.load_mice()
    lag = lifelines.datasets.load_c_botulinum_lag_phase()
    diabetes = lifelines.datasets.load_diabetes()
    tables = (
        ("mice, Hoel and Walburg 1972", mice["l"], mice["u"]),
        ("lag phase, Montville 1983", lag["lower_bound_days"], lag["upper_bound_days"]),
        ("proteinuria, Borch-Johnsen 1985", diabetes["left"], diabetes["right"]),
    )
    with intervals.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("dataset", "lower", "upper", "weight"))
        for name, lower, upper in tables:
            for low, high in zip(lower, upper, strict=True):
                writer.writerow((name, low, "" if np.isinf(high) else high, 1))


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    commands = {"fit": fit, "data": data}
    commands[sys.argv[1]](*(Path(argument) for argument in sys.argv[2:]))
