"""What each feature says for or against its cause, as log10 of a likelihood ratio.

A reading is normal about what a sound unit would show, and about what the cause makes of it.
With the cause at its least size w the ratio of the two is exp(w (2 d - w) / (2 s²)) for a move
d with standard deviation s [1]_: a straight line in d, the steeper the sharper the reading,
that turns at half the least size. It is bounded: readings move for reasons of their own, so
that no single one decides. What is held against both fresh fill and the sample before counts
by the one that speaks more for the cause: what came slowly is seen against the first, what
came suddenly against the second. Where neither speaks for it, it counts by the one that speaks
more against it.

A quantity that has two ends counts by its least telling one: it speaks for a cause only as far
as both ends do, and against it only as far as both ends do, so that a strip or a non-detect
that reaches across says nothing. Whatever a feature does not name has no part in it.

References
----------
.. [1] The likelihood ratio of two normal distributions of one variance, any textbook of
   statistics.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from chemcheck.causes.derived import derived_move
from chemcheck.causes.plan import UNKNOWN, Plan, QuantityFeatures
from chemcheck.causes.quantities import Move, Quantities
from chemcheck.limit_library.cause_records import DERIVED, Feature

Singles = npt.NDArray[np.float32]
# The rise below the line of a ratio must be this many standard deviations to be a rise.
_SURELY = 2
_LN10 = np.float32(np.log(10))


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
    # Every feature looks at one quantity, so that every row is written.
    answer = np.empty((len(plan.features), quantities.size), dtype=np.float32)
    for each in plan.quantities:
        weigh = _of_ratio if each.first.look == "ratio" else _of_move
        first, *others = quantities.held(each.first)
        said = [answer[k] for k in each.features]
        weigh(each, quantities, first, said)
        for other in others:
            more = np.empty((len(said), quantities.size), dtype=np.float32)
            weigh(each, quantities, other, list(more))
            for one, also in zip(said, more, strict=True):
                either = np.maximum(one, also)
                both = np.where(either > 0, either, np.minimum(one, also))
                one[quantities.since] = both[quantities.since]
    _leave_out(answer, plan, rows)
    for group in plan.once:
        _count_once(answer, group)
    return answer


def _of_move(
    lines: QuantityFeatures, quantities: Quantities, held: str, out: Sequence[Singles]
) -> None:
    """Weigh moves, and levels, by straight lines that end."""
    one = lines.first
    derived = one.of in DERIVED
    move = derived_move(quantities, one.of, held) if derived else quantities.of(one, held)
    low, high, variance = move if one.up else Move(-move.high, -move.low, move.variance)
    steep, more = np.empty((2, quantities.size), dtype=np.float32)
    for k, said in enumerate(out):
        turns, against = lines.turns[k], lines.against[k]
        np.divide(lines.slope[k], np.add(variance, lines.soft[k], out=steep), out=steep)
        np.multiply(np.subtract(low, turns, out=said), steep, out=said)
        said.clip(0, lines.weight[k], out=said)
        if against:
            np.multiply(np.subtract(high, turns, out=more), steep, out=more)
            said += more.clip(-against, 0, out=more)


def _of_ratio(
    lines: QuantityFeatures, quantities: Quantities, held: str, out: Sequence[Singles]
) -> None:
    """Weigh the quotient of two rises; it says nothing unless the lower one surely rose.

    A cause puts it within a band, as sharp as it was read; else it may be anything: within
    the band it speaks for the cause as far as the reading is sharper than a factor of ten.
    """
    one = lines.first
    assert one.to is not None  # every ratio has it
    before = "reference" if one.of_tap_water else held
    top, below = (quantities.change(key, "rise", before) for key in (one.of, one.to))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        low, high, vague = (
            tap_water_ratio(one, quantities) if one.band is None else (*one.band, np.float32(0))
        )
        share = (top.low + top.high) / (below.low + below.high)
        size = (below.low + below.high) / 2
        widths = np.square((below.high - below.low) / 3.5) * np.square(share) + np.square(
            (top.high - top.low) / 3.5
        )
        variance = top.variance + np.square(share) * below.variance + widths
        spread = np.sqrt(variance / np.square(size) + vague)
        beyond = np.maximum(np.maximum(low - share, share - high), 0) / spread
        sharp = np.log10((low + high) / 5 / spread)
        off = np.square(beyond) / (2 * _LN10)
        known = (below.low > _SURELY * np.sqrt(below.variance)) & (below.high < UNKNOWN)
        known &= (top.high < UNKNOWN) & (top.low > -UNKNOWN) & np.isfinite(vague)
    for said, weight, against in zip(out, lines.weight, lines.against, strict=True):
        ratio = np.clip(np.clip(sharp, 0, weight) - off, -against, weight)
        said[:] = np.where(known, ratio, 0)


def tap_water_ratio(feature: Feature, quantities: Quantities) -> Move:
    """Return the quotient of two analytes in the tap water.

    Parameters
    ----------
    feature : Feature
        A ratio that is held against it.
    quantities : Quantities
        Of the stretch.

    Returns
    -------
    Move
        By its own readings; the variance is infinite where they are not known, or do not show
        both for certain.
    """
    assert feature.to is not None  # every ratio has it
    top, below = (quantities.tap_water(key) for key in (feature.of, feature.to))
    known = (top.low > 0) & (below.low > 0) & (top.high < UNKNOWN) & (below.high < UNKNOWN)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        low, high = top.low / below.high, top.high / below.low
        relative = top.variance / np.square(top.high) + below.variance / np.square(below.low)
        variance = np.where(known, np.square(high) * relative, np.float32(np.inf))
    return Move(low, high, variance)


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
