"""A thousand clean rows of an invented fleet and its waters, and slips put into them.

Everything is invented: levels, wear, noise. The scatter of one laboratory is two thirds of the
library's uncertainty between laboratories, as repeatability and reproducibility of silicon are
in ASTM D6130 (6 and 9 %).
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.limit_library import default_method, precision_of
from chemcheck.readings.record import Readings
from tests.readings.build import readings_of

SAME_LABORATORY = 2 / 3
TECHNOLOGIES = {
    "heavy_duty_additive": dict(
        ph=10.0, reserve_alkalinity=6.5, nitrite=1700, nitrate=690, molybdenum=60, silicon=95,
        phosphate=900, boron=420, azoles=600, sodium=3400, potassium=430,
    ),
    "organic_acid": dict(
        ph=8.4, reserve_alkalinity=3.1, nitrite=2.5, nitrate=40, molybdenum=0.5, silicon=4,
        phosphate=3, boron=2, azoles=900, sodium=110, potassium=3300,
    ),
    "nitrited_organic_acid": dict(
        ph=8.5, reserve_alkalinity=4.2, nitrite=430, nitrate=60, molybdenum=240, silicon=5,
        phosphate=4, boron=3, azoles=800, sodium=900, potassium=2500,
    ),
}  # fmt: skip
# What comes in with water and wear; its level is a unit's own [mg/L].
COMMON = dict(
    chloride=9, sulfate=16, glycolate=150, formate=40, calcium=3, magnesium=1.2, iron=6, copper=2,
    aluminium=3, total_hardness=12,
)  # fmt: skip
WATER = dict(
    ph=7.6, total_hardness=180, calcium=52, magnesium=12, total_alkalinity=140, bicarbonate=170,
    chloride=45, sulfate=50, nitrate=14, silicon=5, sodium=30, potassium=3, conductivity=480,
    total_dissolved_solids=300, water_temperature=15, nitrite=0.05, phosphate=0.4,
)  # fmt: skip
# What noticeably disappears from a fill in two years, and what comes [share].
FALLING = dict(nitrite=0.35, reserve_alkalinity=0.15, azoles=0.1, silicon=0.2)
RISING = dict(
    nitrate=0.15, chloride=0.6, sulfate=0.4, glycolate=1.2, formate=0.9, iron=0.8, copper=0.5,
    aluminium=0.5, calcium=0.4, magnesium=0.4, total_hardness=0.4,
)  # fmt: skip


@dataclass
class Fleet:
    """Clean readings as a laboratory writes them."""

    samples: pd.DataFrame
    columns: list[str]
    lower: np.ndarray
    upper: np.ndarray

    def readings(self) -> Readings:
        return readings_of(self.samples, self.columns, self.lower, self.upper)


def clean_fleet(seed: int, units: int = 80, sources: int = 10, each: int = 10) -> Fleet:
    """Make a clean fleet: samples of units and waters over two years."""
    random = np.random.default_rng(seed)
    columns = list(
        dict.fromkeys(
            [*next(iter(TECHNOLOGIES.values())), "glycol", "freezing_point", *COMMON, *WATER]
        )
    )
    parts, values = [], []
    for k in range(units):
        technology = list(TECHNOLOGIES)[k % len(TECHNOLOGIES)]
        samples, levels = _unit(random, f"U-{k:02}", technology, each)
        parts.append(samples)
        values.append(_noisy(random, levels, columns, "coolant"))
    for k in range(sources):
        samples, levels = _source(random, f"W-{k:02}", 2 * each)
        parts.append(samples)
        values.append(_noisy(random, levels, columns, "water"))
    samples = pd.concat(parts, ignore_index=True)
    # In the order in which the laboratory saw them, as files are.
    order = np.argsort(samples["taken_on"].to_numpy(), kind="stable")
    samples = samples.iloc[order].reset_index(drop=True)
    samples["sample_id"] = [f"L{1000 + k}" for k in range(len(samples))]
    upper = np.concatenate(values)[order]
    lower = upper.copy()
    coolant = (samples["material"] == "coolant").to_numpy()
    for j, name in enumerate(columns):
        if vocabulary()[name].unit == "mg/L":
            limit = np.where(coolant, 1.0, 0.02)
            below = upper[:, j] < limit
            lower[below, j], upper[below, j] = 0.0, limit[below]
    return Fleet(samples, columns, lower, upper)


def _dates(random, each: int) -> np.ndarray:
    days = np.sort(random.choice(np.arange(15, 730), each, replace=False))
    return np.datetime64("2029-01-01") + days.astype("timedelta64[D]")


def _unit(random, name: str, technology: str, each: int):
    dates = _dates(random, each)
    days = (dates - np.datetime64("2029-01-01")).astype(float)
    rate = random.uniform(4, 14)
    meter = 2000 + 8000 * random.random() + rate * days * (1 + 0.03 * random.standard_normal(each))
    samples = pd.DataFrame({"unit_id": name, "taken_on": dates, "hours": np.sort(meter).round()})
    samples = samples.assign(
        material="coolant", technology=technology, glycol_type="ethylene_glycol"
    )
    age = days / 730
    levels = {}
    for analyte, level in (TECHNOLOGIES[technology] | COMMON).items():
        spread = 0.5 if analyte in COMMON else 0.12
        if analyte == "ph":
            levels[analyte] = level + 0.15 * random.standard_normal() - 0.3 * age
            continue
        start = level * np.exp(spread * random.standard_normal())
        fall, rise = FALLING.get(analyte, 0.0), RISING.get(analyte, 0.0)
        levels[analyte] = start * (1 + (rise - fall) * random.uniform(0, 1) * age)
    glycol = random.uniform(33, 54)
    levels["glycol"] = np.full(each, glycol)
    # Some units lose coolant and are filled up with water, once; nobody writes it down.
    if random.random() < 0.15:
        after = days > random.choice(days[1:-1])
        share = random.uniform(0.05, 0.15)
        for analyte in (*TECHNOLOGIES[technology], "glycol"):
            if analyte != "ph":
                levels[analyte] = levels[analyte] * np.where(after, 1 - share, 1.0)
    # Some are dosed with nitrite.
    if technology == "heavy_duty_additive" and random.random() < 0.3:
        after = days > random.choice(days[1:-1])
        levels["nitrite"] = levels["nitrite"] * np.where(after, 1.35, 1.0)
    levels["freezing_point"] = ethylene_glycol_freezes(levels["glycol"])
    return samples, levels


def ethylene_glycol_freezes(percent):
    """Freezing point by volume percent, ASHRAE table values as carried by egasp 0.1.9."""
    table = [(0, 0), (8.9, -3.2), (18.1, -7.8), (27.7, -14.1), (32.6, -17.9), (37.5, -22.3),
             (42.5, -27.5), (47.6, -33.8), (52.7, -41.1), (57.8, -48.3)]  # fmt: skip
    return np.interp(percent, *zip(*table, strict=True))


def _source(random, name: str, each: int):
    dates = _dates(random, each)
    samples = pd.DataFrame({"unit_id": name, "taken_on": dates, "material": "water"})
    season = 2 * np.pi * (dates - np.datetime64("2029-01-01")).astype(float) / 365
    hard = np.exp(0.5 * random.standard_normal())
    wave = 1 + 0.03 * np.sin(season + random.uniform(0, 6))
    levels = {}
    for analyte, level in WATER.items():
        if analyte == "ph":
            levels[analyte] = level + 0.2 * random.standard_normal() + 0 * season
        elif analyte == "water_temperature":
            levels[analyte] = level - 6 * np.cos(season)
        else:
            levels[analyte] = level * hard * wave * np.exp(0.2 * random.standard_normal())
    return samples, levels


def _noisy(random, levels: dict, columns: list[str], material: str) -> np.ndarray:
    n = len(next(iter(v for v in levels.values() if np.ndim(v))))
    answer = np.full((n, len(columns)), np.nan)
    method = default_method(material)
    for j, name in enumerate(columns):
        if name in levels:
            precision = precision_of(method, name)
            level = np.broadcast_to(levels[name], n)
            u = SAME_LABORATORY * np.hypot(precision.absolute, precision.relative * level)
            answer[:, j] = level + u * random.standard_normal(n)
            if vocabulary()[name].dimension not in ("pH", "temperature"):
                answer[:, j] = np.maximum(answer[:, j], 0.02 * np.abs(level))
            answer[:, j] = _three_digits(answer[:, j])
    return answer


def _three_digits(values: np.ndarray) -> np.ndarray:
    return np.array([float(f"{v:.3g}") for v in values])
