"""Moves that causes share: what one of them explains says less of the others."""

from collections.abc import Sequence
from dataclasses import dataclass

from chemcheck.limit_library.cause_records import Feature, Signature


@dataclass(frozen=True, slots=True)
class FeaturesOfMove:
    """One quantity that moves one way, in the features of all causes.

    Parameters
    ----------
    features : tuple of int
        Positions of the features that look at it.
    explain : tuple of int
        Those of them by which a cause explains it: all but those that it stays as it is.
    is_shared : bool
        Whether another cause looks at what these explain, either way.
    opposite : int
        Position of the move of the same quantity the other way; -1 where nothing looks at it.
    """

    features: tuple[int, ...]
    explain: tuple[int, ...]
    is_shared: bool
    opposite: int


@dataclass(frozen=True, slots=True)
class SharedMoves:
    """What causes have to do with each other's evidence.

    Parameters
    ----------
    moves : tuple of FeaturesOfMove
        All moves that any feature looks at.
    cause_of : tuple of int
        The cause of each feature.
    reach : tuple of float
        By feature, the greatest weight that its move has in any cause over its own: so many
        times its evidence is what its cause explains of the move. What counts little there,
        because another feature of the cause counts it too, is explained as well.
    accounted_for : tuple of tuple
        Causes, and the features of others that look at what each of these causes accounts for
        altogether; every feature stands in one at most.
    ever_accounted_for : frozenset of int
        All of these features.
    """

    moves: tuple[FeaturesOfMove, ...]
    cause_of: tuple[int, ...]
    reach: tuple[float, ...]
    accounted_for: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]
    ever_accounted_for: frozenset[int]


def move_of(feature: Feature) -> tuple[str, bool]:
    """Return what moves, and which way, as far as causes explain each other's moves.

    What the tap water itself holds is another thing than what the coolant came to hold.
    """
    if feature.of_tap_water and feature.look == "level":
        return f"{feature.of} of the tap water", feature.up
    return feature.once or feature.of, feature.up


def shared_moves(
    causes: Sequence[Signature], features: Sequence[Feature], of_cause: Sequence[slice]
) -> SharedMoves:
    """Find the moves in the features of all causes.

    Parameters
    ----------
    causes : sequence of Signature
        All of them.
    features : sequence of Feature
        Of all causes, one cause after the other.
    of_cause : sequence of slice
        Which features are whose.
    """
    kinds: dict[tuple[str, bool], list[int]] = {}
    for k, feature in enumerate(features):
        kinds.setdefault(move_of(feature), []).append(k)
    cause_of = tuple(c for c, where in enumerate(of_cause) for _ in features[where])
    places = {kind: place for place, kind in enumerate(kinds)}
    moves = []
    for (name, up), same in kinds.items():
        explain = tuple(k for k in same if not features[k].steady)
        either_way = {cause_of[k] for k in (*same, *kinds.get((name, not up), ()))}
        is_shared = bool(explain) and len(either_way) > 1
        opposite = places.get((name, not up), -1)
        moves.append(FeaturesOfMove(tuple(same), explain, is_shared, opposite))
    accounting: dict[tuple[int, ...], list[int]] = {}
    for k, feature in enumerate(features):
        by = tuple(
            c
            for c, cause in enumerate(causes)
            if feature.of in cause.accounts_for and cause_of[k] != c
        )
        if by:
            accounting.setdefault(by, []).append(k)
    accounted_for = tuple((by, tuple(those)) for by, those in accounting.items())
    most = {kind: max(features[k].weight for k in same) for kind, same in kinds.items()}
    reach = tuple(most[move_of(one)] / one.weight if one.weight else 0.0 for one in features)
    ever = frozenset(k for _, those in accounted_for for k in those)
    return SharedMoves(tuple(moves), cause_of, reach, accounted_for, ever)
