"""Cases as the readings that the program takes: fresh fill, last sample, sample in hand."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.causes.tap_water import TapWater
from chemcheck.readings.record import BLANK, READ, Coded, ReadingColumn, Readings
from tests.builders import readings as built
from tests.causes.simulated_faults.draw import Cases
from tests.causes.simulated_faults.moves import HARDNESS
from tests.causes.simulated_faults.ranges import GLYCOLS, INDEX, Floats, ranges

# What stands for an observation: the analyte, its reading if not seen, and if seen.
OBSERVED_AS: dict[str, tuple[tuple[str, float, float], ...]] = {
    "oil_film": (("oil", 0, 2),),
    "pink_emulsion": (("pink_emulsion", 0, 1),),
    "burnt_smell": (("burnt_smell", 0, 1),),
    "ammonia_smell": (("ammonia_smell", 0, 1),),
    "fuel_smell": (("fuel_smell", 0, 1),),
    "rotten_smell": (("rotten_smell", 0, 1),),
    "brown_colour": (("turned_brown", 0, 1),),
    "foam": (("foam", 0, 2),),
    "sediment": (("sediment", 0, 2),),
    "gel": (("gel", 0, 1),),
    "green_slime": (("slime", 0, 1),),
    "combustion_gas_test": (("combustion_gas_test", 0, 1),),
    # Opens at its rating, or a quarter below [kPa].
    "weak_cap": (("cap_release_pressure", 103, 77), ("cap_rating", 103, 103)),
    "coolant_voltage": (("coolant_voltage", 0.03, 0.4),),
    "low_level": (("level_low", 0, 1),),
    "vane_pits": (("vane_pits", 0, 1),),
    "seal_deposit": (("seal_deposit", 0, 1),),
    "black_aluminium": (("blackened_aluminium", 0, 1),),
    "white_solder_bloom": (("white_growth_at_tubes", 0, 1),),
}
FRESH, LAST, NOW = range(3)
METHODS = ("laboratory_coolant", "strip_coolant", "refractometer", "inspection")


@dataclass(frozen=True)
class _Column:
    analyte: str
    lower: Floats
    upper: Floats
    method: int


def as_readings(cases: Cases) -> tuple[Readings, npt.NDArray[np.intp]]:
    """Return three samples a unit, and the rows of the samples in hand."""
    n = len(cases)
    columns = [*_measured(cases), *_observed(cases)]
    shape = (3 * n, len(columns))
    lower, upper = np.empty(shape, order="F"), np.empty(shape, order="F")
    for j, column in enumerate(columns):
        lower[:, j], upper[:, j] = column.lower.ravel(), column.upper.ravel()
    rows = 3 * np.arange(n)
    technology = np.array(ranges().technologies)[cases.units.formula]
    base = built(
        {column.analyte: [None] * 3 * n for column in columns[:1]},
        unit_id=np.repeat([f"U{k}" for k in range(n)], 3),
        technology=np.repeat(technology, 3),
        glycol_type=np.repeat(np.array(GLYCOLS)[cases.units.glycol], 3),
        sample_type=np.tile(["fresh fill", "routine", "routine"], n),
        hours=np.tile([0.0, 1500.0, 1750.0], n),
    )
    codes = np.tile(np.array([column.method for column in columns], dtype=np.int16), (3 * n, 1))
    # What is on record of a unit was measured by a laboratory.
    codes[rows + FRESH], codes[rows + LAST] = 0, 0
    nothing = Coded(np.full(shape, -1, dtype=np.int16), ())
    return (
        Readings(
            samples=base.samples,
            columns=tuple(ReadingColumn(column.analyte) for column in columns),
            lower=lower,
            upper=upper,
            status=np.where(np.isnan(lower), BLANK, READ),
            shared_factor=np.ones(shape, dtype=np.float32, order="F"),
            method=Coded(codes, METHODS),
            laboratory=nothing,
            lot=nothing,
            files=base.files,
            rejected=base.rejected,
            questions=base.questions,
            duplicates=base.duplicates,
            assumptions=base.assumptions,
        ),
        rows + NOW,
    )


def tap_water(cases: Cases) -> TapWater:
    """Return the analyses of the tap waters, one a unit, beside the readings of `as_readings`."""
    known, n = ranges(), len(cases)
    held = {name: cases.units.tap[:, k] for name, k in INDEX.items() if known.tap_high[k] > 0}
    variance = {
        name: known.noise_absolute[INDEX[name]] ** 2
        + (known.noise_relative[INDEX[name]] * value) ** 2
        for name, value in held.items()
    }
    ions = {list(INDEX)[k]: factor for k, factor in HARDNESS.items()}
    held["total_hardness"] = np.sum([f * held[name] for name, f in ions.items()], axis=0)
    variance["total_hardness"] = np.sum([f**2 * variance[name] for name, f in ions.items()], axis=0)
    # Behind all waters stands what is told where there is none.
    return TapWater(
        np.repeat(np.arange(n), 3),
        {
            name: (_with_none(value), _with_none(value), _with_none(variance[name]))
            for name, value in held.items()
        },
    )


def _with_none(values: Floats) -> npt.NDArray[np.float32]:
    return np.append(values, np.nan).astype(np.float32)


def _measured(cases: Cases) -> list[_Column]:
    columns = []
    for j, name in enumerate(cases.panel.readings):
        lower, upper = np.empty((len(cases), 3)), np.empty((len(cases), 3))
        for place, values in ((FRESH, cases.units.fresh), (LAST, cases.units.previous)):
            value, limit = _of_record(values, name, cases.units.glycol)
            lower[:, place] = np.where(value < limit, 0, value)
            upper[:, place] = np.maximum(value, limit)
        lower[:, NOW], upper[:, NOW] = cases.lower[:, j], cases.upper[:, j]
        method = 1 if cases.panel.pad_ends[j].size else 0
        if cases.panel.name == "field_tests" and name == "glycol":
            method = 2
        columns.append(_Column(name, lower, upper, method))
    return columns


def _of_record(values: Floats, name: str, glycol: npt.NDArray[np.intp]) -> tuple[Floats, float]:
    """Return a result on record of a unit with its detection limit."""
    known = ranges()
    if name == "freezing_point":
        share = values[:, INDEX["glycol"]]
        curves = [np.interp(share, *curve) for curve in known.freezing]
        return np.where(glycol == 1, curves[1], curves[0]), -np.inf
    if name == "total_hardness":
        return np.sum([f * values[:, k] for k, f in HARDNESS.items()], axis=0), 0.0
    return values[:, INDEX[name]], float(known.detection[INDEX[name]])


def _observed(cases: Cases) -> list[_Column]:
    columns = []
    for j, name in enumerate(cases.panel.observations):
        found = cases.observations[:, j]
        for analyte, unseen, seen in OBSERVED_AS[name]:
            value = np.full((len(cases), 3), np.nan)
            value[:, NOW] = np.where(found < 0, np.nan, np.where(found == 1, seen, unseen))
            columns.append(_Column(analyte, value, value, 3))
    return columns
