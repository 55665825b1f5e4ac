"""Whether a limit decides in a sample, by another of its readings."""

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from chemcheck.judging.bound_tables import ConditionInForce
from chemcheck.judging.record import NO_RESULT, NOT_JUDGED, OUTSIDE, UNDECIDED
from chemcheck.limit_library.records import Condition

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Places = npt.NDArray[np.intp]

# An analyte's readings, widened; NaN where there is none.
Readings = Callable[[str], tuple[Floats, Floats]]
# What other readings say of an analyte in some rows: the ends between which it lies.
Implied = Callable[[str, Places], tuple[Floats, Floats]]


def apply_conditions(
    state: npt.NDArray[np.int8],
    decisive: npt.NDArray[np.int16],
    rows: Places,
    conditions: Sequence[ConditionInForce],
    readings: Readings,
    implied: Implied,
    in_doubt: np.int8 = UNDECIDED,
) -> Bools:
    """Change the states of those rows in which a condition holds, or may hold.

    The first condition that holds counts. Of one that may hold and may not: ``not judged``
    makes a broken bound undecided, because the bound may not apply, and leaves a kept one
    alone; ``undecided`` makes any state undecided.

    Parameters
    ----------
    state : ndarray of int8, shape (n,)
        Changed in place where there is a result.
    decisive : ndarray of int16, shape (n,)
        Changed in place to the condition that decided.
    rows : ndarray of int, shape (m,)
        Rows that have the limit.
    conditions : sequence of ConditionInForce
        In their order.
    readings : callable
        Takes an analyte; returns the widened ends of its readings, shape (n,), NaN where
        there is none.
    implied : callable
        Takes an analyte and rows; returns what other readings say of it there.
    in_doubt : int8
        ``UNDECIDED``; ``WARNING`` for a limit without an action bound, which never keeps a
        sample from being fit.

    Returns
    -------
    ndarray of bool, shape (m,)
        In which rows the limit surely does not apply.

    Notes
    -----
    A missing reading does not take a limit out of force: it never fulfils ``not judged``.
    But it leaves ``undecided`` open, unless other readings of the sample say that the
    condition cannot hold. So removing the reading that a condition looks at never makes the
    verdict better: what was undecided stays so, and what did not apply does.
    """
    open_rows = np.ones(rows.size, dtype=np.bool_)  # no condition counts yet
    exempt = np.zeros(rows.size, dtype=np.bool_)
    for item in conditions:
        surely, may, missing = holds(item.condition, rows, readings, implied)
        surely &= open_rows
        may &= open_rows & ~surely
        open_rows &= ~surely
        if item.condition.then == "not judged":
            exempt |= surely
            _set(state, decisive, rows[surely], NOT_JUDGED, item.bound)
            doubtful = rows[may & ~missing]
            broken = doubtful[state[doubtful] == OUTSIDE]
            _set(state, decisive, broken, in_doubt, item.bound)
        else:
            _set(state, decisive, rows[surely | may], in_doubt, item.bound)
            open_rows &= ~may  # whatever follows, this one may hold
    return exempt


def holds(
    condition: Condition, rows: Places, readings: Readings, implied: Implied
) -> tuple[Bools, Bools, Bools]:
    """Say in which rows a condition surely holds, and in which it may hold.

    Parameters
    ----------
    condition : Condition
        What must hold.
    rows : ndarray of int, shape (m,)
        The rows in question.
    readings, implied : callable
        As for `apply_conditions`.

    Returns
    -------
    surely, may, missing : ndarray of bool, shape (m,)
        A missing reading never surely fulfils it; it may where what is implied allows.
    """
    low, high = (ends[rows] for ends in readings(condition.analyte))
    missing = np.isnan(low)
    absent = np.flatnonzero(missing)
    if absent.size:
        low[absent], high[absent] = implied(condition.analyte, rows[absent])
    surely = np.zeros(rows.size, dtype=np.bool_)
    may = np.zeros(rows.size, dtype=np.bool_)
    if condition.below is not None:
        surely |= high < condition.below
        may |= low < condition.below
    if condition.above is not None:
        surely |= low > condition.above
        may |= high > condition.above
    return surely & ~missing, may, missing


def _set(
    state: npt.NDArray[np.int8],
    decisive: npt.NDArray[np.int16],
    rows: Places,
    to: np.int8,
    bound: int,
) -> None:
    """Set a state where there is a result, and name what decided it."""
    with_result = rows[(state[rows] != NO_RESULT) & (state[rows] != NOT_JUDGED)]
    state[with_result] = to
    decisive[with_result] = bound
