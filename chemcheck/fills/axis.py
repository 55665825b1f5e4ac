"""How long each sample's coolant had been in use: hours, distance or days."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.event_order import as_number, events_before
from chemcheck.fills.fill_numbers import Fills

AXES = {"hours": "h", "distance": "km", "days": "d"}


@dataclass(frozen=True, slots=True)
class Usage:
    """The age of every sample's fill on one axis.

    Parameters
    ----------
    axis : {"hours", "distance", "days"}
        What is counted.
    age : ndarray of float64, shape (n_samples,)
        Since the fill began [h, km or d]; NaN where unknown.
    origin_logged : ndarray of bool, shape (n_samples,)
        Whether the fill's beginning is a logged change; otherwise its first sample counts
        as the beginning.
    rate : ndarray of float64, shape (n_units,)
        Use of the unit [axis per day]; NaN where neither the unit nor the fleet tells.
    rate_own : ndarray of bool, shape (n_units,)
        Whether the rate is the unit's own; otherwise it is the fleet's median.
    """

    axis: str
    age: npt.NDArray[np.float64]
    origin_logged: npt.NDArray[np.bool_]
    rate: npt.NDArray[np.float64]
    rate_own: npt.NDArray[np.bool_]


def choose_axis(samples: pd.DataFrame) -> str:
    """Return hours if any sample has them, else distance, else days.

    Examples
    --------
    >>> choose_axis(pd.DataFrame({"hours": [np.nan], "distance": [120.0]}))
    'distance'
    """
    for axis in ("hours", "distance"):
        if samples[axis].notna().any():
            return axis
    return "days"


def measure_usage(
    samples: pd.DataFrame, events: pd.DataFrame | None, fills: Fills, axis: str
) -> Usage:
    """Measure how old each sample's fill was, and how fast each unit is used.

    A meter that was reset goes on counting from where it stood at the last sample before.
    Where the log gives no meter reading at a change, the reading is carried back from the
    fill's first sample by the unit's rate; where there is no logged change, the first
    sample of the fill counts as its beginning.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``taken_on``, ``hours``, ``distance``, ``days`` and ``sample_type``.
    events : DataFrame or None
        With ``unit_id``, ``date``, ``hours``, ``distance`` and ``event``.
    fills : Fills
        Of the same samples and events.
    axis : {"hours", "distance", "days"}
        What is counted.

    Returns
    -------
    Usage
        In the order of the samples.

    Examples
    --------
    >>> from chemcheck.fills.fill_numbers import number_fills
    >>> samples = pd.DataFrame({
    ...     "unit_id": ["A", "A"], "taken_on": pd.to_datetime(["2031-01-01", "2031-02-20"]),
    ...     "hours": [100.0, 400.0], "distance": np.nan, "days": np.nan,
    ...     "sample_type": "routine",
    ... })
    >>> usage = measure_usage(samples, None, number_fills(samples), "hours")
    >>> usage.age, usage.rate
    (array([  0., 300.]), array([6.]))
    """
    day = as_number(samples["taken_on"])
    changed_on = np.empty(0) if events is None else as_number(events["date"])
    if axis == "days":
        stated = as_number(samples["days"])
        meter = np.where(np.isnan(day), stated, day)
        rate = np.ones(len(fills.unit_ids))
        own = np.ones(len(fills.unit_ids), dtype=bool)
        logged_meter = changed_on
    else:
        meter, logged_meter = running_meter(samples, events, fills, axis)
        rate, own = _rate(fills, day, meter)
    at_change = _of_change(logged_meter, fills)
    first = _first_of_fill(fills, meter)
    first_day = _first_of_fill(fills, np.where(np.isnan(meter), np.nan, day))
    unit_rate = np.append(rate, np.nan)[fills.unit]
    carried_back = first - unit_rate * (first_day - _of_change(changed_on, fills))
    origin = np.where(np.isnan(at_change), carried_back, at_change)
    logged = ~np.isnan(origin)
    age = meter - np.where(logged, origin, first)
    return Usage(axis, np.where(fills.unit >= 0, age, np.nan), logged, rate, own)


def running_meter(
    samples: pd.DataFrame, events: pd.DataFrame | None, fills: Fills, axis: str
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Return the meter as if it had never been reset, of the samples and of the events.

    Parameters
    ----------
    samples, events : DataFrame
        As for `measure_usage`.
    fills : Fills
        Of the same samples and events.
    axis : {"hours", "distance"}
        Which meter.

    Returns
    -------
    ndarray of float64, shape (n_samples,) and (n_events,)
        [h or km]; NaN where no meter was read.
    """
    if events is None:
        return as_number(samples[axis]), np.empty(0)
    log_unit = fills.unit_ids.get_indexer(pd.Index(events["unit_id"]))
    is_reset = (events["event"] == "meter reset").to_numpy()
    resets = events[is_reset & (log_unit >= 0)]
    if not len(resets):
        return as_number(samples[axis]), as_number(events[axis])
    # The log of an event is a reading of the meter too.
    readings = pd.concat(
        [
            samples[["taken_on", "hours", "distance", "sample_type"]],
            events.rename(columns={"date": "taken_on"}).assign(sample_type="routine"),
        ]
    )
    unit = np.concatenate([fills.unit, log_unit])
    meter = as_number(readings[axis])
    passed, last = events_before(
        readings, unit, resets, log_unit[is_reset & (log_unit >= 0)], keys=("date",)
    )
    meter = meter + _ahead(
        unit, meter, passed, np.append(np.nan_to_num(as_number(resets[axis])), 0)[last]
    )
    return meter[: len(samples)], meter[len(samples) :]


def _ahead(
    unit: npt.NDArray[np.int64],
    meter: npt.NDArray[np.float64],
    passed: npt.NDArray[np.int64],
    restart: npt.NDArray[np.float64],
) -> npt.NDArray[np.float64]:
    """Return what was counted before the last reset, less where the meter started again."""
    # One segment is what a unit's meter counted between two resets.
    segment = np.unique(unit * (passed.max() + 1) + passed, return_inverse=True)[1]
    n_segments = segment.max() + 1
    highest = np.full(n_segments, -np.inf)
    read = ~np.isnan(meter)
    np.maximum.at(highest, segment[read], meter[read])
    starts_at, unit_of = np.empty(n_segments), np.empty(n_segments, dtype=np.int64)
    starts_at[segment], unit_of[segment] = restart, unit
    # The first segment counts from zero; segments are in order of unit and reset, so
    # what was counted before is a running sum.
    counted = np.where(np.isfinite(highest), highest - starts_at, 0.0)
    before = np.cumsum(counted) - counted
    first_of_unit = np.r_[True, np.diff(unit_of) != 0]
    base = np.maximum.accumulate(np.where(first_of_unit, np.arange(n_segments), 0))
    return np.asarray((before - before[base] - starts_at)[segment])


def _rate(
    fills: Fills, day: npt.NDArray[np.float64], meter: npt.NDArray[np.float64]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.bool_]]:
    """Return each unit's least-squares slope of the meter over the date."""
    n_units = len(fills.unit_ids)
    known = (fills.unit >= 0) & ~np.isnan(day) & ~np.isnan(meter)
    unit, x, y = fills.unit[known], day[known], meter[known]

    def total(values: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        return np.asarray(np.bincount(unit, weights=values, minlength=n_units))

    count = np.maximum(total(np.ones(len(x))), 1)
    x = x - (total(x) / count)[unit]
    y = y - (total(y) / count)[unit]
    spread = total(x * x)
    own = spread > 0
    rate = np.divide(total(x * y), spread, out=np.full(n_units, np.nan), where=own)
    own &= rate > 0
    fleet = np.median(rate[own]) if own.any() else np.nan
    return np.asarray(np.where(own, rate, fleet)), own


def _of_change(logged: npt.NDArray[np.float64], fills: Fills) -> npt.NDArray[np.float64]:
    """Return what the log says of the change that began each sample's fill."""
    return np.append(logged, np.nan)[fills.change]


def _first_of_fill(fills: Fills, values: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return the least value within each sample's fill, NaN where there is none."""
    least = np.full(fills.group.max(initial=-1) + 2, np.inf)
    known = ~np.isnan(values)
    np.minimum.at(least, fills.group[known], values[known])
    least[-1] = np.inf
    return np.where(np.isfinite(least), least, np.nan)[fills.group]
