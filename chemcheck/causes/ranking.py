"""Causes ranked: each by its own evidence, then by what the first ones leave unexplained."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from chemcheck.causes.plan import Plan
from chemcheck.limit_library.cause_records import Feature

Singles = npt.NDArray[np.float32]
NOT_THOUGHT_OF = np.float32(-np.inf)
# So many causes are told of a sample, and so many may be raised.
TOLD, MOST_RAISED = 5, 3


@dataclass(frozen=True, slots=True)
class Ranking:
    """Causes of a stretch of samples.

    Parameters
    ----------
    weight : ndarray of float32, shape (n_causes, n)
        log10 of the likelihood ratio of each cause by all its features; -inf where none of
        its key features speaks for it, or where it cannot happen.
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
        moves of the same readings: of the others that evidence is taken out, and what is
        left of the best, if it is raised by that alone, comes second; and so a third time.
        After them the others follow by all their evidence: they look alike.
    """
    weight = weights(plan, found, rows)
    n = weight.shape[1]
    order = np.full((TOLD, n), -1, dtype=np.int16)
    raised = np.zeros(n, dtype=np.int8)
    if not n:
        return Ranking(weight, order, raised)
    left = weight.copy()
    each = np.arange(n)
    still = np.ones(n, dtype=np.bool_)
    for place in range(MOST_RAISED):
        best = left.argmax(axis=0)
        still &= left[best, each] >= plan.settings.raised_from
        at = np.flatnonzero(still)
        if not at.size:
            break
        order[place, at], raised[at] = best[at], place + 1
        left[:, ~still] = NOT_THOUGHT_OF
        if place + 1 < MOST_RAISED:
            found = _unexplained(plan, found, best, at)
            left[:, at] = np.where(
                np.isfinite(weight[:, at]), weights(plan, found[:, at], _of(rows, at)), -np.inf
            )
            for before in range(place + 1):
                left[order[before, at], at] = NOT_THOUGHT_OF
    _fill_up(order, raised, weight)
    return Ranking(weight, order, raised)


def weights(plan: Plan, found: Singles, rows: slice | npt.NDArray[np.intp]) -> Singles:
    """Add up the evidence of each cause, where a key feature speaks for it."""
    n = found.shape[1]
    answer = np.empty((len(plan.causes), n), dtype=np.float32)
    technology = plan.references.technology[rows]
    glycol = plan.references.glycol[rows]
    use = plan.references.use[rows]
    for c, where in enumerate(plan.of_cause):
        keys = [k for k in range(where.start, where.stop) if plan.features[k].key]
        keys = [k for k in keys if plan.readable[k]]
        if not keys:
            answer[c] = NOT_THOUGHT_OF
            continue
        thought_of = use & (found[keys].max(axis=0) > 0)
        if not plan.cause_applies[c].all():
            thought_of &= plan.cause_applies[c, technology]
        if not plan.glycol_applies[c].all():
            thought_of &= plan.glycol_applies[c, glycol]
        answer[c] = np.where(thought_of, found[where].sum(axis=0), NOT_THOUGHT_OF)
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


def _unexplained(
    plan: Plan, found: Singles, cause: npt.NDArray[np.intp], at: npt.NDArray[np.intp]
) -> Singles:
    """Take out the evidence for others that a cause's own evidence explains."""
    answer = found.copy()
    by_move = _features_by_move(plan.features)
    for c in np.unique(cause[at]):
        rows = at[cause[at] == c]
        where = plan.of_cause[c]
        for move, mine in _moves(plan, where):
            others = [
                k for k in by_move[move] if plan.readable[k] and not where.start <= k < where.stop
            ]
            if not others:
                continue
            explained = found[np.ix_(mine, rows)].max(axis=0) > 0
            cells = np.ix_(others, rows[explained])
            answer[cells] = np.minimum(answer[cells], 0)
    return answer


def _moves(plan: Plan, where: slice) -> Iterator[tuple[tuple[str, bool], list[int]]]:
    """Yield the moves of a cause with its readable features of each."""
    moves: dict[tuple[str, bool], list[int]] = {}
    for k in range(where.start, where.stop):
        if plan.readable[k]:
            moves.setdefault(move_of(plan.features[k]), []).append(k)
    yield from moves.items()


def _fill_up(order: npt.NDArray[np.int16], raised: npt.NDArray[np.int8], weight: Singles) -> None:
    """Put causes that are not raised behind, by all their evidence, while any speaks for them."""
    left = weight.copy()
    for place in range(MOST_RAISED):
        at = np.flatnonzero(raised > place)
        left[order[place, at], at] = NOT_THOUGHT_OF
    for place in range(TOLD):
        at = np.flatnonzero(raised <= place)
        best = left[:, at].argmax(axis=0)
        good = left[best, at] > 0
        at, best = at[good], best[good]
        order[place, at] = best
        left[best, at] = NOT_THOUGHT_OF


def _of(rows: slice | npt.NDArray[np.intp], at: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
    """Return the rows of some samples of a stretch."""
    if isinstance(rows, slice):
        return at + (rows.start or 0)
    return rows[at]
