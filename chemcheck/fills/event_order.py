"""What happened to a unit before a sample was drawn, by whatever places both."""

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.history.record import Events
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import EXPECTED_FILL, FRESH_FILL

# What shows the new fill, although it bears the date of the change.
FRESH_SAMPLES = (FRESH_FILL, EXPECTED_FILL)

# Order of what happened at the same moment: the used coolant is sampled before it is
# drained, the new one after it was filled.
_USED, _HAPPENED, _FRESH = 0, 1, 2


def all_events(readings: Readings, log: Events | None) -> pd.DataFrame | None:
    """Put the events that stand among the samples beside those of a log.

    Parameters
    ----------
    readings : Readings
        Whose files may hold events.
    log : Events or None
        A log of its own.

    Returns
    -------
    DataFrame or None
        In the columns of a log; None where nothing was logged.
    """
    known = [readings.logged, None if log is None else log.table]
    tables = [table for table in known if table is not None and len(table)]
    if not tables:
        return None
    return pd.concat(tables, ignore_index=True) if len(tables) > 1 else tables[0]


def events_before(
    samples: pd.DataFrame,
    unit: npt.NDArray[np.int64],
    events: pd.DataFrame,
    event_unit: npt.NDArray[np.intp],
    keys: tuple[str, ...] = ("date", "hours", "distance"),
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Count the events of its own unit before each sample, and name the last of them.

    An event and a sample are compared by the first key that both have. A routine sample
    with the date of the event counts as drawn before it, a fresh-fill sample after it.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``taken_on``, ``hours``, ``distance`` and ``sample_type``.
    unit : ndarray of int64, shape (n_samples,)
        Code of each sample's unit; a negative one has no events.
    events : DataFrame, n_events rows
        With ``date``, ``hours`` and ``distance``.
    event_unit : ndarray of int, shape (n_events,)
        Code of each event's unit.
    keys : tuple of str
        What may place an event, the best first.

    Returns
    -------
    passed, last : ndarray of int64, shape (n_samples,)
        How many; and the row among the events, -1 where none.

    Examples
    --------
    >>> samples = pd.DataFrame({
    ...     "taken_on": pd.to_datetime(["2031-01-05", "2031-04-02"]),
    ...     "hours": np.nan, "distance": np.nan, "sample_type": "routine",
    ... })
    >>> log = pd.DataFrame({
    ...     "date": pd.to_datetime(["2031-04-01"]), "hours": np.nan, "distance": np.nan,
    ... })
    >>> events_before(samples, np.array([0, 0]), log, np.array([0]))[0]
    array([0, 1])
    """
    passed = np.zeros(len(unit), dtype=np.int64)
    last = np.full(len(unit), -1, dtype=np.int64)
    fresh = samples["sample_type"].isin(FRESH_SAMPLES).to_numpy()
    sampled = np.column_stack(
        [as_number(samples["taken_on" if key == "date" else key]) for key in keys]
    )
    happened = np.column_stack([as_number(events[key]) for key in keys])
    # Samples that lack the same keys are compared with every event by the same key.
    lacks = np.isnan(sampled)
    for pattern in np.unique(lacks[unit >= 0], axis=0):
        here = np.flatnonzero((lacks == pattern).all(axis=1) & (unit >= 0))
        usable = ~np.isnan(happened) & ~pattern
        first_usable = np.where(usable.any(axis=1), usable.argmax(axis=1), -1)
        for key in range(usable.shape[1]):
            by_key = first_usable == key
            if not by_key.any():
                continue
            count, latest = _count_before(
                (unit[here], sampled[here, key], np.where(fresh[here], _FRESH, _USED)),
                (event_unit[by_key], happened[by_key, key]),
            )
            passed[here] += count
            newly = (latest >= 0) & (last[here] < 0)
            last[here[newly]] = np.flatnonzero(by_key)[latest[newly]]
    return passed, last


def _count_before(
    sampled: tuple[npt.NDArray[np.int64], npt.NDArray[np.float64], npt.NDArray[np.int64]],
    happened: tuple[npt.NDArray[np.intp], npt.NDArray[np.float64]],
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Count the events of a sample's unit before its moment, by one sort of them all.

    Parameters
    ----------
    sampled : tuple of ndarray
        Unit, moment and kind of each sample.
    happened : tuple of ndarray
        Unit and moment of each event.

    Returns
    -------
    count, latest : ndarray of int64
        For each sample, how many events; and the position of the last, -1 where none.
    """
    n_samples = len(sampled[0])
    units = np.concatenate([sampled[0], happened[0]])
    moments = np.concatenate([sampled[1], happened[1]])
    kinds = np.concatenate([sampled[2], np.full(len(happened[0]), _HAPPENED)])
    order = np.lexsort((kinds, moments, units))
    is_event = kinds[order] == _HAPPENED
    seen = np.cumsum(is_event)
    first_of_unit = np.r_[True, np.diff(units[order]) != 0]
    before_unit = np.maximum.accumulate(np.where(first_of_unit, seen - is_event, 0))
    place = np.maximum.accumulate(np.where(is_event, np.arange(len(order)), 0))
    count, latest = np.empty(len(order), np.int64), np.empty(len(order), np.int64)
    count[order] = seen - before_unit
    latest[order] = np.where(seen > before_unit, order[place] - n_samples, -1)
    return count[:n_samples], latest[:n_samples]


def as_number(values: pd.Series) -> npt.NDArray[np.float64]:
    """Return dates as days since 1970 and numbers as they are, NaN where unknown.

    Examples
    --------
    >>> as_number(pd.Series(pd.to_datetime(["1970-01-03", None])))
    array([ 2., nan])
    """
    if pd.api.types.is_datetime64_any_dtype(values):
        days = values.to_numpy("datetime64[s]").astype("int64") / 86400.0
        return np.where(values.isna().to_numpy(), np.nan, days)
    return values.to_numpy(dtype=np.float64, na_value=np.nan)
