"""Which fill of its unit a sample was taken from."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.event_order import events_before

# After these the coolant in the unit is another one, so a trend starts afresh.
STARTS_A_FILL = ("change", "partial change")


@dataclass(frozen=True, slots=True)
class Fills:
    """The fill each sample belongs to.

    Parameters
    ----------
    unit : ndarray of int64, shape (n_samples,)
        Position in ``unit_ids``; -1 where the sample names no unit.
    unit_ids : Index
        The units, in order of their names.
    number : ndarray of int64, shape (n_samples,)
        Fill of the unit, counted from 1; 0 where the sample names no unit.
    group : ndarray of int64, shape (n_samples,)
        Running number of unit and fill together; -1 where the sample names no unit.
    last_number : ndarray of int64, shape (n_units,)
        The unit's present fill, of which there may be no sample yet.
    change : ndarray of int64, shape (n_samples,)
        Row, in the events table, of the change that began the fill; -1 where none is logged.
    """

    unit: npt.NDArray[np.int64]
    unit_ids: pd.Index
    number: npt.NDArray[np.int64]
    group: npt.NDArray[np.int64]
    last_number: npt.NDArray[np.int64]
    change: npt.NDArray[np.int64]

    def current(self) -> npt.NDArray[np.bool_]:
        """Return which samples show the coolant that is in their unit now.

        Returns
        -------
        ndarray of bool, shape (n_samples,)
            False where the sample names no unit.
        """
        return np.asarray((self.unit >= 0) & (self.number == self.last_number[self.unit]))


def number_fills(samples: pd.DataFrame, events: pd.DataFrame | None = None) -> Fills:
    """Give every sample the number of its unit's fill, by the changes logged.

    A change and a sample are compared by date; where one of them has no date, by hours,
    and failing that by distance. A routine sample with the date of the change counts as
    drawn before it, a fresh-fill sample as drawn after it. What cannot be placed does not
    separate fills.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``unit_id``, ``taken_on``, ``hours``, ``distance`` and ``sample_type``.
    events : DataFrame or None
        With ``unit_id``, ``date``, ``hours``, ``distance`` and ``event``.

    Returns
    -------
    Fills
        In the order of the samples.

    Examples
    --------
    >>> samples = pd.DataFrame({
    ...     "unit_id": ["A", "A", "A"],
    ...     "taken_on": pd.to_datetime(["2031-01-05", "2031-04-01", "2031-07-01"]),
    ...     "hours": [100.0, 300.0, 500.0],
    ...     "distance": np.nan,
    ...     "sample_type": "routine",
    ... })
    >>> events = pd.DataFrame({
    ...     "unit_id": ["A"], "date": pd.to_datetime(["2031-04-01"]),
    ...     "hours": [300.0], "distance": [np.nan], "event": ["change"],
    ... })
    >>> number_fills(samples, events).number
    array([1, 1, 2])
    """
    unit, unit_ids = pd.factorize(samples["unit_id"], sort=True)
    unit = unit.astype(np.int64)
    number = np.where(unit >= 0, 1, 0)
    last_number = np.ones(len(unit_ids), dtype=np.int64)
    change = np.full(len(samples), -1, dtype=np.int64)
    if events is not None and len(events):
        log_unit = unit_ids.get_indexer(pd.Index(events["unit_id"]))
        begins = np.flatnonzero((log_unit >= 0) & events["event"].isin(STARTS_A_FILL).to_numpy())
        passed, last = events_before(samples, unit, events.iloc[begins], log_unit[begins])
        number = number + passed
        last_number = 1 + np.bincount(log_unit[begins], minlength=len(unit_ids))
        change[last >= 0] = begins[last[last >= 0]]
    group = np.full(len(samples), -1, dtype=np.int64)
    known = unit >= 0
    pair = unit[known] * (number.max(initial=0) + 1) + number[known]
    group[known] = np.unique(pair, return_inverse=True)[1]
    return Fills(unit, unit_ids, number.astype(np.int64), group, last_number, change)
