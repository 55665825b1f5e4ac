"""Evidence that a cause explains is taken from the others: they are left with the rest."""

import numpy as np
import numpy.typing as npt

from chemcheck.causes.moves import FeaturesOfMove, SharedMoves

Singles = npt.NDArray[np.float32]
Flags = npt.NDArray[np.bool_]
# No evidence against a cause is as much.
_ALL_AGAINST = np.float32(-1e6)


def explain(
    shared: SharedMoves, found: Singles, left: Singles, cause: npt.NDArray[np.integer]
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

    Notes
    -----
    Evidence for the same move is taken out as far as the cause has evidence of its own for
    it, on the scale of one reading at its most. Where a cause moved a reading the other way,
    the reading says nothing against others. What a cause accounts for altogether says nothing
    of others at all. The cause's own evidence has then done its work: what becomes of it means
    nothing.

    Whole rows are worked on, with the cause of each sample as a mask: to pick each cause's
    samples out of rows would take longer than the arithmetic.
    """
    is_cause = cause == np.arange(len(left))[:, None]
    nothing = np.zeros(found.shape[1], dtype=np.float32)
    explained = _explained(shared, found, is_cause)
    taken = np.empty_like(nothing)
    for move, by in zip(shared.moves, explained, strict=True):
        opposite = explained[move.opposite] if move.opposite >= 0 else None
        if by is None and opposite is None:
            continue
        most = nothing if by is None else by
        least = nothing if opposite is None else (opposite > 0) * _ALL_AGAINST
        for k in move.features:
            np.minimum(np.maximum(found[k], least, out=taken), most, out=taken)
            found[k] -= taken
            left[shared.cause_of[k]] -= taken
    for c, features in enumerate(shared.accounted_for):
        if features and is_cause[c].any():
            for k in features:
                np.multiply(found[k], is_cause[c], out=taken)
                found[k] -= taken
                left[shared.cause_of[k]] -= taken


def _explained(shared: SharedMoves, found: Singles, is_cause: Flags) -> list[Singles | None]:
    """Return how much of each move the cause of each sample explains; None where it has no part."""
    by_move: list[Singles | None] = []
    mine = np.empty(found.shape[1], dtype=np.float32)
    for move in shared.moves:
        if not _is_shared(shared, move):
            by_move.append(None)
            continue
        explained = np.zeros(found.shape[1], dtype=np.float32)
        for k in move.explain:
            np.multiply(found[k], is_cause[shared.cause_of[k]], out=mine)
            mine *= np.float32(shared.reach[k])
            np.maximum(explained, mine, out=explained)
        by_move.append(explained)
    return by_move


def _is_shared(shared: SharedMoves, move: FeaturesOfMove) -> bool:
    """Return whether another cause looks at what the explaining features of one look at."""
    opposite = shared.moves[move.opposite].features if move.opposite >= 0 else ()
    mine = {shared.cause_of[k] for k in move.explain}
    seen = {shared.cause_of[k] for k in (*move.features, *opposite)}
    return bool(mine) and len(seen) > 1
