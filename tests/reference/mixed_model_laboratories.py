"""An invented fleet that three laboratories measured, and statsmodels' answer for their offsets.

The mixed model of `mixed_model` with one more fixed effect for each laboratory but the first: the
offsets that a prior without end would leave.
"""

import csv
import warnings

import numpy as np

from tests.reference.mixed_model import PUBLISHED, VERSION, Fleet

READINGS = PUBLISHED / "mixed_model_laboratories_readings.csv"
ANSWERS = PUBLISHED / f"mixed_model_laboratories_statsmodels_{VERSION}.csv"


def generate(fills: int = 50, seed: int = 20260110) -> tuple[Fleet, np.ndarray]:
    """Make a fleet of 3 to 6 samples a fill, each read by one of three laboratories."""
    random = np.random.default_rng(seed)
    fill = np.repeat(np.arange(fills), random.integers(3, 7, fills))
    hours = random.uniform(0.0, 1.5, fill.size).round(3)
    laboratory = random.choice(3, fill.size, p=[0.5, 0.3, 0.2])
    effects = random.multivariate_normal([9.0, -0.8], [[0.3, 0.04], [0.04, 0.05]], fills)
    reading = effects[fill, 0] + effects[fill, 1] * hours + 0.15 * random.normal(size=fill.size)
    reading += np.array([0.0, 0.35, -0.2])[laboratory]
    return Fleet(hours, reading.round(4), fill), laboratory


def write_readings() -> None:
    """Write the fleet as the ordinary suite reads it."""
    fleet, laboratory = generate()
    with READINGS.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["fill", "thousand_hours", "reading", "laboratory"])
        writer.writerows(zip(fleet.fill, fleet.hours, fleet.reading, laboratory, strict=True))


def read_readings() -> tuple[Fleet, np.ndarray]:
    """Read the fleet that was written."""
    table = np.loadtxt(READINGS, delimiter=",", skiprows=1)
    return Fleet(table[:, 1], table[:, 2], table[:, 0].astype(int)), table[:, 3].astype(int)


def answers(fleet: Fleet, laboratory: np.ndarray) -> dict[str, float]:
    """Fit the fleet with statsmodels."""
    from statsmodels.regression.mixed_linear_model import MixedLM

    line = np.column_stack((np.ones_like(fleet.hours), fleet.hours))
    design = np.column_stack((line, laboratory == 1, laboratory == 2)).astype(float)
    with warnings.catch_warnings():
        # So small a tolerance is rarely reached; how near it came is what is compared.
        warnings.simplefilter("ignore")
        found = MixedLM(fleet.reading, design, groups=fleet.fill, exog_re=line).fit(
            reml=True, method=["bfgs", "nm"], gtol=1e-10
        )
    return {
        "second_offset": float(found.fe_params[2]),
        "third_offset": float(found.fe_params[3]),
        "second_error": float(found.bse_fe[2]),
        "third_error": float(found.bse_fe[3]),
        "covariance": float(np.asarray(found.cov_params())[2, 3]),
    }


def write_answers() -> None:
    """Write the answers of the library."""
    with ANSWERS.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["quantity", "value"])
        writer.writerows((k, repr(v)) for k, v in answers(*read_readings()).items())


def read_answers() -> dict[str, float]:
    """Read answers that were written before."""
    with ANSWERS.open(encoding="utf-8") as file:
        return {row["quantity"]: float(row["value"]) for row in csv.DictReader(file)}
