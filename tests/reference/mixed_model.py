"""An invented fleet, and what statsmodels' mixed model answers for it.

The model is a straight line with a random start and rate for every fill and independent errors.
"""

import csv
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

VERSION = "0.15.0"
PUBLISHED = Path(__file__).parent.parent / "published"
READINGS = PUBLISHED / "mixed_model_readings.csv"
ANSWERS = PUBLISHED / f"mixed_model_statsmodels_{VERSION}.csv"


@dataclass(frozen=True)
class Fleet:
    """Readings of a fleet."""

    hours: np.ndarray
    reading: np.ndarray
    fill: np.ndarray


def generate(fills: int = 60, seed: int = 20260104) -> Fleet:
    """Make a fleet of 2 to 7 samples a fill, over some 1,500 h."""
    random = np.random.default_rng(seed)
    fill = np.repeat(np.arange(fills), random.integers(2, 8, fills))
    hours = random.uniform(0.0, 1.5, fill.size).round(3)
    effects = random.multivariate_normal([9.0, -0.8], [[0.3, 0.04], [0.04, 0.05]], fills)
    reading = effects[fill, 0] + effects[fill, 1] * hours + 0.15 * random.normal(size=fill.size)
    return Fleet(hours, reading.round(4), fill)


def write_readings(path: Path, fleet: Fleet) -> None:
    """Write the fleet as the ordinary suite reads it."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["fill", "thousand_hours", "reading"])
        writer.writerows(zip(fleet.fill, fleet.hours, fleet.reading, strict=True))


def read_readings(path: Path = READINGS) -> Fleet:
    """Read a fleet written by `write_readings`."""
    table = np.loadtxt(path, delimiter=",", skiprows=1)
    return Fleet(table[:, 1], table[:, 2], table[:, 0].astype(int))


def mixed_model(fleet: Fleet) -> Any:
    """Build statsmodels' model of the fleet."""
    from statsmodels.regression.mixed_linear_model import MixedLM

    design = np.column_stack((np.ones_like(fleet.hours), fleet.hours))
    return MixedLM(fleet.reading, design, groups=fleet.fill, exog_re=design)


def answers(fleet: Fleet) -> dict[str, float]:
    """Fit the fleet with statsmodels."""
    with warnings.catch_warnings():
        # So small a tolerance is rarely reached; how near it came is what is compared.
        warnings.simplefilter("ignore")
        found = mixed_model(fleet).fit(reml=True, method=["bfgs", "nm"], gtol=1e-10)
    return {
        "restricted_log_likelihood": float(found.llf),
        "start": float(found.fe_params[0]),
        "rate": float(found.fe_params[1]),
        "start_variance": float(found.cov_re[0, 0]),
        "covariance": float(found.cov_re[0, 1]),
        "rate_variance": float(found.cov_re[1, 1]),
        "error_variance": float(found.scale),
        "start_error": float(found.bse_fe[0]),
        "rate_error": float(found.bse_fe[1]),
    }


def read_answers(path: Path = ANSWERS) -> dict[str, float]:
    """Read answers that were written before."""
    with path.open(encoding="utf-8") as file:
        return {row["quantity"]: float(row["value"]) for row in csv.DictReader(file)}
