"""The one test that best separates the leading two causes, and what cannot be told apart."""

import numpy as np

from chemcheck.causes.evidence import evidence
from chemcheck.causes.moves import move_of
from chemcheck.causes.plan import NEEDS, Plan
from chemcheck.causes.quantities import Quantities
from chemcheck.causes.ranking import Ranking, rank
from chemcheck.causes.sentences import unread
from chemcheck.limit_library.cause_records import DERIVED, Feature
from chemcheck.limit_library.cause_tests import CauseTest, cause_tests

# Causes whose weights lie no further apart are alike [log10].
ALIKE = 0.5


def next_test(plan: Plan, row: int) -> str | None:
    """Return the test with the largest expected gain for its effort.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    row : int
        Position of the sample.

    Returns
    -------
    str or None
        None where no cause is raised, or no test is left that would separate the two.

    Notes
    -----
    A reading that one of the two causes names and the other does not is expected to add its
    full weight if the one is true, and to take off its full weight against if the other is:
    half of both together is what it gains between the two [log10]. What both name alike
    gains only where their weights differ. A test gains the sum over what it reads and was
    not read yet; its gain is divided by its effort.
    """
    rows = np.array([row])
    ranking, quantities = _weigh(plan, rows)
    if not ranking.raised[0]:
        return None
    gains = _gains(plan, quantities, ranking)
    best: CauseTest | None = None
    most = 0.0
    for test in cause_tests():
        gain = sum(gains.get(key, 0.0) for key in test.tells) / test.effort
        if gain > most + 1e-9:
            best, most = test, gain
    return None if best is None else best.title


def alike(plan: Plan, row: int) -> tuple[str, ...]:
    """Return the titles of causes that the readings of a sample do not tell apart.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    row : int
        Position of the sample.

    Returns
    -------
    tuple of str
        The first cause and those whose weight is within half a unit of its own and that
        rest on the same moves; empty where it stands alone.
    """
    rows = np.array([row])
    ranking, _ = _weigh(plan, rows)
    if not ranking.raised[0]:
        return ()
    found = evidence(plan, rows)[:, 0]
    first = int(ranking.order[0, 0])

    def moves(c: int) -> set[tuple[str, bool]]:
        where = plan.of_cause[c]
        return {move_of(plan.features[k]) for k in range(where.start, where.stop) if found[k] > 0}

    same = [
        c
        for c in ranking.order[1:, 0].tolist()
        if c >= 0
        and ranking.weight[c, 0] >= ranking.weight[first, 0] - ALIKE
        and moves(c) & moves(first)
    ]
    return tuple(plan.causes[c].title for c in (first, *same)) if same else ()


def _weigh(
    plan: Plan, rows: "np.ndarray[tuple[int], np.dtype[np.intp]]"
) -> tuple[Ranking, Quantities]:
    return rank(plan, evidence(plan, rows), rows), Quantities(plan, rows)


def _gains(plan: Plan, quantities: Quantities, ranking: Ranking) -> dict[str, float]:
    """Return what a reading of each analyte that was not read gains between the first two."""
    first, second = (int(c) for c in ranking.order[:2, 0])
    row = int(np.asarray(quantities.rows)[0])
    signed: dict[str, dict[tuple[str, bool], float]] = {}
    for c, sign in ((first, 1.0), (second, -1.0)):
        if c < 0:
            continue
        for feature in unread(plan, quantities, c, row):
            for key in _reads(feature):
                moves = signed.setdefault(key, {})
                gain = sign * (feature.weight + feature.against) / 2
                moves[move_of(feature)] = moves.get(move_of(feature), 0.0) + gain
    return {key: max(abs(gain) for gain in moves.values()) for key, moves in signed.items()}


def _reads(feature: Feature) -> tuple[str, ...]:
    """Return the analytes of which any one is needed for a feature."""
    if feature.of in NEEDS:
        return NEEDS[feature.of][0]
    if feature.of in DERIVED:
        return ()
    return (feature.of,)
