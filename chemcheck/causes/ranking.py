"""Causes ranked: each by its own evidence, then by what the first ones leave unexplained."""

from collections.abc import Iterator, Sequence
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
    likely = np.where(thought_of(plan, found), weight, IMPOSSIBLE)
    left = likely.copy()
    each = np.arange(n)
    told = np.zeros(n, dtype=np.int8)
    still = np.ones(n, dtype=np.bool_)
    for place in range(MOST_RAISED):
        best = left.argmax(axis=0)
        still &= left[best, each] >= plan.settings.told_from
        at = np.flatnonzero(still)
        if not at.size:
            break
        order[place, at], told[at] = best[at], place + 1
        up = at[(raised[at] == place) & (left[best[at], at] >= plan.settings.raised_from)]
        raised[up] = place + 1
        left[:, ~still] = IMPOSSIBLE
        if place + 1 < MOST_RAISED:
            found = _unexplained(plan, found, best, at)
            some = found[:, at]
            left[:, at] = np.where(
                thought_of(plan, some), weights(plan, some, _of(rows, at)), IMPOSSIBLE
            )
            for before in range(place + 1):
                left[order[before, at], at] = IMPOSSIBLE
    _fill_up(order, told, weight)
    return Ranking(weight, order, raised)


def weights(plan: Plan, found: Singles, rows: slice | npt.NDArray[np.intp]) -> Singles:
    """Add up the evidence of each cause that can happen in a sample."""
    n = found.shape[1]
    answer = np.empty((len(plan.causes), n), dtype=np.float32)
    technology = plan.references.technology[rows]
    glycol = plan.references.glycol[rows]
    for c, where in enumerate(plan.of_cause):
        found[where].sum(axis=0, out=answer[c])
        if not plan.cause_applies[c].all():
            answer[c, ~plan.cause_applies[c, technology]] = IMPOSSIBLE
        if not plan.glycol_applies[c].all():
            answer[c, ~plan.glycol_applies[c, glycol]] = IMPOSSIBLE
    answer[:, ~plan.references.use[rows]] = IMPOSSIBLE
    return answer


def thought_of(plan: Plan, found: Singles) -> npt.NDArray[np.bool_]:
    """Return which causes a key feature speaks for."""
    answer = np.zeros((len(plan.causes), found.shape[1]), dtype=np.bool_)
    for c, keys in enumerate(plan.keys):
        if keys.size:
            answer[c] = found[keys].max(axis=0) > 0
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
            explained = found[np.ix_(mine, rows)].max(axis=0)
            at_work = explained > 0
            same = _others(plan, by_move.get(move, ()), where)
            cells = np.ix_(same, rows[at_work])
            left = answer[cells] - explained[at_work]
            answer[cells] = np.where(answer[cells] > 0, np.maximum(left, 0), answer[cells])
            opposite = _others(plan, by_move.get((move[0], not move[1]), ()), where)
            cells = np.ix_(opposite, rows[at_work])
            answer[cells] = np.maximum(answer[cells], 0)
    return answer


def _others(plan: Plan, features: Sequence[int], where: slice) -> list[int]:
    """Return the readable features among some that are not of a cause."""
    return [k for k in features if plan.readable[k] and not where.start <= k < where.stop]


def _moves(plan: Plan, where: slice) -> Iterator[tuple[tuple[str, bool], list[int]]]:
    """Yield the moves of a cause with its readable features of each."""
    moves: dict[tuple[str, bool], list[int]] = {}
    for k in range(where.start, where.stop):
        if plan.readable[k] and not plan.features[k].steady:
            moves.setdefault(move_of(plan.features[k]), []).append(k)
    yield from moves.items()


def _fill_up(order: npt.NDArray[np.int16], told: npt.NDArray[np.int8], weight: Singles) -> None:
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


def _of(rows: slice | npt.NDArray[np.intp], at: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
    """Return the rows of some samples of a stretch."""
    if isinstance(rows, slice):
        return at + (rows.start or 0)
    return rows[at]
