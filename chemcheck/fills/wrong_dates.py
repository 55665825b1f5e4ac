"""Dates that do not fit the meter of their unit, or the order in which samples came in."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.event_order import as_number
from chemcheck.fills.fill_numbers import Fills
from chemcheck.fills.neighbours import lines_through_neighbours
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.questions import ask, join_questions, no_questions

Floats = npt.NDArray[np.float64]
_ORDER, METER = "the order of the samples", "the unit's meter"
# A share of neighbours in rising order that makes an order one in time.
_IN_ORDER = 0.8
# Days by which dates differ from any line even where all is well.
_LEAST_SCATTER = 2.0


@dataclass(frozen=True, slots=True)
class WrongDates:
    """Dates that are likely wrong.

    Parameters
    ----------
    row : ndarray of int, shape (n,)
        The samples.
    likely : ndarray of datetime64[D], shape (n,)
        The date that would fit, NaT where no simple slip explains it.
    says : tuple of str
        What the slip would be.
    expected : ndarray of datetime64[D], shape (n,)
        The date by the line.
    by : tuple of str
        What the line is: the unit's meter, or the order of the samples.
    """

    row: npt.NDArray[np.intp]
    likely: npt.NDArray[np.datetime64]
    says: tuple[str, ...]
    expected: npt.NDArray[np.datetime64]
    by: tuple[str, ...]


def wrong_dates(samples: pd.DataFrame, fills: Fills, meter: Floats | None = None) -> WrongDates:
    """Find dates that are off the line of their neighbours.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``file``, ``sample_id``, ``unit_id``, ``taken_on``, ``hours`` and ``distance``.
    fills : Fills
        Of the same samples.
    meter : ndarray of float64, shape (n_samples,), optional
        Hours or distance as if the meter had never been reset; by default as read.

    Returns
    -------
    WrongDates
        At most one for each sample.

    Notes
    -----
    Two lines are drawn through up to eight neighbours: date against the unit's meter, and
    date against the place among the samples of a file, by their number where numbers rise
    with the date. A date further off than ``width`` standard deviations and ``least_days``
    is asked about where another date that differs by a usual slip (day and month exchanged,
    another year, another month) fits the line; twice as far off it is asked about in any
    case: ``limits/checks/dates_and_meters.yaml``. Another month, and what no slip explains,
    count only where the other line does not bear the date out.
    """
    day = as_number(samples["taken_on"])
    lines = []
    readable = meter if meter is not None else _meter(samples)
    if np.isfinite(readable).any():
        unit = np.where(np.isnan(readable), -1, fills.unit)
        lines.append((METER, unit, readable))
    for place in _places(samples, day):
        file = np.asarray(pd.factorize(samples["file"])[0], dtype=np.int64)
        lines.append((_ORDER, np.where(np.isnan(place), -1, file), place))
    found: dict[int, tuple[np.datetime64, str, np.datetime64, str]] = {}
    drawn = [_Line.through(day, series, position, by) for by, series, position in lines]
    for line in drawn:
        others = [other for other in drawn if other is not line]
        _off_the_line(day, line, others, found)
    row = np.array(sorted(found), dtype=np.intp)
    chosen = [found[k] for k in row.tolist()]
    return WrongDates(
        row,
        np.array([c[0] for c in chosen], dtype="datetime64[D]"),
        tuple(c[1] for c in chosen),
        np.array([c[2] for c in chosen], dtype="datetime64[D]"),
        tuple(c[3] for c in chosen),
    )


def wrong_date_questions(samples: pd.DataFrame, found: WrongDates) -> pd.DataFrame:
    """Ask about dates that are likely wrong, as ``QUESTION_COLUMNS``."""
    if not found.row.size:
        return no_questions()
    said = [
        f"{by} puts it about {expected}; {says}, {likely}?"
        if says
        else f"{by} puts it about {expected}: is the date wrong, or the meter?"
        for likely, says, expected, by in zip(
            found.likely, found.says, found.expected, found.by, strict=True
        )
    ]
    texts = samples["taken_on"].iloc[found.row].dt.strftime("%Y-%m-%d").tolist()
    return join_questions([ask(samples, found.row, "taken_on", texts, said)])


def _meter(samples: pd.DataFrame) -> Floats:
    """Return the hours, or the distance of samples without."""
    hours, distance = as_number(samples["hours"]), as_number(samples["distance"])
    return distance if np.isnan(hours).all() else hours


def _places(samples: pd.DataFrame, day: Floats) -> list[Floats]:
    """Return the samples' places by number, or by row, where that is an order in time."""
    digits = samples["sample_id"].astype("str").str.extract(r"(\d{1,15})\D*$", expand=False)
    number = pd.to_numeric(digits, errors="coerce").to_numpy(dtype=np.float64)
    row = samples["row"].to_numpy(dtype=np.float64)
    file = pd.factorize(samples["file"])[0]
    for place in (number, row):
        order = np.lexsort((place, file))
        order = order[~np.isnan(place[order]) & ~np.isnan(day[order])]
        together = np.diff(file[order]) == 0
        if together.sum() < 2:
            continue
        rising = np.diff(day[order])[together] >= 0
        if rising.mean() >= _IN_ORDER:
            return [place]
    return []


@dataclass(frozen=True, slots=True)
class _Line:
    """How far each date is off one line: NaN where the line says nothing."""

    by: str
    expected: Floats
    off: Floats
    spread: Floats
    limit: Floats

    @classmethod
    def through(
        cls, day: Floats, series: npt.NDArray[np.int64], position: Floats, by: str
    ) -> "_Line":
        settings = check_settings("dates_and_meters")
        line = cls(by, *(np.full(day.shape, np.nan) for _ in range(4)))
        order = np.lexsort((position, series))
        order = order[(series[order] >= 0) & ~np.isnan(day[order])]
        lines = lines_through_neighbours(series[order], position[order], day[order])
        enough = lines.others >= settings["least_others"].value
        if not enough.any():
            return line
        off = day[order] - lines.predicted
        fleet = 1.4826 * float(np.median(np.abs(off[enough] / lines.inflation[enough])))
        weight = lines.others
        scatter = np.sqrt((weight * lines.scatter**2 + 4 * fleet**2) / (weight + 4))
        spread = np.maximum(scatter, _LEAST_SCATTER) * lines.inflation
        if by == _ORDER:
            # A date that lies between those before and behind it is in order.
            off = np.where(_in_order(day[order], series[order]), 0.0, off)
        at = order[enough]
        line.expected[at], line.off[at] = lines.predicted[enough], off[enough]
        line.spread[at] = spread[enough]
        width, least = settings["width"].value, settings["least_days"].value
        line.limit[at] = np.maximum(width * spread[enough], least)
        return line


def _in_order(day: Floats, series: npt.NDArray[np.int64]) -> npt.NDArray[np.bool_]:
    """Return which dates are no earlier than the one before and no later than the next."""
    same = np.diff(series) == 0
    rising = (np.diff(day) >= 0) | ~same
    return np.asarray(np.r_[True, rising] & np.r_[rising, True])


def _off_the_line(
    day: Floats,
    line: _Line,
    others: list[_Line],
    found: dict[int, tuple[np.datetime64, str, np.datetime64, str]],
) -> None:
    """Enter the dates that are off one line."""
    share = check_settings("dates_and_meters")["fits_within"].value
    with np.errstate(invalid="ignore"):  # no line
        at = np.flatnonzero(np.abs(line.off) > line.limit)
    for row in at.tolist():
        if row in found and found[row][1]:
            continue
        date = np.datetime64(int(day[row] // 1), "D")
        expected = np.datetime64(round(float(line.expected[row])), "D")
        off = abs(float(line.off[row]))
        room = max(min(share * off, 3 * float(line.spread[row]) + 2), _LEAST_SCATTER)
        borne_out = any(abs(other.off[row]) <= other.limit[row] for other in others)
        best = _best_slip(date, float(line.expected[row]), room, only_usual=borne_out)
        if best is not None:
            found[row] = (*best, expected, line.by)
        elif off > 2 * line.limit[row] and row not in found and not borne_out:
            found[row] = (np.datetime64("NaT"), "", expected, line.by)


def _best_slip(
    date: np.datetime64, expected: float, room: float, *, only_usual: bool
) -> tuple[np.datetime64, str] | None:
    """Return the usual slip that brings a date nearest to where it is expected."""
    best: tuple[float, np.datetime64, str] | None = None
    for likely, says in _slips(pd.Timestamp(date), only_usual=only_usual):
        off = abs(float(likely.astype("datetime64[D]").astype(np.int64)) - expected)
        if off <= room and (best is None or off < best[0]):
            best = off, likely, says
    return None if best is None else best[1:]


def _slips(date: pd.Timestamp, *, only_usual: bool) -> list[tuple[np.datetime64, str]]:
    """Return the dates that a usual slip makes this one of."""
    answer: list[tuple[np.datetime64, str]] = []
    if date.day <= 12 and date.day != date.month:
        other = pd.Timestamp(date.year, date.day, date.month)
        answer.append((np.datetime64(other, "D"), "with day and month exchanged it is"))
    for years in (-1, 1):
        other = date + pd.DateOffset(years=years)
        answer.append((np.datetime64(other, "D"), "with another year it is"))
    for months in () if only_usual else (-1, 1):
        other = date + pd.DateOffset(months=months)
        answer.append((np.datetime64(other, "D"), "with another month it is"))
    return answer
