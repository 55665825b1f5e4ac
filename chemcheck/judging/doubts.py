"""What keeps results and whole samples from being relied on, whatever they read."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from chemcheck.judging.record import BoundInForce
from chemcheck.limit_library.records import Evidence, LimitSet

Codes = npt.NDArray[np.int16]


@dataclass(frozen=True, slots=True)
class Doubt:
    """One reason.

    Parameters
    ----------
    says : str
        The reason in words: ``sample not representative: taken from a drain``.
    source : str
        Who says that it is one.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    says: str
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Doubts:
    """Which samples and results are in doubt, and why.

    Parameters
    ----------
    kinds : tuple of Doubt
        The reasons.
    of_sample : ndarray of int16, shape (n_samples,)
        Position in ``kinds``; -1 where the sample may be relied on.
    of_cell : ndarray of int16, shape (n_samples, n_columns), or None
        The same for single results; None where none is in doubt.
    """

    kinds: tuple[Doubt, ...]
    of_sample: Codes
    of_cell: Codes | None = None


def for_columns(doubts: Doubts | None, n_columns: int) -> Doubts | None:
    """Return doubts for readings that got columns more; nothing of those is in doubt.

    Examples
    --------
    >>> doubts = Doubts((), np.array([-1]), np.array([[0]], dtype=np.int16))
    >>> for_columns(doubts, 2).of_cell
    array([[ 0, -1]], dtype=int16)
    """
    if doubts is None or doubts.of_cell is None:
        return doubts
    more = n_columns - doubts.of_cell.shape[1]
    if not more:
        return doubts
    nothing = np.full((len(doubts.of_cell), more), -1, dtype=np.int16)
    return replace(doubts, of_cell=np.hstack([doubts.of_cell, nothing]))


def doubts_in_force(
    doubts: Doubts, sets: Sequence[LimitSet], bounds: list[BoundInForce]
) -> npt.NDArray[np.int16]:
    """Enter reasons among the bounds in force, so that they can be shown with the results.

    Parameters
    ----------
    doubts : Doubts
        The reasons.
    sets : sequence of LimitSet
        Each gets every reason, as it would a bound.
    bounds : list of BoundInForce
        Added to.

    Returns
    -------
    ndarray of int16, shape (n_kinds, n_sets)
        Positions among the bounds.
    """
    answer = np.empty((len(doubts.kinds), len(sets)), dtype=np.int16)
    for k, doubt in enumerate(doubts.kinds):
        for s, limit_set in enumerate(sets):
            answer[k, s] = len(bounds)
            bounds.append(
                BoundInForce(
                    limit_set=limit_set.id,
                    quantity=0,
                    side=None,
                    kind="condition",
                    value=float("nan"),
                    of_fresh=False,
                    consequence=f"{doubt.says[:1].upper()}{doubt.says[1:]}.",
                    source=f"undecided: {doubt.says} ({doubt.source})",
                    evidence=doubt.evidence,
                )
            )
    return answer
