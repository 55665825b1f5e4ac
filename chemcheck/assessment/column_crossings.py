"""Where the trends of one analyte meet its bounds, a technology at a time."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.bound_ranges import medians_at
from chemcheck.assessment.corrected_bounds import CorrectedBounds
from chemcheck.assessment.dilution import Dilution
from chemcheck.assessment.forecast_settings import ForecastSettings
from chemcheck.assessment.levelled_fleet import LevelledFleet
from chemcheck.assessment.ph_crossing import (
    THROUGH_RESERVE,
    PhBounds,
    PhThroughReserve,
    reserve_column,
)
from chemcheck.assessment.trend_fit import fit_trend
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.forecasting import FleetTrend
from chemcheck.judging.bound_tables import LOWER_ACTION, UPPER_ACTION, ColumnTable
from chemcheck.readings.record import READ, Readings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

SIDES = {LOWER_ACTION: ("lower", "below"), UPPER_ACTION: ("upper", "above")}
# Quantiles from which a crossing's distribution is put together; the chosen risk is added.
PROBABILITIES = (0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99)


def probabilities_of(settings: ForecastSettings) -> tuple[float, ...]:
    """Return the probabilities at which crossings are told."""
    return tuple(sorted({*PROBABILITIES, settings.risk}))


def names_of(probabilities: Iterable[float]) -> list[str]:
    """Return the columns in which the estimator gives its quantiles."""
    return [f"p{100.0 * p:g}" for p in probabilities]


@dataclass(slots=True)
class ColumnFits:
    """The trends of a fleet, fitted as they are asked for.

    Parameters
    ----------
    levelled : LevelledFleet
        The samples at one level, and what top-ups did.
    rows : TrendRows
        Where they stand.
    settings : ForecastSettings
        Risk and horizon.
    remarks : list of (str, str)
        Grows by what could not be fitted.
    samples : str
        Which samples are fitted, as remarks name them; nothing for all.
    fitted : dict
        By column and technology.
    buffers : dict
        How pH follows reserve, by column of the pH and technology.
    """

    levelled: LevelledFleet
    rows: TrendRows
    settings: ForecastSettings
    remarks: list[tuple[str, str]]
    samples: str = ""
    fitted: dict[tuple[int, str | None], FleetTrend | None] = field(default_factory=dict)
    buffers: dict[tuple[int, str | None], PhThroughReserve | None] = field(default_factory=dict)

    @property
    def readings(self) -> Readings:
        """The samples, each analyte at one level."""
        return self.levelled.readings

    @property
    def dilution(self) -> Dilution:
        """What top-ups did."""
        return self.levelled.dilution

    def crossings(
        self,
        column: int,
        table: ColumnTable,
        stratum: npt.NDArray[np.int16],
        ranges: tuple[Floats, ...],
    ) -> Iterator[pd.DataFrame]:
        """Fit one analyte, a technology at a time, and find where its trends meet the bounds.

        Parameters
        ----------
        column : int
            Of the readings.
        table : ColumnTable
            Its bounds.
        stratum : ndarray of int16, shape (n_units,)
            Of each unit's last sample.
        ranges : tuple of ndarray
            What sources give for the bounds, in the order of `SIDES`.

        Yields
        ------
        DataFrame
            One row a unit that faces the bound.
        """
        readings, rows, settings = self.readings, self.rows, self.settings
        last = rows.last_of_present_fill
        bound = {
            role: _bounds_of_units(readings, rows, column, table, stratum, role, table.value[role])
            for role in SIDES
        }
        ends = {
            role: np.array(
                [
                    _bounds_of_units(readings, rows, column, table, stratum, role, end)
                    for end in pair
                ]
            )
            for role, pair in zip(SIDES, ranges, strict=True)
        }
        has_bound = np.isfinite(np.stack(list(bound.values()))).any(axis=0)
        read = rows.usable & (readings.status[:, column] == READ)
        has_bound &= np.isin(rows.fills.group[last], rows.fills.group[read])
        technology = np.append(rows.technology, [None])[rows.fills.group]
        probabilities = probabilities_of(settings)
        for kind in pd.unique(technology[last[has_bound]]):
            same = rows.of_technology(kind)
            pooled, faced = read & same, np.flatnonzero(has_bound & same[last])
            trend = self.trend(column, kind, pooled)
            if trend is None:
                continue
            rate = rows.usage.rate[rows.fills.unit[last[faced]]]
            reach = settings.horizon * np.nanmax(rate, initial=0.0)
            horizon = float(rows.usage.age[pooled].max() + reach) if reach > 0 else None
            for role, (side, beyond) in SIDES.items():
                here = faced[np.isfinite(bound[role][faced])]
                if not here.size:
                    continue
                facing = self._facing(column, kind, side, last[here], bound[role][here])
                crossing = facing.crossing(trend, bound[role][here], beyond, horizon, probabilities)
                crossing["bound"] = bound[role][here]
                yield crossing.assign(
                    unit=here,
                    column=column,
                    side=side,
                    in_force=table.bound[role, stratum[here]],
                    **_named(facing, trend),
                    **medians_at(facing, trend, ends[role][:, here], beyond, horizon, crossing),
                )

    def trend(self, column: int, kind: str | None, pooled: Bools) -> FleetTrend | None:
        """Fit the trend of a column in a technology, once.

        Parameters
        ----------
        column : int
            Of the readings.
        kind : str or None
            The technology.
        pooled : ndarray of bool, shape (n_samples,)
            Its samples with a reading of the column.
        """
        if (column, kind) not in self.fitted:
            name = f"{self.readings.columns[column].analyte}, technology {kind or 'unknown'}"
            name += self.samples
            self.fitted[column, kind] = fit_trend(
                self.readings,
                self.rows,
                column,
                pooled,
                name,
                self.remarks,
                self.dilution,
                self.levelled.offsets_of(column, kind),
            )
        return self.fitted[column, kind]

    def through_reserve(
        self, column: int, kind: str | None, side: str
    ) -> tuple[PhThroughReserve, FleetTrend] | None:
        """Return how pH follows reserve, and the reserve's trend, where pH is foreseen by them.

        Parameters
        ----------
        column : int
            Of the readings.
        kind : str or None
            The technology.
        side : {"lower", "upper"}
            Of the bound: only falling through the lower one goes through the reserve.
        """
        readings, rows = self.readings, self.rows
        reserve = reserve_column(readings)
        if readings.columns[column].analyte != "ph" or side != "lower" or reserve < 0:
            return None
        same = rows.usable & rows.of_technology(kind)
        if (column, kind) not in self.buffers:
            self.buffers[column, kind] = PhThroughReserve.of(
                readings, rows, self.dilution, column, same
            )
        buffer = self.buffers[column, kind]
        if buffer is None:
            return None
        trend = self.trend(reserve, kind, same & (readings.status[:, reserve] == READ))
        return None if trend is None else (buffer, trend)

    def _facing(
        self,
        column: int,
        kind: str | None,
        side: str,
        last: npt.NDArray[np.int64],
        bound: Floats,
    ) -> CorrectedBounds | PhBounds:
        """Return how fills face a bound; pH falls through reserve where that is known."""
        found = self.through_reserve(column, kind, side)
        if found is not None:
            buffer, trend = found
            if np.isin(self.rows.fills.group[last], trend.groups_).all():
                return buffer.facing(trend, self.readings, self.rows, column, last)
        return CorrectedBounds.of(self.readings, self.rows, self.dilution, column, last, bound)


def _named(facing: CorrectedBounds | PhBounds, trend: FleetTrend) -> dict[str, str | float | None]:
    """Name the curve, how likely it is, the other one that is likely, and the errors."""
    if isinstance(facing, PhBounds):
        return {
            "curve": THROUGH_RESERVE,
            "curve_share": 1.0,
            "other_curve": None,
            "errors": facing.trend.errors_,
        }
    (name, share), *others = trend.curve_shares_.items()
    other = others[0][0] if others else None
    return {
        "curve": name,
        "curve_share": share,
        "other_curve": other,
        "errors": trend.errors_,
    }


def _bounds_of_units(
    readings: Readings,
    rows: TrendRows,
    column: int,
    table: ColumnTable,
    stratum: npt.NDArray[np.int16],
    role: int,
    value: Floats,
) -> Floats:
    """Return each unit's bound; of a fraction of fresh, the stricter end of the reference."""
    bound = value[stratum]
    of_fresh = table.of_fresh[role, stratum]
    if of_fresh.any():
        reference = rows.fresh[rows.last_of_present_fill]
        ends = readings.upper if role == LOWER_ACTION else readings.lower
        fresh = np.where(reference >= 0, ends[reference, column], np.nan)
        bound = np.where(of_fresh, bound * fresh, bound)
    return np.where(np.isfinite(bound), bound, np.nan)
