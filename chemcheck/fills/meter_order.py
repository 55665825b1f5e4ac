"""Meters that run backwards."""

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.event_order import as_number, events_before
from chemcheck.fills.fill_numbers import Fills
from chemcheck.readings.questions import ask, join_questions, no_questions

Floats = npt.NDArray[np.float64]
_UNITS = {"hours": "h", "distance": "km"}


def meter_questions(
    samples: pd.DataFrame, fills: Fills, events: pd.DataFrame | None = None
) -> pd.DataFrame:
    """Ask about meters that read less than at an earlier sample of the unit.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``taken_on``, ``hours``, ``distance`` and ``sample_type``.
    fills : Fills
        Of the same samples.
    events : DataFrame, optional
        The log: a ``meter reset`` between two samples explains it.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``. Of two readings that contradict each other the one is asked
        about without which the meter would run forwards; where either would do, the later.
    """
    day = as_number(samples["taken_on"])
    passed = _resets_before(samples, fills, events)
    tables = [
        _of_meter(samples, axis, day, fills.unit, passed)
        for axis in _UNITS
        if samples[axis].notna().any()
    ]
    return join_questions(tables) if tables else no_questions()


def _resets_before(
    samples: pd.DataFrame, fills: Fills, events: pd.DataFrame | None
) -> npt.NDArray[np.int64]:
    """Count the resets of its meter before each sample."""
    if events is None or not len(events):
        return np.zeros(len(samples), dtype=np.int64)
    log_unit = fills.unit_ids.get_indexer(pd.Index(events["unit_id"]))
    resets = np.flatnonzero((events["event"] == "meter reset").to_numpy() & (log_unit >= 0))
    if not resets.size:
        return np.zeros(len(samples), dtype=np.int64)
    passed, _ = events_before(
        samples, fills.unit, events.iloc[resets], log_unit[resets], keys=("date",)
    )
    return passed


def culprits(
    day: Floats, meter: Floats, series: npt.NDArray[np.int64]
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Find readings of meters that contradict the order of dates.

    Parameters
    ----------
    day : ndarray, shape (n,)
        Dates [d]; NaN where unknown.
    meter : ndarray, shape (n,)
        NaN where none was read.
    series : ndarray of int64, shape (n,)
        What counts on one meter; a negative one is looked at no further.

    Returns
    -------
    wrong, against : ndarray of int, shape (m,)
        Of two readings that contradict each other the one without which the meter would run
        forwards (where either would do, the later), and the other.

    Examples
    --------
    >>> culprits(np.arange(4.0), np.array([10.0, 20.0, 3.0, 40.0]), np.zeros(4, int))
    (array([2]), array([1]))
    """
    order = np.lexsort((meter, day, series))
    order = order[(series[order] >= 0) & ~np.isnan(day[order]) & ~np.isnan(meter[order])]
    value = meter[order]
    same = np.diff(series[order]) == 0
    falls = np.flatnonzero((np.diff(value) < 0) & same)  # from this place to the next
    if not falls.size:
        return order[falls], order[falls]
    # Without the earlier one its neighbours rise, or without the later one: infinite ends
    # stand for the first and last sample of a unit.
    before = np.where(_inside(same, falls - 1), value[np.maximum(falls - 1, 0)], -np.inf)
    last = np.minimum(falls + 2, value.size - 1)
    behind = np.where(_inside(same, falls + 1), value[last], np.inf)
    earlier_wrong = (before <= value[falls + 1]) & ~(value[falls] <= behind)
    culprit = np.where(earlier_wrong, falls, falls + 1)
    against = np.where(earlier_wrong, falls + 1, falls)
    _, first = np.unique(culprit, return_index=True)
    return order[culprit[first]], order[against[first]]


def _of_meter(
    samples: pd.DataFrame,
    axis: str,
    day: Floats,
    unit: npt.NDArray[np.int64],
    passed: npt.NDArray[np.int64],
) -> pd.DataFrame:
    meter = as_number(samples[axis])
    series = np.where(unit >= 0, unit * (passed.max(initial=0) + 1) + passed, -1)
    culprit, against = culprits(day, meter, series)
    if not culprit.size:
        return no_questions()
    dates = samples["taken_on"].dt.strftime("%Y-%m-%d").to_numpy()
    numbers = samples["row"].to_numpy()
    said = [
        f"{meter[k]:g} {_UNITS[axis]} on {dates[k]} (row {numbers[k]}): was the "
        "meter replaced, which a log of events can say, or is a digit or the date wrong?"
        for k in against.tolist()
    ]
    texts = [f"{meter[a]:g}" for a in culprit.tolist()]
    return ask(samples, culprit, axis, texts, said)


def _inside(same: npt.NDArray[np.bool_], place: npt.NDArray[np.intp]) -> npt.NDArray[np.bool_]:
    """Return whether a step between two neighbours stays within a series."""
    valid = (place >= 0) & (place < same.size)
    return np.asarray(valid & same[np.clip(place, 0, max(same.size - 1, 0))])
