"""Blanks: what a laboratory finds where there is nothing."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import MATERIALS, vocabulary
from chemcheck.limit_library import default_method, find_method, precision_of
from chemcheck.readings.questions import ask, interval_text, join_questions
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import BLANK_SAMPLE, OF_THE_LABORATORY, rows_of_type

Floats = npt.NDArray[np.float64]
# Of a blank these are what they are; nothing of them is carried into a sample.
_NOT_AN_AMOUNT = ("pH", "temperature", "rank", "number")


@dataclass(frozen=True, slots=True)
class BlankLevels:
    """What blanks raise, and what is said about it.

    Parameters
    ----------
    readings : Readings
        With every reading up to what its blank held widened down to zero.
    questions : DataFrame
        ``QUESTION_COLUMNS``: each blank above the detection limit.
    assumptions : tuple of str
        How many readings were widened, by analyte.
    """

    readings: Readings
    questions: pd.DataFrame
    assumptions: tuple[str, ...]


def raise_by_blanks(readings: Readings) -> BlankLevels | None:
    """Take what blanks hold as the detection limit of the samples they stand for.

    Parameters
    ----------
    readings : Readings
        With samples of the type ``blank``.

    Returns
    -------
    BlankLevels or None
        None where there is no blank, which costs one look at the sample types.

    Notes
    -----
    A blank stands for samples of its laboratory and method taken the same day, or of its
    file where it has no date. Where it reads more than the detection limit, a reading of a
    sample up to the same number may be nothing but the blank: it becomes 0 to that number.
    Readings above it stay. The detection limit is the method's in the library, else the
    least ``<`` that the laboratory writes for the analyte, else zero. Common practice, no
    source.
    """
    blanks = rows_of_type(readings.samples, (BLANK_SAMPLE,))
    if not blanks.size:
        return None
    samples = readings.samples
    of_unit = np.ones(len(samples), dtype=np.bool_)
    of_unit[rows_of_type(samples, OF_THE_LABORATORY)] = False
    group = _groups(samples)
    lower, upper = readings.lower, readings.upper
    tables, assumptions = [], []
    for j, column in enumerate(readings.columns):
        analyte = vocabulary()[column.analyte]
        if analyte.dimension in _NOT_AN_AMOUNT or analyte.key == "conductivity":
            continue
        found = readings.lower[blanks, j]
        limit = _detection_limits(readings, blanks, j)
        high = found > limit  # False where nothing was read
        if not high.any():
            continue
        above = blanks[high]
        tables.append(_ask(readings, above, j, limit[high]))
        level = _level_of_samples(readings, above, j, group, of_unit)
        here = np.flatnonzero((readings.lower[:, j] > 0) & (readings.lower[:, j] <= level))
        if here.size:
            if lower is readings.lower:
                lower, upper = readings.lower.copy(order="F"), readings.upper.copy(order="F")
            lower[here, j] = 0.0
            upper[here, j] = np.maximum(upper[here, j], level[here])
            assumptions.append(
                f"{analyte.title}: {here.size} readings no higher than the blank of their day and "
                "laboratory are taken as below what the blank read"
            )
    return BlankLevels(
        replace(readings, lower=lower, upper=upper), join_questions(tables), tuple(assumptions)
    )


def _groups(samples: pd.DataFrame) -> npt.NDArray[np.int64]:
    """Return a number for each day, and for the undated of each file."""
    day = pd.factorize(samples["taken_on"].dt.floor("D"))[0].astype(np.int64)
    file = pd.factorize(samples["file"])[0].astype(np.int64)
    return np.asarray(np.where(day >= 0, day, day.max(initial=-1) + 1 + file))


def _detection_limits(readings: Readings, blanks: npt.NDArray[np.intp], column: int) -> Floats:
    """Return the detection limit that holds for each blank."""
    analyte = readings.columns[column].analyte
    material = (readings.samples["material"].iloc[blanks] == MATERIALS[1]).to_numpy().astype(int)
    method = readings.method.codes[blanks, column].astype(int)
    laboratory = readings.laboratory.codes[blanks, column].astype(int)
    answer = np.zeros(blanks.size)
    kinds = set(zip(method.tolist(), material.tolist(), laboratory.tolist(), strict=True))
    for m, k, who in kinds:
        name = None if m < 0 else readings.method.names[m]
        way = (find_method(name, MATERIALS[k]) if name else None) or default_method(MATERIALS[k])
        limit = precision_of(way, analyte).detection_limit if name else None
        if limit is None:
            limit = _least_written(readings, column, m, who)
        answer[(method == m) & (material == k) & (laboratory == who)] = limit
    return answer


def _least_written(readings: Readings, column: int, method: int, laboratory: int) -> float:
    """Return the least upper end that a laboratory writes behind a ``<``; zero if none."""
    lower, upper = readings.lower[:, column], readings.upper[:, column]
    written = (lower == 0) & (upper > 0) & np.isfinite(upper)
    written &= readings.method.codes[:, column] == method
    written &= readings.laboratory.codes[:, column] == laboratory
    return float(upper[written].min()) if written.any() else 0.0


def _level_of_samples(
    readings: Readings,
    blanks: npt.NDArray[np.intp],
    column: int,
    group: npt.NDArray[np.int64],
    of_unit: npt.NDArray[np.bool_],
) -> Floats:
    """Return the greatest blank that stands for each sample, -1 where none does."""
    keys = [
        group,
        readings.laboratory.codes[:, column].astype(np.int64),
        readings.method.codes[:, column].astype(np.int64),
    ]
    code = np.zeros(len(group), dtype=np.int64)
    for key in keys:
        code = code * (key.max(initial=0) + 2) + key + 1
    code = pd.factorize(code)[0].astype(np.int64)
    level = np.full(code.max(initial=0) + 1, -1.0)
    np.maximum.at(level, code[blanks], readings.lower[blanks, column])
    return np.where(of_unit, level[code], -1.0)


def _ask(
    readings: Readings, rows: npt.NDArray[np.intp], column: int, limits: Sequence[float] | Floats
) -> pd.DataFrame:
    analyte = vocabulary()[readings.columns[column].analyte]
    said = [
        f"a blank above the detection limit of {interval_text(limit, limit, analyte.unit)}: is the "
        "water, the bottle or the reagent clean? readings up to it may be nothing but the blank"
        if limit
        else "a blank that is not empty: is the water, the bottle or the reagent clean? readings "
        "up to it may be nothing but the blank"
        for limit in limits
    ]
    texts = [interval_text(value, value) for value in readings.lower[rows, column]]
    return ask(readings.samples, rows, analyte.key, texts, said)
