"""From the states of a sample's results to its verdict."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.judging.record import (
    FIT,
    NO_RESULT,
    NOT_DECIDED,
    NOT_JUDGED,
    OUTSIDE,
    UNDECIDED,
    UNFIT,
)

Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Lack:
    """What keeps a sample from being fit, apart from its results.

    Parameters
    ----------
    essential : ndarray of bool, shape (n,)
        An essential is missing, rejected or not judged.
    other : ndarray of bool, shape (n,)
        A reading with an action bound was there and could not be read, or the sample's
        limits are known only in part.
    """

    essential: Bools
    other: Bools


def verdicts(state: npt.NDArray[np.int8], lack: Lack) -> npt.NDArray[np.int8]:
    """Say which samples are fit.

    Parameters
    ----------
    state : ndarray of int8, shape (n, n_quantities)
        Of the results.
    lack : Lack
        What else is wanting.

    Returns
    -------
    ndarray of int8, shape (n,)
        ``UNFIT`` if any result is outside; else ``NOT_DECIDED`` if any is undecided, if
        anything is wanting, or if nothing was judged; else ``FIT``.

    Notes
    -----
    The law that holds: a reading that becomes unreadable never turns ``NOT_DECIDED`` or
    ``UNFIT`` into ``FIT``, and neither does the removal of a reading, unless it was itself
    the only result undecided or outside and is no essential. What is left is never judged
    more favourably, whatever is removed: a rule takes a missing term for all it may be, and
    a condition on a missing reading is one that may hold. (A result is held to follow the
    readings it came with: a conductivity that its own ions contradict is not consistent,
    and taking it away may settle a condition that it opened.)

    Examples
    --------
    >>> nothing = np.zeros(3, dtype=bool)
    >>> state = np.array([[0, 1], [0, 2], [3, 2]], dtype=np.int8)
    >>> verdicts(state, Lack(nothing, nothing))
    array([0, 1, 2], dtype=int8)
    """
    n = state.shape[0]
    outside, undecided, judged = (np.zeros(n, dtype=np.bool_) for _ in range(3))
    for column in state.T:
        outside |= column == OUTSIDE
        undecided |= column == UNDECIDED
        judged |= was_judged(column)
    undecided |= ~judged
    undecided |= lack.essential
    undecided |= lack.other
    answer = np.full(n, FIT, dtype=np.int8)
    answer[undecided] = NOT_DECIDED
    answer[outside] = UNFIT
    return answer


def was_judged(state: npt.NDArray[np.int8]) -> Bools:
    """Return which results are inside, warning, undecided or outside."""
    return np.asarray((state != NO_RESULT) & (state < NOT_JUDGED))
