"""The samples of each unit, in the order in which they were taken."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.errors import UnknownUnitError, not_one_of
from chemcheck.readings.sample_types import NOT_OF_A_UNIT, rows_of_type
from chemcheck.readings.text_codes import text_codes

Rows = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class UnitSamples:
    """Which samples are of which unit.

    Parameters
    ----------
    unit_ids : tuple of str
        The units, in the order in which the files name them first.
    rows : ndarray of int, shape (n,)
        Positions of all their samples, unit by unit, each unit's oldest first.
    ends : ndarray of int, shape (n_units + 1,)
        Where each unit's samples begin in ``rows``, and the end of the last.
    """

    unit_ids: tuple[str, ...]
    rows: Rows
    ends: Rows

    def of(self, unit: int) -> Rows:
        """Return the samples of one unit, the oldest first."""
        return self.rows[self.ends[unit] : self.ends[unit + 1]]

    def find(self, unit_id: str) -> int:
        """Return the position of a unit by its id.

        Raises
        ------
        UnknownUnitError
            If no sample names it; the nearest id is suggested.
        """
        if unit_id not in self.unit_ids:
            raise UnknownUnitError(not_one_of(unit_id, self.unit_ids, "unit"))
        return self.unit_ids.index(unit_id)

    @property
    def latest(self) -> Rows:
        """The last sample of each unit, shape (n_units,)."""
        return np.asarray(self.rows[self.ends[1:] - 1])


def unit_samples(samples: pd.DataFrame) -> UnitSamples:
    """Gather the samples of each unit.

    Blanks, spikes and check standards say how a laboratory works, and new coolant has not been
    in any unit: they are left out.
    Samples are ordered by date; of one date, or without, by hours, distance and days, and
    then as the files have them. A sample without a date counts as older than one with.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        Of the readings.

    Returns
    -------
    UnitSamples
        Of every unit that is named.

    Examples
    --------
    >>> samples = pd.DataFrame({
    ...     "unit_id": ["A", "B", "A", None],
    ...     "taken_on": pd.to_datetime(["2031-02-01", "2031-01-01", "2031-01-01", None]),
    ...     "hours": np.nan, "distance": np.nan, "days": np.nan, "sample_type": "routine",
    ... })
    >>> found = unit_samples(samples)
    >>> found.unit_ids, found.of(0), found.latest
    (('A', 'B'), array([2, 0]), array([0, 1]))
    """
    code, names = text_codes(samples["unit_id"])
    wanted = code >= 0
    wanted[rows_of_type(samples, NOT_OF_A_UNIT)] = False
    rows = np.flatnonzero(wanted)
    day = samples["taken_on"].to_numpy("datetime64[s]").astype(np.int64)[rows]
    keys = [
        np.nan_to_num(samples[name].to_numpy(dtype=np.float64)[rows], nan=-np.inf)
        for name in ("days", "distance", "hours")
    ]
    # Not-a-time is the least number; of equals the order of the files stays.
    keys = [key for key in (*keys, day) if key.size and (key != key[0]).any()]
    rows = rows[unit_order(code[rows], keys)]
    of_row = code[rows]
    begins = np.flatnonzero(np.r_[True, np.diff(of_row) != 0]) if rows.size else np.zeros(0, int)
    return UnitSamples(
        unit_ids=tuple(str(names[k]) for k in of_row[begins]),
        rows=rows,
        ends=np.append(begins, rows.size),
    )


def unit_order(code: Rows, keys: Sequence[npt.NDArray[np.float64] | npt.NDArray[np.int64]]) -> Rows:
    """Put samples in the order of their units and, within each, of their keys.

    Parameters
    ----------
    code : ndarray of int64, shape (n,)
        Of the unit.
    keys : sequence of ndarray, shape (n,)
        The last counts first, as for `numpy.lexsort`.

    Returns
    -------
    ndarray of int, shape (n,)
        What ``numpy.lexsort((*keys, code))`` returns, in a fraction of its time: units and
        days are sorted 16 bits at a time, and only samples of one unit and day are compared
        by what else there is.

    Examples
    --------
    >>> unit_order(np.array([1, 0, 1]), [np.array([5, 5, 3])])
    array([1, 2, 0])
    """
    order = np.arange(code.size)
    whole = [key.astype(np.int64) for key in (*keys[-1:], code) if key.dtype.kind == "i"]
    for key in whole:
        order = _by_words(key, order)
    if len(whole) == len(keys) + 1:
        return order
    tied = np.ones(max(code.size - 1, 0), dtype=np.bool_)
    for key in whole:
        tied &= np.diff(key[order]) == 0
    at = np.flatnonzero(np.append(tied, False) | np.append(False, tied))
    some = order[at]
    order[at] = some[np.lexsort((*(key[some] for key in keys), code[some]))]
    return order


def _by_words(key: npt.NDArray[np.int64], order: Rows) -> Rows:
    """Sort whole numbers, of equals as they were ordered before."""
    if not key.size:
        return order
    rest = (key - key.min()).astype(np.uint64)
    step = np.gcd.reduce(rest)  # days in seconds are few once they are days again
    if step > 1:
        rest //= step
    while True:
        word = (rest & np.uint64(0xFFFF)).astype(np.uint16)
        order = order[np.argsort(word[order], kind="stable")]
        rest >>= np.uint64(16)
        if not rest.any():
            return order
