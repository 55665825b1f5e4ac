"""Check standards in words: what failed, and which results it leaves undecided."""

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.judging.control_chart import FAILED, IN_CONTROL, TO_WATCH, ControlResults
from chemcheck.judging.doubts import Doubt
from chemcheck.readings.questions import ask, interval_text, no_questions
from chemcheck.readings.record import Readings


def control_questions(readings: Readings, standards: ControlResults) -> pd.DataFrame:
    """Ask about the check standards that failed, or are beyond their own chart.

    Parameters
    ----------
    readings : Readings
        Of which they are.
    standards : ControlResults
        All of them.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``.
    """
    at = np.flatnonzero(standards.state != IN_CONTROL)
    if not at.size:
        return no_questions()
    rows, columns = standards.row[at], standards.column[at]
    texts = [
        interval_text(readings.lower[row, column], readings.upper[row, column])
        for row, column in zip(rows, columns, strict=True)
    ]
    names = [readings.columns[column].analyte for column in columns]
    return ask(
        readings.samples,
        rows,
        names,
        texts,
        [_question(readings, standards, k) for k in at.tolist()],
    )


def _question(readings: Readings, standards: ControlResults, k: int) -> str:
    analyte = vocabulary()[readings.columns[standards.column[k]].analyte]
    certified = interval_text(standards.certified[k], standards.certified[k], analyte.unit)
    if standards.state[k] == TO_WATCH:
        return (
            f"certified is {certified}: within the tolerance, but beyond the limits of this "
            "laboratory's own chart; what changed?"
        )
    return (
        f"certified is {certified}: the standard failed, and the results beside it are undecided; "
        "calibrate, and measure them again?"
    )


def control_doubts(
    readings: Readings, standards: ControlResults, bracketed: npt.NDArray[np.bool_]
) -> tuple[tuple[Doubt, ...], npt.NDArray[np.int16]]:
    """Say of every result beside a failed standard why it is not relied on.

    Parameters
    ----------
    readings : Readings
        What was measured.
    standards : ControlResults
        Their check standards.
    bracketed : ndarray of bool, shape (n_samples, n_columns)
        From `bracketed_cells`.

    Returns
    -------
    doubts : tuple of Doubt
        One for each analyte, laboratory and method with a failed standard.
    of_cell : ndarray of int16, shape (n_samples, n_columns), Fortran order
        Position in ``doubts``; -1 where a result may be relied on.
    """
    doubts: list[Doubt] = []
    of_cell = np.full(bracketed.shape, -1, dtype=np.int16, order="F")
    failed = np.flatnonzero(standards.state == FAILED)
    keys = np.column_stack(
        [standards.column[failed], standards.laboratory[failed], standards.method[failed]]
    )
    for column, laboratory, method in np.unique(keys, axis=0).tolist():
        mine = failed[(keys == (column, laboratory, method)).all(axis=1)]
        here = bracketed[:, column] & (readings.laboratory.codes[:, column] == laboratory)
        here &= readings.method.codes[:, column] == method
        of_cell[here, column] = len(doubts)
        doubts.append(
            Doubt(
                says=f"control failed: {_failure(readings, standards, mine)}",
                source="a result counts only between check standards that are good",
                evidence="common practice",
            )
        )
    return tuple(doubts), of_cell


def _failure(readings: Readings, standards: ControlResults, failed: npt.NDArray[np.intp]) -> str:
    """Name the first of some failed standards, and how many there are."""
    row, column = int(standards.row[failed[0]]), int(standards.column[failed[0]])
    analyte = vocabulary()[readings.columns[column].analyte]
    found = interval_text(readings.lower[row, column], readings.upper[row, column])
    certified = standards.certified[failed[0]]
    number = int(readings.samples["row"].iloc[row])
    more = f" (and {failed.size - 1} more)" if failed.size > 1 else ""
    return (
        f"check standard in row {number} read {found} for {analyte.title} of "
        f"{interval_text(certified, certified, analyte.unit)}{more}"
    )
