"""What each feature says for or against its cause, as log10 of a likelihood ratio.

A feature speaks along a straight line between its knots, from its full weight against to its
full weight for. A reading counts for as much as its least telling end: it speaks for a cause
only as far as both ends do, and against it only as far as both ends do, so that a strip or a
non-detect that reaches across says nothing. Whatever a feature does not name has no part in it.
"""

import numpy as np
import numpy.typing as npt

from chemcheck.causes.plan import UNKNOWN, Plan, QuantityFeatures
from chemcheck.causes.quantities import Ends, Quantities

Singles = npt.NDArray[np.float32]
# A ratio this many times outside its range speaks against it in full [natural logarithm].
_RATIO_MARGIN = np.float32(0.3)


def evidence(plan: Plan, rows: slice | npt.NDArray[np.intp]) -> Singles:
    """Weigh every feature in a stretch of samples.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    rows : slice or ndarray of int
        The stretch.

    Returns
    -------
    ndarray of float32, shape (n_features, n)
        log10 of a likelihood ratio; 0 where nothing was read.
    """
    quantities = Quantities(plan, rows)
    answer = np.zeros((len(plan.features), quantities.size), dtype=np.float32)
    for each in plan.quantities:
        if each.first.look == "ratio":
            answer[each.features] = _of_ratio(each, quantities)
        else:
            answer[each.features] = _along_lines(each, quantities)
    _leave_out(answer, plan, rows)
    for group in plan.once:
        _count_once(answer, group)
    return answer


def _along_lines(lines: QuantityFeatures, quantities: Quantities) -> Singles:
    ends = quantities.of(lines.first)
    low, high = ends if lines.first.up else (-ends[1], -ends[0])
    answer = np.clip(lines.up_slope * low + lines.up_start, 0, lines.weight)
    if lines.far_slope is not None and lines.far_start is not None:
        np.minimum(answer, np.maximum(lines.far_slope * low + lines.far_start, 0), out=answer)
    if lines.moves:
        answer *= quantities.significance(lines.first)
    if lines.against.any():
        answer += np.clip(lines.down_slope * high + lines.down_start, -lines.against, 0)
    return np.asarray(answer, dtype=np.float32)


def _of_ratio(lines: QuantityFeatures, quantities: Quantities) -> Singles:
    """Weigh the quotient of two rises; it says nothing unless both surely rose."""
    one = lines.first
    assert one.band is not None  # every ratio has both
    assert one.to is not None
    top, below = quantities.rise(one.of), quantities.rise(one.to)
    both = (top[0] > 0) & (below[0] > 0) & (top[1] < UNKNOWN) & (below[1] < UNKNOWN)
    # The middle of each counts: its ends hold an uncertainty that both largely share.
    middle = np.log(_middle(top, both) / _middle(below, both))
    low, high = np.log(np.float32(one.band[0])), np.log(np.float32(one.band[1]))
    outside = np.maximum(low - middle, middle - high) / _RATIO_MARGIN
    answer = np.clip(lines.weight * (1 - np.maximum(outside, 0) * 2), -lines.against, lines.weight)
    return np.asarray(np.where(both, answer, 0), dtype=np.float32)


def _middle(ends: Ends, where: npt.NDArray[np.bool_]) -> Singles:
    return np.asarray(np.where(where, (ends[0] + ends[1]) / 2, 1), dtype=np.float32)


def _leave_out(answer: Singles, plan: Plan, rows: slice | npt.NDArray[np.intp]) -> None:
    """Take out what is not looked at in a sample's technology."""
    technology = plan.references.technology[rows]
    for k in np.flatnonzero(~plan.applies.all(axis=1)):
        answer[k] *= plan.applies[k, technology]


def _count_once(answer: Singles, group: npt.NDArray[np.intp]) -> None:
    """Keep, of features that see the same thing, the one that says most."""
    found = answer[group]
    telling = np.abs(found).argmax(axis=0)
    answer[group] = np.where(np.arange(group.size)[:, None] == telling, found, 0)
