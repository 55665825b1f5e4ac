"""When the pH falls below its bound: once the reserve alkalinity that buffers it is used up."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import ndtr, ndtri

from chemcheck.assessment.dilution import Dilution
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.buffer_curve import BufferCurve, buffer_curves
from chemcheck.readings.record import READ, Readings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Integers = npt.NDArray[np.int64]

THROUGH_RESERVE = "through reserve alkalinity"
# A curve takes so many samples with both readings, of so many fills.
LEAST_PAIRS, LEAST_FILLS = 15, 4
# Curves drawn to tell how unsure the curve is, and quantiles of the reserve's crossing of each.
DRAWS = 8
GRID = (0.01, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99)
# Places of the reserve's distribution from which the pH at one place of the axis is drawn.
EQUALLY_LIKELY = (np.arange(20) + 0.5) / 20
# Readings of a fill that its own departure from the curve is held against.
SHRINKAGE = 2.0
# A pH meter in good hands (memory) [pH].
LEAST_SCATTER = 0.05


def reserve_column(readings: Readings) -> int:
    """Return the column of the reserve alkalinity of the sample; -1 where there is none."""
    for place, column in enumerate(readings.columns):
        if column.analyte == "reserve_alkalinity" and column.basis == "sample":
            return place
    return -1


@dataclass(frozen=True, slots=True)
class PhThroughReserve:
    """How pH follows reserve in one technology.

    Parameters
    ----------
    curves : tuple of BufferCurve
        Through all samples, then through draws of them.
    scatter : float
        Standard deviation of pH about the curve [pH].
    offset : ndarray, shape (n_groups,)
        By what each fill's pH lies above the curve [pH].
    """

    curves: tuple[BufferCurve, ...]
    scatter: float
    offset: Floats

    @classmethod
    def of(
        cls,
        readings: Readings,
        rows: TrendRows,
        dilution: Dilution,
        column: int,
        pooled: Bools,
    ) -> "PhThroughReserve | None":
        """Learn the curve from samples with both readings.

        Parameters
        ----------
        readings : Readings
            The samples.
        rows : TrendRows
            Where they stand.
        dilution : Dilution
            What top-ups did: water takes reserve down, and leaves the pH of a buffer.
        column : int
            Of the pH.
        pooled : ndarray of bool, shape (n_samples,)
            Samples of one technology.

        Returns
        -------
        PhThroughReserve or None
            None where too few samples tell a curve.
        """
        other = reserve_column(readings)
        if other < 0:
            return None
        reserve, ph = (_exact(readings, k) for k in (other, column))
        reserve = reserve / np.exp(_log_factor(readings, rows, dilution, other))
        both = pooled & np.isfinite(reserve) & np.isfinite(ph)
        fill = rows.fills.group[both]
        if both.sum() < LEAST_PAIRS or np.unique(fill).size < LEAST_FILLS:
            return None
        curves = buffer_curves(reserve[both], ph[both], fill, DRAWS)
        beside = ph[both] - curves[0].ph_at(reserve[both])
        groups = len(rows.technology)
        count = np.bincount(fill, minlength=groups)
        offset = np.bincount(fill, weights=beside, minlength=groups) / (count + SHRINKAGE)
        scatter = float(np.sqrt(np.mean((beside - offset[fill]) ** 2)))
        return cls(curves, max(scatter, LEAST_SCATTER), offset)

    def along(self, trend: FleetTrend, groups: Integers, age: Floats) -> Floats:
        """Draw the pH at places of some fills.

        Parameters
        ----------
        trend : FleetTrend
            Of the reserve alkalinity, corrected for dilution.
        groups : ndarray of int64, shape (n,)
            The fills.
        age : ndarray, shape (n,)
            Where on the axis.

        Returns
        -------
        ndarray, shape (n, m)
            Equally likely values of the pH itself: each place of the reserve's distribution
            through each curve.
        """
        mean, deviation = trend.predict(
            age[:, None], groups=groups, return_std=True, include_error=False
        )
        reserve = np.maximum(mean[:, None] + deviation[:, None] * ndtri(EQUALLY_LIKELY), 0.0)
        drawn = [curve.ph_at(reserve, self.place(k)) for k, curve in enumerate(self.curves)]
        return np.asarray(np.concatenate(drawn, axis=1) + self.offset[groups][:, None])

    def readings_at(self, trend: FleetTrend, groups: Integers, age: Floats) -> Floats:
        """Draw readings of pH at places of some fills: its scatter about the curve is in them.

        Parameters
        ----------
        trend, groups, age
            As in `along`.

        Returns
        -------
        ndarray, shape (n, m)
            Equally likely.
        """
        drawn = self.along(trend, groups, age)
        error = self.scatter * ndtri(EQUALLY_LIKELY)
        return np.asarray((drawn[:, :, None] + error).reshape(len(drawn), -1))

    def place(self, k: int) -> float:
        """Return where a curve falls below the lowest pH seen, as `BufferCurve.reserve_at`."""
        return (k + 0.5) / len(self.curves)

    def facing(
        self, trend: FleetTrend, readings: Readings, rows: TrendRows, column: int, last: Integers
    ) -> "PhBounds":
        """Return how the last samples of some fills stand.

        Parameters
        ----------
        trend : FleetTrend
            Of the reserve alkalinity, corrected for dilution.
        readings, rows, column
            As in `of`.
        last : ndarray of int64, shape (n,)
            Last sample of each fill.
        """
        groups = rows.fills.group[last]
        return PhBounds(self, trend, groups, rows.usage.age[last], _exact(readings, column)[last])


@dataclass(frozen=True, slots=True)
class PhBounds:
    """Bounds on the pH of some fills, faced through their reserve.

    Parameters
    ----------
    buffer : PhThroughReserve
        How pH follows reserve.
    trend : FleetTrend
        Of the reserve alkalinity, corrected for dilution.
    groups : ndarray of int64, shape (n,)
        The fills.
    last_axis : ndarray, shape (n,)
        Axis of their last sample.
    now : ndarray, shape (n,)
        pH of their last sample; NaN where there is none that is exact.
    """

    buffer: PhThroughReserve
    trend: FleetTrend
    groups: Integers
    last_axis: Floats
    now: Floats

    def crossing(
        self,
        trend: FleetTrend,
        bound: Floats,
        beyond: str,
        horizon: float | None,
        quantiles: Sequence[float],
    ) -> pd.DataFrame:
        """Find when each fill's pH falls below its bound.

        Parameters
        ----------
        trend : FleetTrend
            Of the pH itself; the reserve tells more.
        bound : ndarray, shape (n,)
            On pH.
        beyond : {"below"}
            On which side the pH is out of bounds.
        horizon : float or None
            Axis beyond which no crossing is reported.
        quantiles : sequence of float
            Probabilities.

        Returns
        -------
        DataFrame, n rows
            As `CorrectedBounds.crossing` gives it. The crossings by all curves are put together
            with equal weight; where the last sample's own pH says that the bound is passed, it
            is.
        """
        buffer, asked = self.buffer, np.union1d(quantiles, 0.5)
        wanted = bound - buffer.offset[self.groups]
        drawn, outside = [], []
        for k, curve in enumerate(buffer.curves):
            reserve = curve.reserve_at(wanted, buffer.place(k))
            table = self.trend.first_crossing(
                pd.Series(reserve, index=self.groups), beyond, quantiles=GRID, horizon=horizon
            ).loc[self.groups]
            drawn.append(table[[f"p{100.0 * p:g}" for p in GRID]].to_numpy())
            outside.append(table["probability_outside_now"].to_numpy())
        by_reading = ndtr((bound - self.now) / buffer.scatter)
        chance = np.where(np.isnan(self.now), np.mean(outside, axis=0), by_reading)
        found, here = _pooled(np.array(drawn), asked), self.last_axis[:, None]
        passed = chance[:, None] >= asked
        found = np.where(passed, np.minimum(found, here), np.maximum(found, here))
        found[np.isnan(bound)] = np.nan
        median = found[:, np.searchsorted(asked, 0.5)]
        status = np.where(np.isfinite(median), "ahead", "not at this rate")
        answer = pd.DataFrame(
            {f"p{100.0 * p:g}": found[:, np.searchsorted(asked, p)] for p in quantiles}
        )
        answer["status"] = np.where(chance >= 0.5, "outside now", status)
        answer["probability_outside_now"] = chance
        answer["slope"] = answer["slope_undiluted"] = self._slope(table["slope"].to_numpy())
        return answer

    def _slope(self, rate: Floats) -> Floats:
        """Return how fast the pH changes now: the curve's steepness times the reserve's rate."""
        level = np.maximum(self.trend.predict(self.last_axis[:, None], groups=self.groups), 0.0)
        reach = 0.1 * np.maximum(level, 1e-6)
        curve = self.buffer.curves[0]
        steepness = (curve.ph_at(level + reach) - curve.ph_at(level - reach)) / (2.0 * reach)
        return np.asarray(steepness * rate)


def _pooled(drawn: Floats, quantiles: Floats) -> Floats:
    """Quantiles of several distributions put together, from theirs at `GRID`; shape (n, m)."""
    weight = np.gradient(np.array(GRID))
    values = np.concatenate(list(drawn), axis=1)
    weights = np.broadcast_to(np.tile(weight, len(drawn)), values.shape)
    order = np.argsort(values, axis=1)
    values = np.take_along_axis(values, order, axis=1)
    share = np.cumsum(np.take_along_axis(weights, order, axis=1), axis=1)
    share /= share[:, -1:]
    places = (share[:, :, None] < quantiles).sum(axis=1)
    return np.take_along_axis(values, np.minimum(places, values.shape[1] - 1), axis=1)


def _exact(readings: Readings, column: int) -> Floats:
    """Return exact readings of a column, NaN where there is none."""
    lower, upper = readings.lower[:, column], readings.upper[:, column]
    exact = (readings.status[:, column] == READ) & np.isclose(lower, upper, rtol=1e-6, atol=0.0)
    return np.where(exact, lower, np.nan)


def _log_factor(readings: Readings, rows: TrendRows, dilution: Dilution, column: int) -> Floats:
    if not dilution.corrects(readings, column):
        return np.zeros(len(readings.samples))
    return dilution.log_factor(readings, rows, column)
