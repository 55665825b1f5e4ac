"""Bounds on readings as bounds on a series corrected for dilution, and what follows from them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.dilution import Dilution
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.moving_bound import DRIFT_COLUMNS, FARTHEST
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class CorrectedBounds:
    """How bounds on the readings of some fills stand on the corrected scale.

    Parameters
    ----------
    groups : ndarray of int64, shape (n,)
        The fills.
    last_axis : ndarray, shape (n,)
        Axis of their last sample.
    factor : ndarray, shape (n,)
        By what top-ups had moved the reading at the last sample.
    drift : DataFrame or None
        How the bounds move from there on; None where readings are not corrected.
    """

    groups: Integers
    last_axis: Floats
    factor: Floats
    drift: pd.DataFrame | None

    @classmethod
    def of(
        cls,
        readings: Readings,
        rows: TrendRows,
        dilution: Dilution,
        column: int,
        last: Integers,
        bound: Floats,
    ) -> "CorrectedBounds":
        """Stand bounds on the corrected scale.

        Parameters
        ----------
        readings : Readings
            The samples.
        rows : TrendRows
            Where they stand.
        dilution : Dilution
            What top-ups did.
        column : int
            Of the readings.
        last : ndarray of int64, shape (n,)
            Last sample of each fill.
        bound : ndarray, shape (n,)
            About where the reading will be.
        """
        groups, age = rows.fills.group[last], rows.usage.age[last]
        if not dilution.corrects(readings, column):
            return cls(groups, age, np.ones(len(last)), None)
        factor = np.exp(dilution.log_factor(readings, rows, column)[last])
        return cls(groups, age, factor, dilution.drift(readings, rows, column, last, bound))

    def reading_back(self, mean: Floats, deviation: Floats, age: Floats) -> tuple[Floats, Floats]:
        """Turn corrected values to come into readings.

        Parameters
        ----------
        mean, deviation : ndarray, shape (n,)
            Of corrected readings.
        age : ndarray, shape (n,)
            Where on the axis, after the last sample.

        Returns
        -------
        mean, deviation : ndarray, shape (n,)
            Of the readings themselves.
        """
        if self.drift is None:
            return mean, deviation
        factor, spread = self.moved_at(age)
        return mean * factor, factor * np.sqrt(deviation**2 + mean**2 * spread)

    def moved_at(self, age: Floats) -> tuple[Floats, Floats]:
        """Return by what top-ups will have moved readings to come.

        Parameters
        ----------
        age : ndarray, shape (n,)
            Where on the axis, after the last sample.

        Returns
        -------
        factor, spread : ndarray, shape (n,)
            The factor, and the variance of its logarithm.
        """
        if self.drift is None:
            return self.factor.copy(), np.zeros(len(age))
        ahead = age - self.last_axis
        rate, variance, walk = (self.drift[name].to_numpy() for name in DRIFT_COLUMNS)
        factor = self.factor * np.exp(-np.clip(rate * ahead, -FARTHEST, FARTHEST))
        return factor, variance * ahead**2 + walk * np.abs(ahead)

    def crossing(
        self,
        trend: FleetTrend,
        bound: Floats,
        beyond: str,
        horizon: float | None,
        quantiles: Sequence[float],
    ) -> pd.DataFrame:
        """Find when readings pass their bounds.

        Parameters
        ----------
        trend : FleetTrend
            Fitted to corrected readings.
        bound : ndarray, shape (n,)
            On readings, in their unit.
        beyond : {"above", "below"}
            On which side the value is out of bounds.
        horizon : float or None
            Axis beyond which no crossing is reported.
        quantiles : sequence of float
            Probabilities.

        Returns
        -------
        DataFrame, n rows
            As `FleetTrend.first_crossing` gives it, with ``slope`` of the reading itself and
            ``slope_undiluted`` of what it would be without top-ups.
        """
        table = trend.first_crossing(
            pd.Series(bound / self.factor, index=self.groups),
            beyond,
            quantiles=quantiles,
            horizon=horizon,
            drift=self.drift,
        )
        table = table.loc[self.groups].reset_index(drop=True)
        undiluted = table["slope"].to_numpy() * self.factor
        table["slope_undiluted"] = undiluted
        if self.drift is not None:
            level = trend.predict(self.last_axis[:, None], groups=self.groups)
            away = self.drift["rate"].to_numpy()
            table["slope"] = undiluted - away * level * self.factor
        return table
