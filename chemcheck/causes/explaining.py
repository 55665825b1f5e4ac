"""Evidence that a cause explains is taken from the others: they are left with the rest."""

import numpy as np
import numpy.typing as npt

from chemcheck.causes.moves import SharedMoves

Singles = npt.NDArray[np.float32]
# Two causes may move one reading: so much of what one explains is taken from the others.
EXPLAINED = np.float32(0.95)
# No evidence against a cause is as much.
_ALL_AGAINST = np.float32(-1e6)


def explain(
    shared: SharedMoves,
    found: Singles,
    left: Singles,
    cause: npt.NDArray[np.integer],
    *,
    is_last: bool = False,
) -> None:
    """Take out, in place, the evidence of others that causes explain.

    Parameters
    ----------
    shared : SharedMoves
        Of all samples.
    found : ndarray of float32, shape (n_features, n)
        The evidence of some samples.
    left : ndarray of float32, shape (n_causes, n)
        What of it is left of each cause.
    cause : ndarray of int, shape (n,)
        The cause of each sample; -1 where nothing is explained.
    is_last : bool, optional
        Whether no other cause explains anything after these: then what is left of single
        features is not worked out.

    Notes
    -----
    Evidence for the same move is taken out as far as the cause has evidence of its own for
    it, on the scale of the feature that weighs the move most. Where a cause moved a reading
    the other way, the reading says nothing against others. What a cause accounts for
    altogether says nothing of others. Of all that `EXPLAINED` is taken out: two causes that
    move one reading come before one that nothing speaks for. The cause's own evidence has
    then done its work: what becomes of it means nothing.

    Whole rows are worked on: to pick each cause's samples out of the rows of others would take
    longer than the arithmetic.
    """
    of_cause = _samples_of(cause)
    explained = _explained(shared, found, of_cause)
    nothing = np.zeros(found.shape[1], dtype=np.float32)
    taken = np.empty_like(nothing)
    for move, by in zip(shared.moves, explained, strict=True):
        opposite = explained[move.opposite] if move.opposite >= 0 else None
        if by is None and opposite is None:
            continue
        most = nothing if by is None else by
        least = nothing if opposite is None else (opposite > 0) * _ALL_AGAINST
        for k in move.features:
            np.minimum(np.maximum(found[k], least, out=taken), most, out=taken)
            taken *= EXPLAINED
            left[shared.cause_of[k]] -= taken
            # What a cause accounts for is taken out below, so that this much is needed then.
            if not is_last or k in shared.ever_accounted_for:
                found[k] -= taken
    for causes, features in shared.accounted_for:
        if of_cause.keys().isdisjoint(causes):
            continue
        does = np.zeros(len(left) + 1, dtype=np.float32)  # the last stands for no cause
        does[list(causes)] = EXPLAINED
        accounted = does[cause]
        for k in features:
            np.multiply(found[k], accounted, out=taken)
            left[shared.cause_of[k]] -= taken
            if not is_last:
                found[k] -= taken


def _samples_of(cause: npt.NDArray[np.integer]) -> dict[int, npt.NDArray[np.intp]]:
    """Return the samples of each cause."""
    some, start = np.unique(np.sort(cause), return_index=True)
    # Of small integers numpy sorts stably in one pass.
    order = np.argsort(cause.astype(np.int16), kind="stable")
    samples = np.split(order, start[1:])
    return {c: at for c, at in zip(some.tolist(), samples, strict=True) if c >= 0}


def _explained(
    shared: SharedMoves, found: Singles, of_cause: dict[int, npt.NDArray[np.intp]]
) -> list[Singles | None]:
    """Return how much of each move the cause of each sample explains; None where it has no part."""
    by_move: list[Singles | None] = []
    for move in shared.moves:
        if not move.is_shared:
            by_move.append(None)
            continue
        explained = np.zeros(found.shape[1], dtype=np.float32)
        for k in move.explain:
            at = of_cause.get(shared.cause_of[k])
            if at is not None:
                mine = found[k].take(at)
                mine *= np.float32(shared.reach[k])
                explained[at] = np.maximum(explained.take(at), mine, out=mine)
        by_move.append(explained)
    return by_move
