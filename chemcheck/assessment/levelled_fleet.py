"""A fleet's readings at one level for each analyte, whoever measured, and what top-ups did."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.dilution import Dilution
from chemcheck.assessment.measure_dilution import measure_dilution
from chemcheck.assessment.method_offsets import MethodOffsets, find_method_offsets
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.fills.top_up_shares import dilution_library
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import READ, Readings

Bools = npt.NDArray[np.bool_]

ONE_LEVEL = (
    "Where several laboratories or methods read an analyte, its readings were brought to the level "
    "of the one with most before trends or lifetimes were told; what that one is off by is not "
    "known. Verdicts are of the readings as they came."
)


@dataclass(frozen=True, slots=True)
class LevelledFleet:
    """What trends are fitted to.

    Parameters
    ----------
    readings : Readings
        The samples, those of trends brought to one level for each analyte and technology; the
        very record that was given where one method of one laboratory read each.
    dilution : Dilution
        What top-ups did.
    offsets : tuple of MethodOffsets
        What was corrected, in the order of the columns.
    """

    readings: Readings
    dilution: Dilution
    offsets: tuple[MethodOffsets, ...]

    def offsets_of(self, column: int, technology: str | None) -> MethodOffsets | None:
        """Return the offsets of a column in a technology, None where there are none."""
        for one in self.offsets:
            if one.column == column and one.technology == technology:
                return one
        return None


def level_fleet(
    readings: Readings,
    rows: TrendRows,
    sets: Iterable[LimitSet],
    known: Bools | None = None,
    tracer: str | None = None,
) -> LevelledFleet:
    """Bring the readings of a fleet's trends to one level, and measure its dilution.

    Parameters
    ----------
    readings : Readings
        The samples.
    rows : TrendRows
        Where they stand.
    sets : iterable of LimitSet
        Analytes with a limit there are brought to one level, and what tells the dilution.
    known : ndarray of bool, shape (n_samples,), optional
        Samples that may be used to find offsets and dilution; all usable ones by default.
    tracer : str or None
        An inert analyte that no top-up brings.

    Returns
    -------
    LevelledFleet
        What tells the dilution comes first: a step in glycol between two methods is no top-up.
    """
    known = rows.usable if known is None else known
    several = _several_levels(readings, known)
    library = dilution_library()
    tells = {*library.references, tracer} - set(library.diluted)
    limited = {limit.analyte for each in sets for limit in each.limits}
    first, then = (
        [k for k, column in enumerate(readings.columns) if several[k] and column.analyte in wanted]
        for wanted in (tells, (limited | set(library.references)) - tells)
    )
    offsets = list(_offsets(readings, rows, first, known, None))
    levelled = _corrected(readings, offsets)
    dilution = measure_dilution(levelled, rows, known, tracer)
    more = list(_offsets(readings, rows, then, known, dilution))
    both = tuple(sorted([*offsets, *more], key=lambda one: one.column))
    return LevelledFleet(_corrected(readings, both), dilution, both)


def levelled_readings(
    readings: Readings, rows: TrendRows, sets: Iterable[LimitSet]
) -> tuple[Readings, tuple[MethodOffsets, ...]]:
    """Bring readings to one level where several methods or laboratories read them.

    Parameters
    ----------
    readings, rows, sets
        As for `level_fleet`.

    Returns
    -------
    readings : Readings
        The very record that was given where one method of one laboratory read each column.
    offsets : tuple of MethodOffsets
        What was corrected.
    """
    if not any(_several_levels(readings, rows.usable)):
        return readings, ()
    found = level_fleet(readings, rows, sets)
    return found.readings, found.offsets


def _several_levels(readings: Readings, known: Bools) -> list[bool]:
    """Return which columns were read by several methods or laboratories."""
    if not readings.method.names and not readings.laboratory.names:
        return [False] * len(readings.columns)
    answer = []
    for column in range(len(readings.columns)):
        read = known & (readings.status[:, column] == READ)
        codes = [one.codes[read, column] for one in (readings.method, readings.laboratory)]
        answer.append(any(one.size > 0 and bool((one != one[0]).any()) for one in codes))
    return answer


def _offsets(
    readings: Readings,
    rows: TrendRows,
    columns: Iterable[int],
    known: Bools,
    dilution: Dilution | None,
) -> Iterator[MethodOffsets]:
    """Find the offsets of some columns, a technology at a time."""
    technology = np.append(rows.technology, [None])[rows.fills.group]
    for column in columns:
        read = rows.usable & (readings.status[:, column] == READ)
        for kind in pd.unique(technology[read & known]):
            same = pd.isna(technology) if pd.isna(kind) else technology == kind
            found = find_method_offsets(readings, rows, column, read & same, dilution, known)
            if found is not None:
                yield found


def _corrected(readings: Readings, offsets: Iterable[MethodOffsets]) -> Readings:
    """Return readings with offsets taken off; the record itself where there are none."""
    offsets = tuple(offsets)
    if not offsets:
        return readings
    lower, upper = readings.lower.copy("F"), readings.upper.copy("F")
    for one in offsets:
        one.correct(readings, lower, upper)
    return replace(readings, lower=lower, upper=upper)
