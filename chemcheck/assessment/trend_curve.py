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
        drawn = buffer.along(reserve, groups, place)
        low, middle, high = np.quantile(drawn, BAND, axis=1)
        return TrendCurve(place, middle, low, high)
    mean, deviation = trend.predict(
        place[:, None], groups=groups, return_std=True, include_error=False
    )
    factor, spread = np.ones(place.size), np.zeros(place.size)
    if fits.dilution.corrects(fits.readings, column):
        level, at = np.full(place.size, bound), np.full(place.size, last)
        facing = CorrectedBounds.of(fits.readings, rows, fits.dilution, column, at, level)
        factor, spread = facing.moved_at(place)
        moved = fits.dilution.log_factor(fits.readings, rows, column)[mine]
        before = place <= facing.last_axis
        factor[before] = np.exp(np.interp(place[before], rows.usage.age[mine], moved))
        spread[before] = 0.0
    low, high = band_of(trend, factor, spread, mean, deviation, REACH)
    return TrendCurve(place, factor * mean, low, high)


def band_of(
    trend: FleetTrend,
    factor: Floats,
    spread: Floats,
    mean: Floats,
    deviation: Floats,
    reach: float,
) -> tuple[Floats, Floats]:
    """Return the ends of bands that hold readings.

    Parameters
    ----------
    trend : FleetTrend
        Whose errors are in proportion to the reading, where its curve is exponential.
    factor, spread : ndarray, shape (n,)
        By what top-ups moved the reading, and the variance of the logarithm of that.
    mean, deviation : ndarray, shape (n,)
        As the trend predicts them, without top-ups.
    reach : float
        Standard deviations to each side.

    Returns
    -------
    low, high : ndarray, shape (n,)
    """
    if trend.curve_ == EXPONENTIAL:
        # The deviation is that of a log-normal, whose variance is m^2 e^v (e^v - 1).
        grown = (1.0 + np.sqrt(1.0 + 4.0 * (deviation / mean) ** 2)) / 2.0
        times = np.exp(reach * np.sqrt(np.log(grown) + spread))
        return factor * mean / times, factor * mean * times
    wide = reach * np.sqrt(deviation**2 + mean**2 * spread)
    return factor * (mean - wide), factor * (mean + wide)


def _places(fits: ColumnFits, column: int, mine: Integers, until: float) -> Floats:
    """Return where a curve is reckoned: evenly, and on both sides of a jump."""
    age = fits.rows.usage.age[mine]
    place = np.linspace(age[0], max(until, age[-1]), PLACES)
    if fits.readings.columns[column].analyte not in event_signs().dosed:
        return place
    dosed = age[1:][np.diff(fits.dilution.doses[mine]) > 0]
    beside = 1e-6 * (place[-1] - place[0])
    return np.unique(np.concatenate((place, dosed, dosed - beside)))
