"""Causes ranked: each by its own evidence, then by what the first ones leave unexplained."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.causes.explaining import explain
from chemcheck.causes.plan import Plan

Singles = npt.NDArray[np.float32]
IMPOSSIBLE = np.float32(-np.inf)
# So many causes are told of a sample, and so many may be raised.
TOLD, MOST_RAISED = 5, 3
# With less evidence than this no cause is told of [log10].
LEAST_TOLD = 0.1
# Where fewer of some samples are gone on with, they are picked out of the rest first.
_MANY = 0.5
# Behind the place of any cause.
_LAST = np.int16(1 << 14)
_BEYOND_ANY = np.float32(1e30)
# Weights no further apart are equal, and reach a bound that they are so near to [log10]: the
# order in which evidence is added up must decide nothing.
_ROUNDING = np.float32(1e-4)
# More than any cause weighs.
_NO_STAND_IN = np.float32(1000)


@dataclass(frozen=True, slots=True)
class Ranking:
    """Causes of a stretch of samples.

    Parameters
    ----------
    weight : ndarray of float32, shape (n_causes, n)
        log10 of the likelihood ratio of each cause by all its features; -inf where it cannot
        happen. One near 0 of which little was read is not excluded.
    order : ndarray of int16, shape (TOLD, n)
        Positions of the causes told, the first first; -1 where there is none.
    raised : ndarray of int8, shape (n,)
        How many of the first are raised: each by what those before it leave unexplained.
    """

    weight: Singles
    order: npt.NDArray[np.int16]
    raised: npt.NDArray[np.int8]


def rank(plan: Plan, found: Singles, rows: slice | npt.NDArray[np.intp]) -> Ranking:
    """Rank the causes of a stretch of samples.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    found : ndarray of float32, shape (n_features, n)
        From `evidence`; used up.
    rows : slice or ndarray of int
        The stretch.

    Returns
    -------
    Ranking
        The cause with the most evidence comes first. What speaks for it explains the same
        moves of the same readings, in proportion: of the others that evidence is taken out,
        and what is left of the best, if it is raised by that alone, comes second; and so a
        third time. After them come those that could stand in for one of these with the least
        loss: they look alike. A cause that only lesser features speak for is never raised, but
        comes among these.
    """
    weight = weights(plan, found, rows)
    possible = _of_those(weight, thought_of(plan, found))
    order, raised, loss = raise_causes(plan, found, possible)
    np.maximum(loss, weight - np.maximum(possible.max(axis=0), 0), out=loss)
    # A cause that nothing speaks for looks like none.
    loss = _of_those(loss, weight > LEAST_TOLD)
    _fill_up(order, (order >= 0).sum(axis=0), loss)
    return Ranking(weight, order, raised)


def raise_causes(
    plan: Plan, found: Singles, weight: Singles
) -> tuple[npt.NDArray[np.int16], npt.NDArray[np.int8], Singles]:
    """Raise causes one after the other, each by what those before it leave unexplained.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    found : ndarray of float32, shape (n_features, n)
        From `evidence`; used up.
    weight : ndarray of float32, shape (n_causes, n)
        From `weights`; less than any of causes that nobody thinks of.

    Returns
    -------
    order : ndarray of int16, shape (TOLD, n)
        The causes that something speaks for which those before do not explain, the first
        first; -1 elsewhere.
    raised : ndarray of int8, shape (n,)
        How many of the first are raised.
    loss : ndarray of float32, shape (n_causes, n)
        What another cause would take off the evidence if it stood in for one of them, at the
        least, as a negative number; without any, how far it is behind by all its evidence.
    """
    n = weight.shape[1]
    order = np.full((TOLD, n), -1, dtype=np.int16)
    raised = np.zeros(n, dtype=np.int8)
    some, left = found, weight
    at = np.arange(n)
    loss = weight - _NO_STAND_IN
    for place in range(MOST_RAISED):
        best, value = _best(left)
        good = value >= plan.settings.told_from - _ROUNDING
        which = at[good]
        order[place, which] = best[good]
        sure = at[(value >= plan.settings.raised_from - _ROUNDING) & (raised[at] == place)]
        raised[sure] = place + 1
        behind = left - np.where(good, value, _NO_STAND_IN)
        if at.size == n:
            np.maximum(loss, behind, out=loss)
        else:
            loss[:, at] = np.maximum(loss[:, at], behind)
        if not which.size or place + 1 == MOST_RAISED:
            break
        if which.size < _MANY * at.size:
            at, best = which, best[good]
            some, left = some.compress(good, axis=1), left.compress(good, axis=1)
        else:
            best = np.where(good, best, -1)
            left = weight.copy() if left is weight else left
        explain(plan.moves, some, left, best, is_last=place + 2 == MOST_RAISED)
        told = np.flatnonzero(best >= 0)
        left[best[told], told] = IMPOSSIBLE
    return order, raised, loss


def _of_those(weight: Singles, thought: npt.NDArray[np.bool_]) -> Singles:
    """Return the weights of causes that are thought of, and less than any of the others."""
    # Much quicker than to choose between two numbers one by one.
    most = np.multiply(thought, 2 * _BEYOND_ANY, dtype=np.float32)
    most -= _BEYOND_ANY
    return np.asarray(np.minimum(weight, most, out=most))


def _best(left: Singles) -> tuple[npt.NDArray[np.int16], Singles]:
    """Return the first cause with the greatest weight, and that weight."""
    value = left.max(axis=0)
    places = np.arange(len(left), dtype=np.int16)[:, None]
    # Much quicker than argmax, which goes down the columns one by one.
    behind = np.multiply(left < value - _ROUNDING, _LAST, dtype=np.int16)
    behind += places
    return behind.min(axis=0), value


def weights(plan: Plan, found: Singles, rows: slice | npt.NDArray[np.intp]) -> Singles:
    """Add up the evidence of each cause that can happen in a sample."""
    answer = np.zeros((len(plan.causes), found.shape[1]), dtype=np.float32)
    named = [c for c, where in enumerate(plan.of_cause) if where.stop > where.start]
    for c in named:
        np.add.reduce(found[plan.of_cause[c]], axis=0, out=answer[c])
    technology = plan.references.technology[rows]
    glycol = plan.references.glycol[rows]
    for c in range(len(plan.causes)):
        if not plan.cause_applies[c].all():
            answer[c, ~plan.cause_applies[c, technology]] = IMPOSSIBLE
        if not plan.glycol_applies[c].all():
            answer[c, ~plan.glycol_applies[c, glycol]] = IMPOSSIBLE
    use = plan.references.use[rows]
    if not use.all():
        answer[:, ~use] = IMPOSSIBLE
    return answer


def thought_of(plan: Plan, found: Singles) -> npt.NDArray[np.bool_]:
    """Return which causes a key feature speaks for."""
    answer = np.zeros((len(plan.causes), found.shape[1]), dtype=np.bool_)
    for c, keys in enumerate(plan.keys):
        for k in keys:
            answer[c] |= found[k] > 0
    return answer


def _fill_up(order: npt.NDArray[np.int16], told: npt.NDArray[np.int_], loss: Singles) -> None:
    """Put causes that are not raised behind, by what they lose, which is used up."""
    for place in range(MOST_RAISED):
        at = np.flatnonzero(told > place)
        loss[order[place, at], at] = IMPOSSIBLE
    for place in range(TOLD):
        at = np.flatnonzero(told <= place)
        best, value = _best(loss.take(at, axis=1) if at.size < loss.shape[1] else loss)
        good = value > -_BEYOND_ANY
        at, best = at[good], best[good]
        order[place, at] = best
        loss[best, at] = IMPOSSIBLE
