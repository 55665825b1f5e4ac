"""Readings that are wrong by a factor of a unit, by their unit's own history: asked, not mended."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.fills.own_history import OwnHistory
from chemcheck.fills.slip_factors import SlipFactor, slip_library
from chemcheck.readings.holders import holder_of
from chemcheck.readings.questions import ask, interval_text, join_questions, no_questions
from chemcheck.readings.record import Readings

# A factor of two and less, and Fahrenheit for Celsius, is what a top-up can do as well.
_SMALL = float(np.log(2.05))
Singles = npt.NDArray[np.float32]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class UnitSlips:
    """Readings that fit their history once a factor is taken out.

    Parameters
    ----------
    row, column : ndarray of int, shape (n,)
        Where they stand.
    factor : ndarray of float64, shape (n,)
        By what the reading is too high; below 1 where it is too low; NaN for a temperature
        in Fahrenheit.
    says : tuple of str
        What was misread.
    """

    row: npt.NDArray[np.intp]
    column: npt.NDArray[np.intp]
    factor: npt.NDArray[np.float64]
    says: tuple[str, ...]

    def but(self, rows: npt.NDArray[np.intp]) -> "UnitSlips":
        """Return the slips of all other rows."""
        kept = ~np.isin(self.row, rows)
        says = tuple(text for text, here in zip(self.says, kept.tolist(), strict=True) if here)
        return UnitSlips(self.row[kept], self.column[kept], self.factor[kept], says)


def unit_slips(readings: Readings, history: OwnHistory) -> UnitSlips:
    """Find readings that a slip of unit would explain.

    Parameters
    ----------
    readings : Readings
        What was read.
    history : OwnHistory
        What it should be.

    Returns
    -------
    UnitSlips
        At most one for each reading: the slip that fits best.

    Notes
    -----
    A reading is asked about if it is further than ``width`` standard deviations from its
    prediction; within ``fits_within`` of it, or ``slack`` of the factor, once the factor is
    taken out; and nearer to it so than half of what it was: ``limits/checks/unit_slips.yaml``.
    A step that the next reading of the fill confirms is a change of the coolant and no slip,
    and so is a sample of which many readings are unlike its history: by ``moved_width``, or
    for slips of two and less, as a top-up can make them, by ``event_width``.
    """
    library = slip_library()
    distance = history.distance()
    changed = _eventful(distance, library.settings["moved_width"].value)
    diluted = _eventful(distance, library.settings["event_width"].value)
    width, fits = library.settings["width"].value, library.settings["fits_within"].value
    confirmed = library.settings["confirmed_within"].value
    row, column, factor, says = [], [], [], []
    for j, measured in enumerate(readings.columns):
        off = np.flatnonzero(np.abs(distance[:, j]) > width)
        off = off[history.low[off, j] == history.high[off, j]]
        off = off[history.step[off, j] > confirmed * history.spread[off, j]]
        if not off.size:
            continue
        best = np.full(off.size, np.inf)
        found = np.full(off.size, -1, dtype=np.int64)
        ways = list(_ways(measured.analyte))
        for k, way in enumerate(ways):
            left, usable = _left_over(history, off, j, way)
            near = np.abs(left) / history.spread[off, j]
            asked = np.abs(distance[off, j])
            fitting = (near <= fits) | (np.abs(left) <= way.slack)
            better = usable & fitting & (near < asked / 2) & (near < best)
            better &= ~(diluted if way.is_small else changed)[off]
            best[better], found[better] = near[better], k
        for k in np.unique(found[found >= 0]).tolist():
            at = off[found == k]
            row.append(at)
            column.append(np.full(at.size, j))
            factor.append(np.full(at.size, ways[k].factor))
            says += [ways[k].says] * at.size
    if not row:
        nothing = np.zeros(0, dtype=np.intp)
        return UnitSlips(nothing, nothing, np.zeros(0), ())
    return UnitSlips(
        np.concatenate(row), np.concatenate(column), np.concatenate(factor), tuple(says)
    )


def _eventful(distance: Singles, width: float) -> Bools:
    """Return samples of which so much is unlike the history that something happened to them."""
    settings = slip_library().settings
    with np.errstate(invalid="ignore"):
        away = (np.abs(distance) > width).sum(axis=1) - 1  # itself left out
    known = (~np.isnan(distance)).sum(axis=1)
    share = settings["event_share"].value * known
    return np.asarray(away > np.maximum(settings["event_readings"].value, share))


@dataclass(frozen=True, slots=True)
class _Way:
    """A slip in one direction; the factor is NaN for Fahrenheit."""

    factor: float
    says: str

    @property
    def slack(self) -> float:
        """How far off a mended reading may be although histories scatter less."""
        share = slip_library().settings["slack"].value
        return 0.0 if np.isnan(self.factor) else share * float(abs(np.log(self.factor)))

    @property
    def is_small(self) -> bool:
        """Whether a dilution or a top-up can do the same."""
        return not abs(np.log(self.factor)) > _SMALL


def _ways(analyte: str) -> Iterator[_Way]:
    """Yield the slips that make sense for an analyte."""
    library = slip_library()
    slip: SlipFactor
    for slip in library.factors.get(analyte, ()):
        yield _Way(slip.factor, slip.says)
        yield _Way(1.0 / slip.factor, slip.says)
    if analyte in library.fahrenheit:
        yield _Way(float("nan"), "degrees Fahrenheit for Celsius")


def _left_over(
    history: OwnHistory, rows: npt.NDArray[np.intp], column: int, way: _Way
) -> tuple[Singles, Bools]:
    """Return what separates readings from their predictions once the slip is taken out."""
    value = history.low[rows, column]
    low, high = history.predicted_low[rows, column], history.predicted_high[rows, column]
    if np.isnan(way.factor):
        mended = (value - 32.0) / 1.8
    else:
        mended = value - np.float32(np.log(way.factor))
    # Where only limits are known, any small number fits: that is no evidence of a slip.
    return np.asarray(mended - high), np.isfinite(low)


def slip_questions(readings: Readings, history: OwnHistory, slips: UnitSlips) -> pd.DataFrame:
    """Ask about readings that a slip of unit would explain.

    Parameters
    ----------
    readings : Readings
        What was read.
    history : OwnHistory
        What it should be.
    slips : UnitSlips
        From `unit_slips`.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``.
    """
    if not slips.row.size:
        return no_questions()
    texts, said = [], []
    for k, (i, j) in enumerate(zip(slips.row.tolist(), slips.column.tolist(), strict=True)):
        analyte = vocabulary()[readings.columns[j].analyte]
        expected = float(history.predicted_high[i, j])
        expected = float(np.exp(expected)) if history.logarithm[j] else expected
        holder = holder_of(readings.samples, i)
        others = "others of its technology" if holder == "unit" else f"other {holder}s"
        whose = f"the {holder}'s own history" if history.others[i, j] else others
        about = interval_text(expected, expected, analyte.unit)
        factor = slips.factor[k]
        times = f"{factor:.4g}" if factor > 1 else f"1/{1 / factor:.4g}"
        times = "" if np.isnan(factor) else f"{times} times as much: "
        texts.append(interval_text(readings.lower[i, j], readings.upper[i, j]))
        said.append(f"about {about} by {whose}; {times}{slips.says[k]}?")
    columns = [readings.columns[j].analyte for j in slips.column]
    return join_questions([ask(readings.samples, slips.row, columns, texts, said)])
