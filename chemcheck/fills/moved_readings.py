"""Readings that stand in another's place: swapped columns, cells or rows moved by one."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.fills.own_history import OwnHistory, distances
from chemcheck.fills.slip_factors import slip_library
from chemcheck.readings.holders import holder_of
from chemcheck.readings.questions import ask, join_questions, no_questions
from chemcheck.readings.record import Readings

Bools = npt.NDArray[np.bool_]
Places = npt.NDArray[np.intp]
# A move of a whole row is believed if this share of its readings fits there, and of a part
# of a row if so much of what was off is explained, and at least so many readings.
_FITS, _EXPLAINED, _LEAST = 0.8, 0.7, 3


@dataclass(frozen=True, slots=True)
class MovedReadings:
    """Rows whose readings fit better in another place.

    Parameters
    ----------
    row : ndarray of int, shape (n,)
        The samples.
    columns, questions : tuple of str
        Which column each question names, and what is asked.
    """

    row: Places
    columns: tuple[str, ...]
    questions: tuple[str, ...]


def moved_readings(readings: Readings, history: OwnHistory) -> MovedReadings:
    """Find readings that fit the history of another column or another row.

    Parameters
    ----------
    readings : Readings
        What was read, rows and columns in the order of their files.
    history : OwnHistory
        What it should be.

    Returns
    -------
    MovedReadings
        At most one for each row. Only rows with readings further than ``moved_width``
        standard deviations from their prediction are looked at.
    """
    distance = history.distance()
    width = slip_library().settings["moved_width"].value
    fits = slip_library().settings["fits_within"].value
    confirmed = slip_library().settings["confirmed_within"].value
    with np.errstate(invalid="ignore"):
        off = (np.abs(distance) > width) & (history.step > confirmed * history.spread)
    count = off.sum(axis=1)
    found: dict[int, tuple[str, str]] = {}
    rows = np.flatnonzero(count >= _LEAST)
    for step in (-1, 1):
        _from_another_row(readings, history, rows, step, fits, found)
        _along_the_row(readings, history, off, rows, step, fits, found)
    _swapped(readings, history, off, np.flatnonzero(count >= 2), fits, found)
    row = np.array(sorted(found), dtype=np.intp)
    return MovedReadings(
        row, tuple(found[k][0] for k in row.tolist()), tuple(found[k][1] for k in row.tolist())
    )


def moved_questions(readings: Readings, moved: MovedReadings) -> pd.DataFrame:
    """Ask about readings that fit better in another place, as ``QUESTION_COLUMNS``."""
    if not moved.row.size:
        return no_questions()
    called = readings.samples.iloc[moved.row]
    texts = called["sample_id"].fillna(called["unit_id"]).fillna("").tolist()
    return join_questions([ask(readings.samples, moved.row, moved.columns, texts, moved.questions)])


def _from_another_row(
    readings: Readings,
    history: OwnHistory,
    rows: Places,
    step: int,
    fits: float,
    found: dict[int, tuple[str, str]],
) -> None:
    """Find rows whose readings are those that the row above or below should have."""
    file = pd.factorize(readings.samples["file"])[0]
    other = rows + step
    there = (other >= 0) & (other < len(file))
    rows, other = rows[there], other[there]
    same = (file[rows] == file[other]) & (
        readings.samples["unit_id"].to_numpy()[rows]
        != readings.samples["unit_id"].to_numpy()[other]
    )
    rows, other = rows[same], other[same]
    own = _share_fitting(history, rows, rows, fits)
    moved = _share_fitting(history, rows, other, fits)
    for k in np.flatnonzero((moved >= _FITS) & (moved > own)).tolist():
        number = int(readings.samples["row"].iloc[other[k]])
        unit = readings.samples["unit_id"].iloc[other[k]]
        found.setdefault(
            int(rows[k]),
            (
                "unit_id",
                f"these readings fit {unit} in row {number}: were rows moved by one, or two "
                "bottles swapped?",
            ),
        )


def _share_fitting(
    history: OwnHistory, rows: Places, predicted: Places, fits: float
) -> npt.NDArray[np.float64]:
    """Return which share of the readings of rows is what other rows should have."""
    away = distances(
        history.low[rows],
        history.high[rows],
        history.predicted_low[predicted],
        history.predicted_high[predicted],
        history.spread[predicted],
    )
    known = ~np.isnan(away)
    with np.errstate(invalid="ignore"):
        near = (np.abs(away) <= fits) & known
    enough = known.sum(axis=1)
    share = np.where(enough >= _LEAST, near.sum(axis=1) / np.maximum(enough, 1), 0.0)
    return np.asarray(share)


def _along_the_row(
    readings: Readings,
    history: OwnHistory,
    off: Bools,
    rows: Places,
    step: int,
    fits: float,
    found: dict[int, tuple[str, str]],
) -> None:
    """Find rows in which cells stand one column further on, or further back."""
    numbers = np.flatnonzero([not vocabulary()[c.analyte].words for c in readings.columns])
    for i in (row for row in rows.tolist() if row not in found):
        # The columns that this sample, or its unit before and after, has anything in.
        used = numbers[~np.isnan(history.low[i, numbers]) | ~np.isnan(history.spread[i, numbers])]
        here, there = (used[1:], used[:-1]) if step > 0 else (used[:-1], used[1:])
        fit = _fits_elsewhere(history, i, here, there, fits)
        wrong = off[i, here]
        explained = np.count_nonzero(fit & wrong)
        if explained >= _LEAST and explained >= _EXPLAINED * np.count_nonzero(off[i]):
            first = vocabulary()[readings.columns[here[np.flatnonzero(wrong)[0]]].analyte].title
            way = "right" if step > 0 else "left"
            found[i] = (
                readings.columns[here[np.flatnonzero(wrong)[0]]].analyte,
                f"from {first} on the readings fit one column to the {way} of where they belong: "
                "was a cell left out or put in?",
            )


def _swapped(
    readings: Readings,
    history: OwnHistory,
    off: Bools,
    rows: Places,
    fits: float,
    found: dict[int, tuple[str, str]],
) -> None:
    """Find rows of which two readings fit once they are exchanged."""
    for i in (row for row in rows.tolist() if row not in found):
        wrong = np.flatnonzero(off[i])
        one, other = (x.ravel() for x in np.meshgrid(wrong, wrong, indexing="ij"))
        one, other = one[one < other], other[one < other]
        both = _fits_elsewhere(history, i, one, other, fits)
        both &= _fits_elsewhere(history, i, other, one, fits)
        if both.any():
            k = int(np.flatnonzero(both)[0])
            names = [vocabulary()[readings.columns[j].analyte].title for j in (one[k], other[k])]
            found[i] = (
                readings.columns[one[k]].analyte,
                f"{names[0]} and {names[1]} fit the "
                f"{holder_of(readings.samples, i)}'s history once they are exchanged: were two "
                "columns swapped?",
            )


def _fits_elsewhere(
    history: OwnHistory,
    row: int,
    from_columns: Sequence[int] | Places,
    to_columns: Sequence[int] | Places,
    fits: float,
) -> Bools:
    """Return which readings of a row are what other columns of it should have."""
    low, high = history.low[row, from_columns], history.high[row, from_columns]
    logarithm = history.logarithm[np.asarray(from_columns)]
    target = history.logarithm[np.asarray(to_columns)]
    low, high = (_rescaled(end, logarithm, target) for end in (low, high))
    away = distances(
        low,
        high,
        history.predicted_low[row, to_columns],
        history.predicted_high[row, to_columns],
        history.spread[row, to_columns],
    )
    with np.errstate(invalid="ignore"):
        return np.asarray(np.abs(away) <= fits)


def _rescaled(
    end: npt.NDArray[np.float32], logarithm: Bools, target: Bools
) -> npt.NDArray[np.float32]:
    """Bring numbers from one column's scale to another's."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        plain = np.where(logarithm, np.exp(end), end)
        return np.asarray(np.where(target, np.log(plain), plain), dtype=np.float32)
