"""The fitted curve of one reading along a unit's present fill, and the band it lies in."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.column_crossings import ColumnFits
from chemcheck.assessment.corrected_bounds import CorrectedBounds
from chemcheck.fills.event_signs import event_signs
from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.curves import EXPONENTIAL

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

# Places at which a curve is reckoned.
PLACES = 36
# An 80 % band reaches so many standard deviations to each side.
REACH = 1.2815515655446004
BAND = (0.1, 0.5, 0.9)


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
        drawn = buffer.along(reserve, groups, place, np.full(place.size, bound))
        low, middle, high = np.quantile(drawn, BAND, axis=1)
        return TrendCurve(place, middle, low, high)
    mean, deviation = trend.predict(
        place[:, None], groups=groups, return_std=True, include_error=False
    )
    if not fits.dilution.corrects(fits.readings, column):
        return _curve(trend, place, np.ones(place.size), np.zeros(place.size), mean, deviation)
    moved = fits.dilution.log_factor(fits.readings, rows, column)[mine]
    facing = CorrectedBounds.of(
        fits.readings,
        rows,
        fits.dilution,
        column,
        np.full(place.size, last),
        np.full(place.size, bound),
    )
    factor, spread = facing.moved_at(place)
    before = place <= facing.last_axis
    factor[before] = np.exp(np.interp(place[before], rows.usage.age[mine], moved))
    spread[before] = 0.0
    return _curve(trend, place, factor, spread, mean, deviation)


def _curve(
    trend: FleetTrend,
    place: Floats,
    factor: Floats,
    spread: Floats,
    mean: Floats,
    deviation: Floats,
) -> TrendCurve:
    """Return the curve of readings from that of corrected ones.

    ``spread`` is the variance of the logarithm of ``factor``.
    """
    if trend.curve_ == EXPONENTIAL:
        # The deviation is that of a log-normal, whose variance is m^2 e^v (e^v - 1).
        grown = (1.0 + np.sqrt(1.0 + 4.0 * (deviation / mean) ** 2)) / 2.0
        reach = np.exp(REACH * np.sqrt(np.log(grown) + spread))
        return TrendCurve(place, factor * mean, factor * mean / reach, factor * mean * reach)
    reach = REACH * np.sqrt(deviation**2 + mean**2 * spread)
    return TrendCurve(place, factor * mean, factor * (mean - reach), factor * (mean + reach))


def _places(fits: ColumnFits, column: int, mine: Integers, until: float) -> Floats:
    """Return where a curve is reckoned: evenly, and on both sides of a jump."""
    age = fits.rows.usage.age[mine]
    place = np.linspace(age[0], max(until, age[-1]), PLACES)
    if fits.readings.columns[column].analyte not in event_signs().dosed:
        return place
    dosed = age[1:][np.diff(fits.dilution.doses[mine]) > 0]
    beside = 1e-6 * (place[-1] - place[0])
    return np.unique(np.concatenate((place, dosed, dosed - beside)))
