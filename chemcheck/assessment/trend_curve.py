"""The fitted curve of one reading along a unit's present fill, and the band it lies in."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

from chemcheck.assessment.column_crossings import ColumnFits
from chemcheck.assessment.corrected_bounds import CorrectedBounds
from chemcheck.fills.event_signs import event_signs

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

# Places at which a curve is reckoned.
PLACES = 36
BAND = (0.1, 0.5, 0.9)
# Steps by which two distributions of as many equally likely values are crossed.
LATTICE = 37


@dataclass(frozen=True, slots=True, eq=False)
class TrendCurve:
    """A trend as it is foreseen, on the scale of the readings themselves.

    Parameters
    ----------
    place : ndarray, shape (n,)
        Where on the axis since the fill, ascending.
    middle : ndarray, shape (n,)
        The value as likely exceeded as not.
    low, high : ndarray, shape (n,)
        Between which the true value lies with a chance of 80 %; a reading errs beside that.
    """

    place: Floats
    middle: Floats
    low: Floats
    high: Floats


def trend_curve(
    fits: ColumnFits, unit: int, column: int, side: str, bound: float, until: float
) -> TrendCurve | None:
    """Follow the trend of one reading through a unit's present fill and beyond.

    Parameters
    ----------
    fits : ColumnFits
        The trends that a forecast rests on.
    unit : int
        Row of the forecast's units.
    column : int
        Of the readings.
    side : {"lower", "upper"}
        Of the bound: pH falls through the reserve, where the forecast says so.
    bound : float
        The bound, about where the reading will be.
    until : float
        Last place on the axis.

    Returns
    -------
    TrendCurve or None
        From the fill's first sample; None where nothing was fitted.

    Notes
    -----
    Up to the last sample top-ups did what the dilution's reference says; from there on they go
    on at that rate. Where a dose was logged the level moves at the sample after it.
    """
    rows = fits.rows
    last = int(rows.last_of_present_fill[unit])
    group = int(rows.fills.group[last])
    kind = rows.technology[group]
    trend = fits.fitted.get((column, kind))
    if trend is None or group not in trend.groups_:
        return None
    mine = np.flatnonzero(rows.usable & (rows.fills.group == group))
    mine = mine[np.argsort(rows.usage.age[mine], kind="stable")]
    place = _places(fits, column, mine, until)
    groups = np.full(place.size, group)
    buffered = fits.through_reserve(column, kind, side)
    if buffered is not None and group in buffered[1].groups_:
        buffer, reserve = buffered
        drawn = buffer.along(reserve, groups, place)
        low, middle, high = quantiles_of(drawn, BAND)
        return TrendCurve(place, middle, low, high)
    factor, spread = np.ones(place.size), np.zeros(place.size)
    if fits.dilution.corrects(fits.readings, column):
        level, at = np.full(place.size, bound), np.full(place.size, last)
        facing = CorrectedBounds.of(fits.readings, rows, fits.dilution, column, at, level)
        factor, spread = facing.moved_at(place)
        moved = fits.dilution.log_factor(fits.readings, rows, column)[mine]
        before = place <= facing.last_axis
        factor[before] = np.exp(np.interp(place[before], rows.usage.age[mine], moved))
        spread[before] = 0.0
    drawn = trend.draw(place[:, None], groups, include_error=False)
    low, middle, high = quantiles_of(topped_up(drawn, factor, spread), BAND)
    return TrendCurve(place, middle, low, high)


def topped_up(drawn: Floats, factor: Floats, spread: Floats) -> Floats:
    """Turn equally likely values without top-ups into those with them.

    Parameters
    ----------
    drawn : ndarray, shape (n, m)
        Equally likely values at each place.
    factor, spread : ndarray, shape (n,)
        By what top-ups moved them, and the variance of the logarithm of that.

    Returns
    -------
    ndarray, shape (n, m)
    """
    if not spread.any():
        return drawn * factor[:, None]
    count = drawn.shape[1]
    # Each value meets another part of the factor's distribution, near ones far parts.
    score = ndtri((LATTICE * np.arange(count) % count + 0.5) / count)
    return np.asarray(drawn * factor[:, None] * np.exp(np.sqrt(spread)[:, None] * score))


def quantiles_of(drawn: Floats, probabilities: Sequence[float]) -> Floats:
    """Return quantiles of equally likely values, shape (n, m) to (probabilities, n)."""
    return np.asarray(np.quantile(drawn, probabilities, axis=1, method="hazen"))


def _places(fits: ColumnFits, column: int, mine: Integers, until: float) -> Floats:
    """Return where a curve is reckoned: evenly, and on both sides of a jump."""
    age = fits.rows.usage.age[mine]
    place = np.linspace(age[0], max(until, age[-1]), PLACES)
    if fits.readings.columns[column].analyte not in event_signs().dosed:
        return place
    dosed = age[1:][np.diff(fits.dilution.doses[mine]) > 0]
    beside = 1e-6 * (place[-1] - place[0])
    return np.unique(np.concatenate((place, dosed, dosed - beside)))
