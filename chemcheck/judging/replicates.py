"""Which duplicate belongs to which sample."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.readings.sample_types import (
    DUPLICATE,
    FRESH_FILL,
    ROUTINE,
    SPIKE,
    rows_of_type,
)

_OF_A_UNIT = (ROUTINE, FRESH_FILL)
Places = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Replicates:
    """Samples that show the same thing twice or more often.

    Parameters
    ----------
    row : ndarray of int, shape (n,)
        Positions of the samples, the first of each group and those taken with it.
    group : ndarray of int, shape (n,)
        Which belong together, counted from 0.
    unpaired : ndarray of int
        Duplicates whose first sample is not in the files, or is not certain.
    """

    row: Places
    group: Places
    unpaired: Places


def find_replicates(samples: pd.DataFrame, kind: str = DUPLICATE) -> Replicates:
    """Find the sample that each duplicate repeats, or each spike was made from.

    A sample of the same number comes first, then one of the same unit and moment, then one
    of the same unit and day: always of the same material, and only if there is no other.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``sample_id``, ``unit_id``, ``taken_on``, ``material`` and ``sample_type``.
    kind : {"duplicate", "spike"}
        What to find the first sample of.

    Returns
    -------
    Replicates
        Duplicates of one sample stand in one group with it.

    Examples
    --------
    >>> samples = pd.DataFrame({
    ...     "sample_id": ["1", "2", "2"], "unit_id": "A", "material": "coolant",
    ...     "taken_on": pd.to_datetime(["2031-01-05", "2031-02-05", "2031-02-05"]),
    ...     "sample_type": ["routine", "routine", "duplicate"],
    ... })
    >>> find_replicates(samples)
    Replicates(row=array([1, 2]), group=array([0, 0]), unpaired=array([], dtype=int64))
    """
    repeats = rows_of_type(samples, (kind,))
    nothing = np.zeros(0, dtype=np.intp)
    if not repeats.size:
        return Replicates(nothing, nothing, nothing)
    firsts = rows_of_type(samples, _OF_A_UNIT)
    names = ["sample_id", "unit_id", "taken_on", "material"]
    both = samples[names].take(np.concatenate([firsts, repeats]))
    day = both["taken_on"].dt.floor("D")
    first = np.full(repeats.size, -1, dtype=np.intp)
    for key in (
        [both["sample_id"]],
        [both["unit_id"], both["taken_on"]],
        [both["unit_id"], day],
    ):
        code = _codes([*key, both["material"]])
        found = _only_one(code[: firsts.size], code[firsts.size :])
        found = np.where(found >= 0, firsts[found], -1)
        first = np.where(first >= 0, first, found)
    paired = first >= 0
    leader, group = np.unique(first[paired], return_inverse=True)
    row = np.r_[leader, repeats[paired]]
    group = np.r_[np.arange(leader.size), group]
    order = np.lexsort((row, group))
    return Replicates(row[order], group[order].astype(np.intp), repeats[~paired])


def find_spiked(samples: pd.DataFrame) -> Replicates:
    """Find the sample that each spike was made from; see `find_replicates`."""
    return find_replicates(samples, SPIKE)


def _codes(columns: list[pd.Series]) -> npt.NDArray[np.int64]:
    """Return a number for each distinct combination; -1 where any part is unknown."""
    code = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        part = pd.factorize(column)[0].astype(np.int64)
        unknown = (code < 0) | (part < 0)
        code = pd.factorize(code * (part.max(initial=0) + 2) + part)[0].astype(np.int64)
        code[unknown] = -1
    return code


def _only_one(offered: npt.NDArray[np.int64], wanted: npt.NDArray[np.int64]) -> Places:
    """Return where each wanted code is offered, -1 where it is not or more than once."""
    size = max(offered.max(initial=-1), wanted.max(initial=-1)) + 2
    place = np.full(size, -1, dtype=np.intp)
    place[offered] = np.arange(offered.size)
    count = np.bincount(offered[offered >= 0], minlength=size)
    answer = np.where(count[wanted] == 1, place[wanted], -1)
    return np.asarray(np.where(wanted < 0, -1, answer))
