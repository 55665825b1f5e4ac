"""Causes ranked: each by its own evidence, then by what the first ones leave unexplained."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from chemcheck.causes.plan import Plan
from chemcheck.limit_library.cause_records import Feature

Singles = npt.NDArray[np.float32]
IMPOSSIBLE = np.float32(-np.inf)
# So many causes are told of a sample, and so many may be raised.
TOLD, MOST_RAISED = 5, 3
# With less evidence than this no cause is told of [log10].
LEAST_TOLD = 0.1


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
        From `evidence`.
    rows : slice or ndarray of int
        The stretch.

    Returns
    -------
    Ranking
        The cause with the most evidence comes first. What speaks for it explains the same
        moves of the same readings, in proportion: of the others that evidence is taken out,
        and what is left of the best, if it is raised by that alone, comes second; and so a
        third time. After them the others follow by all their evidence: they look alike.
    """
    weight = weights(plan, found, rows)
    order, raised = raise_causes(plan, found, weight)
    alike = np.where(thought_of(plan, found), weight, IMPOSSIBLE)
    _fill_up(order, (order >= 0).sum(axis=0), alike)
    return Ranking(weight, order, raised)


def raise_causes(
    plan: Plan, found: Singles, weight: Singles
) -> tuple[npt.NDArray[np.int16], npt.NDArray[np.int8]]:
    """Raise causes one after the other, each by what those before it leave unexplained.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    found : ndarray of float32, shape (n_features, n)
        From `evidence`.
    weight : ndarray of float32, shape (n_causes, n)
        From `weights`.

    Returns
    -------
    order : ndarray of int16, shape (TOLD, n)
        The causes that something speaks for which those before do not explain, the first
        first; -1 elsewhere.
    raised : ndarray of int8, shape (n,)
        How many of the first are raised.
    """
    n = weight.shape[1]
    order = np.full((TOLD, n), -1, dtype=np.int16)
    raised = np.zeros(n, dtype=np.int8)
    left = np.where(thought_of(plan, found), weight, IMPOSSIBLE)
    at = np.arange(n)
    some = found
    for place in range(MOST_RAISED):
        if not at.size:
            break
        best = left.argmax(axis=0)
        value = left[best, np.arange(at.size)]
        good = np.flatnonzero(value >= plan.settings.told_from)
        # Samples of one cause stand together, so that each cause is explained at one go.
        good = good[np.argsort(best[good], kind="stable")]
        at, best, value = at[good], best[good], value[good]
        order[place, at] = best
        sure = at[(value >= plan.settings.raised_from) & (raised[at] == place)]
        raised[sure] = place + 1
        if place + 1 < MOST_RAISED:
            some, left = some[:, good], left[:, good]
            explain(plan, some, left, best)
            left[best, np.arange(at.size)] = IMPOSSIBLE
    return order, raised


def weights(plan: Plan, found: Singles, rows: slice | npt.NDArray[np.intp]) -> Singles:
    """Add up the evidence of each cause that can happen in a sample."""
    answer = np.zeros((len(plan.causes), found.shape[1]), dtype=np.float32)
    named = [c for c, where in enumerate(plan.of_cause) if where.stop > where.start]
    if named:
        starts = [plan.of_cause[c].start for c in named]
        answer[named] = np.add.reduceat(found, starts, axis=0)
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


def move_of(feature: Feature) -> tuple[str, bool]:
    """Return what moves, and which way, as far as causes explain each other's moves."""
    return feature.once or feature.of, feature.up


@cache
def _features_by_move(features: tuple[Feature, ...]) -> dict[tuple[str, bool], list[int]]:
    by_move: dict[tuple[str, bool], list[int]] = {}
    for k, feature in enumerate(features):
        by_move.setdefault(move_of(feature), []).append(k)
    return by_move


def explain(plan: Plan, found: Singles, left: Singles, cause: npt.NDArray[np.intp]) -> None:
    """Take out, in place, the evidence of others that causes explain.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    found : ndarray of float32, shape (n_features, n)
        The evidence of some samples.
    left : ndarray of float32, shape (n_causes, n)
        What of it is left of each cause.
    cause : ndarray of int, shape (n,)
        The cause of each sample, in ascending order.

    Notes
    -----
    Evidence for the same move is taken out as far as the cause has evidence of its own for
    it. Where a cause moved a reading the other way, the reading says nothing against others.
    What a cause accounts for altogether says nothing of others at all.
    """
    by_move = _features_by_move(plan.features)
    of_cause = np.repeat(
        np.arange(len(plan.of_cause)), [where.stop - where.start for where in plan.of_cause]
    )
    for c in np.unique(cause).tolist():
        here = slice(*np.searchsorted(cause, (c, c + 1)).tolist())
        where = plan.of_cause[c]
        for (name, up), mine in _moves(plan, where).items():
            explained = np.maximum(found[mine, here].max(axis=0), 0)
            for k in _others(by_move.get((name, up), ()), where):
                taken = np.minimum(np.maximum(found[k, here], 0), explained)
                found[k, here] -= taken
                left[of_cause[k], here] -= taken
            for k in _others(by_move.get((name, not up), ()), where):
                taken = np.where(explained > 0, np.minimum(found[k, here], 0), 0)
                found[k, here] -= taken
                left[of_cause[k], here] -= taken
        for k in _accounted_for(plan, c):
            left[of_cause[k], here] -= found[k, here]
            found[k, here] = 0


def _accounted_for(plan: Plan, cause: int) -> list[int]:
    """Return the features of others that look at what a cause accounts for altogether."""
    names, where = plan.causes[cause].accounts_for, plan.of_cause[cause]
    if not names:
        return []
    return _others([k for k, one in enumerate(plan.features) if one.of in names], where)


def _others(features: Sequence[int], where: slice) -> list[int]:
    """Return the features among some that are not of a cause."""
    return [k for k in features if not where.start <= k < where.stop]


def _moves(plan: Plan, where: slice) -> dict[tuple[str, bool], list[int]]:
    """Return the moves of a cause with its features of each."""
    moves: dict[tuple[str, bool], list[int]] = {}
    for k in range(where.start, where.stop):
        if not plan.features[k].steady:
            moves.setdefault(move_of(plan.features[k]), []).append(k)
    return moves


def _fill_up(order: npt.NDArray[np.int16], told: npt.NDArray[np.int_], weight: Singles) -> None:
    """Put causes that are not raised behind, by all their evidence, while any speaks for them."""
    left = weight.copy()
    for place in range(MOST_RAISED):
        at = np.flatnonzero(told > place)
        left[order[place, at], at] = IMPOSSIBLE
    for place in range(TOLD):
        at = np.flatnonzero(told <= place)
        best = left[:, at].argmax(axis=0)
        good = left[best, at] > LEAST_TOLD
        at, best = at[good], best[good]
        order[place, at] = best
        left[best, at] = IMPOSSIBLE
