"""Whether readings of one sample agree with each other: what does not is a question."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.chemistry.dissolved_solids import (
    NATURAL_WATER_FACTOR,
    dissolved_solids_from_conductivity,
)
from chemcheck.chemistry.hardness import hardness_as_caco3
from chemcheck.limit_library import limit_folder
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.records import EVIDENCE
from chemcheck.readings.questions import ask, interval_text, join_questions
from chemcheck.readings.record import Readings

Column = npt.NDArray[np.float64]
SOLIDS = "total_dissolved_solids"


@dataclass(frozen=True, slots=True)
class Interval:
    """The ends of one quantity for every sample, NaN in both where unknown."""

    lower: Column
    upper: Column


@dataclass(frozen=True, slots=True)
class WaterChecks:
    """How far readings of one water may be apart before they are asked about.

    Parameters
    ----------
    hardness_difference : float
        Between total hardness and that of calcium and magnesium [fraction of the larger].
    solids_difference : float
        Between dissolved solids and the range that the conductivity allows [fraction of
        the larger].
    """

    hardness_difference: float
    solids_difference: float


@cache
def water_checks() -> WaterChecks:
    """Return the library's tolerances.

    Examples
    --------
    >>> water_checks().hardness_difference
    0.1
    """
    return read_water_checks(limit_folder() / "properties" / "water_cross_checks.yaml")


def read_water_checks(path: Path) -> WaterChecks:
    """Read a file of tolerances.

    Parameters
    ----------
    path : Path
        A YAML file as ``limits/properties/water_cross_checks.yaml``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    whole, _ = read_yaml(path)
    names = ("hardness_difference", "solids_difference")
    fields = whole.fields(names, names)
    return WaterChecks(*(_tolerance(fields[name]) for name in names))


def _tolerance(node: Located) -> float:
    names = ("value", "source", "evidence")
    fields = node.fields(names, names)
    fields["source"].text()
    fields["evidence"].one_of(EVIDENCE, "evidence")
    value = fields["value"].number()
    if not 0 <= value < 1:
        problem = f"expected a fraction from 0 to 1, found {value:g}"
        raise fields["value"].error(problem)
    return value


def reading_of(readings: Readings, analyte: str) -> Interval:
    """Return an analyte's reading of every sample, on whichever basis the sample has one.

    Parameters
    ----------
    readings : Readings
        All samples.
    analyte : str
        A key of the vocabulary.

    Returns
    -------
    Interval
        shape (n_samples,) [the analyte's canonical unit]; where a sample has readings on
        several bases, the first column counts.
    """
    lower = np.full(len(readings.samples), np.nan)
    upper = lower.copy()
    for place, column in enumerate(readings.columns):
        if column.analyte == analyte:
            missing = np.isnan(lower)
            lower[missing] = readings.lower[missing, place]
            upper[missing] = readings.upper[missing, place]
    return Interval(lower, upper)


def hardness_from_metals(readings: Readings) -> Interval:
    """Return the hardness that calcium and magnesium make [mg/L as CaCO3].

    NaN where either was not read.
    """
    calcium, magnesium = reading_of(readings, "calcium"), reading_of(readings, "magnesium")
    return Interval(
        hardness_as_caco3(calcium.lower, magnesium.lower),
        hardness_as_caco3(calcium.upper, magnesium.upper),
    )


def solids_from_conductivity(readings: Readings) -> Interval:
    """Return the dissolved solids that the conductivity allows [mg/L]."""
    conductivity = reading_of(readings, "conductivity")
    return Interval(*dissolved_solids_from_conductivity(conductivity.lower, conductivity.upper))


def apart(one: Interval, other: Interval, tolerance: float) -> npt.NDArray[np.bool_]:
    """Return where two intervals of one quantity disagree.

    Parameters
    ----------
    one, other : Interval
        The two.
    tolerance : float
        How far apart they may be, as a fraction of the larger near end.

    Returns
    -------
    ndarray of bool, shape (n_samples,)
        False where either is unknown.

    Examples
    --------
    >>> import numpy as np
    >>> a = Interval(np.array([100.0, 100.0]), np.array([120.0, 120.0]))
    >>> b = Interval(np.array([130.0, 140.0]), np.array([150.0, 150.0]))
    >>> apart(a, b, 0.1)
    array([False,  True])
    """
    with np.errstate(invalid="ignore"):  # the gap to an open end
        above = one.lower - other.upper > tolerance * one.lower
        below = other.lower - one.upper > tolerance * other.lower
    return above | below


def cross_check(readings: Readings, checks: WaterChecks) -> pd.DataFrame:
    """Ask about samples whose readings do not agree with each other.

    Parameters
    ----------
    readings : Readings
        All samples.
    checks : WaterChecks
        How far readings may be apart.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``, at most two lines a sample: hardness against calcium and
        magnesium, and of waters dissolved solids against conductivity.
    """
    low, high = NATURAL_WATER_FACTOR.lower, NATURAL_WATER_FACTOR.upper
    read = {column.analyte for column in readings.columns}
    tables = []
    if {"total_hardness", "calcium", "magnesium"} <= read:
        tables.append(
            _ask(
                readings,
                "total_hardness",
                hardness_from_metals(readings),
                checks.hardness_difference,
                "mg/L as CaCO3, against {} from calcium and magnesium: is one of the three "
                "wrong, or its unit?",
            )
        )
    if {SOLIDS, "conductivity"} <= read:
        allowed = solids_from_conductivity(readings)
        # The factor is one of water: ions move more slowly in glycol.
        water = (readings.samples["material"] == "water").to_numpy()
        allowed = Interval(
            *(np.where(water, end, np.nan) for end in (allowed.lower, allowed.upper))
        )
        tables.append(
            _ask(
                readings,
                SOLIDS,
                allowed,
                checks.solids_difference,
                f"mg/L, against {{}} from the conductivity at {low} to {high} mg/L for each "
                "uS/cm: is one of the two wrong, or its unit?",
            )
        )
    return join_questions(tables)


def _ask(
    readings: Readings, analyte: str, computed: Interval, tolerance: float, question: str
) -> pd.DataFrame:
    """Ask about readings that disagree with what others of their sample make of them."""
    reported = reading_of(readings, analyte)
    rows = np.flatnonzero(apart(reported, computed, tolerance))
    said = [question.format(text) for text in _texts(computed, rows)]
    return ask(readings.samples, rows, analyte, _texts(reported, rows), said)


def _texts(interval: Interval, rows: npt.NDArray[np.intp]) -> list[str]:
    """Write the intervals of the rows asked about, which are few."""
    return [interval_text(interval.lower[k], interval.upper[k]) for k in rows.tolist()]
