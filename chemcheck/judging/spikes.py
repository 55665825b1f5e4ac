"""Spikes: how much of what was added to a sample is found again."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.errors import Problem
from chemcheck.intake.stated_values import stated_values
from chemcheck.judging.replicates import find_spiked
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.questions import ask, interval_text, join_questions
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import SPIKE, rows_of_type

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SpikeResults:
    """Every spike with what was added to it.

    Parameters
    ----------
    row, first : ndarray of int, shape (n,)
        Position of the spike, and of the sample it was made from.
    column : ndarray of int, shape (n,)
        Of the readings.
    recovery : ndarray of float64, shape (n, 2)
        Least and greatest share of the addition found [1].
    questions : DataFrame
        ``QUESTION_COLUMNS``: recoveries beyond the limits, and additions too small to say.
    problems : tuple of Problem
        Spikes of which the addition or the first sample is not known, one line each.
    """

    row: npt.NDArray[np.intp]
    first: npt.NDArray[np.intp]
    column: npt.NDArray[np.intp]
    recovery: Floats
    questions: pd.DataFrame
    problems: tuple[Problem, ...]


def spike_recoveries(readings: Readings) -> SpikeResults | None:
    """Reckon the recovery of every spike.

    Parameters
    ----------
    readings : Readings
        With samples of the type ``spike`` and what was added in a column.

    Returns
    -------
    SpikeResults or None
        None where there is no spike, which costs one look at the sample types.

    Notes
    -----
    Recovery = (spiked - as taken) / added [1]_. Outside ``least_recovery`` to
    ``greatest_recovery`` (``limits/checks/control.yaml``) something in the sample disturbs
    the method: it is asked about and changes no verdict.

    References
    ----------
    .. [1] The usual definition; common practice, no source.
    """
    spikes = rows_of_type(readings.samples, (SPIKE,))
    if not spikes.size:
        return None
    settings = check_settings("control")
    stated = stated_values(readings, spikes, "added")
    pairs = find_spiked(readings.samples)
    first_of = np.full(len(readings.samples), -1, dtype=np.intp)
    leader = pairs.row[np.unique(pairs.group, return_index=True)[1]]
    first_of[pairs.row] = leader[pairs.group]
    known = stated.value > 0
    row, column, added = stated.row[known], stated.column[known], stated.value[known]
    paired = first_of[row] >= 0
    row, column, added = row[paired], column[paired], added[paired]
    first = first_of[row]
    recovery = np.column_stack(
        [
            (readings.lower[row, column] - readings.upper[first, column]) / added,
            (readings.upper[row, column] - readings.lower[first, column]) / added,
        ]
    )
    least, most = settings["least_recovery"].value, settings["greatest_recovery"].value
    with np.errstate(invalid="ignore"):  # nothing was read
        bad = (recovery[:, 1] < least) | (recovery[:, 0] > most)
        small = added < settings["least_addition"].value * readings.lower[first, column]
    tables = [
        _ask(
            readings, row[bad & ~small], column[bad & ~small], recovery[bad & ~small], (least, most)
        ),
        ask(
            readings.samples,
            row[small],
            [readings.columns[j].analyte for j in column[small]],
            [interval_text(value, value) for value in added[small]],
            "so little was added beside what was there that the recovery says nothing: repeat "
            "with more?",
        ),
    ]
    alone = spikes[~np.isin(spikes, row)]
    problems = (*stated.problems, *(_problem(readings, k, k in stated.row) for k in alone.tolist()))
    return SpikeResults(row, first, column, recovery, join_questions(tables), problems)


def _ask(
    readings: Readings,
    rows: npt.NDArray[np.intp],
    columns: npt.NDArray[np.intp],
    recovery: Floats,
    limits: tuple[float, float],
) -> pd.DataFrame:
    analytes = [vocabulary()[readings.columns[j].analyte] for j in columns]
    texts = [
        interval_text(readings.lower[k, j], readings.upper[k, j])
        for k, j in zip(rows, columns, strict=True)
    ]
    said = [
        f"{interval_text(*(100 * share))} % of what was added is found, usual is "
        f"{limits[0]:.0%} to {limits[1]:.0%}: does something in the sample disturb the method? "
        "dilute it, or measure by another"
        for share in recovery
    ]
    return ask(readings.samples, rows, [analyte.key for analyte in analytes], texts, said)


def _problem(readings: Readings, row: int, has_addition: bool) -> Problem:
    sample = readings.samples.iloc[row]
    said = (
        "a spike of which sample? none with its number, or of its unit and day, stands alone"
        if has_addition
        else "a spike of which the addition is not stated: give it in a column such as "
        "'chloride added (mg/L)'"
    )
    number = "" if pd.isna(sample["sample_id"]) else str(sample["sample_id"])
    return Problem(str(sample["file"]), int(sample["row"]), None, number, said)
