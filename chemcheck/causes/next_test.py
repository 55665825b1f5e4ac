"""The one test that best separates the leading two causes, and what cannot be told apart."""

from chemcheck.causes.moves import move_of
from chemcheck.causes.plan import NEEDS
from chemcheck.causes.sentences import unread
from chemcheck.causes.weighed import WeighedSamples
from chemcheck.limit_library.cause_records import DERIVED, Feature
from chemcheck.limit_library.cause_tests import CauseTest, cause_tests

# Causes whose weights lie no further apart are alike [log10].
ALIKE = 0.5


def next_test(weighed: WeighedSamples, i: int) -> str | None:
    """Return the test with the largest expected gain for its effort.

    Parameters
    ----------
    weighed : WeighedSamples
        Some samples.
    i : int
        Which of them.

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
    if not weighed.ranking.raised[i]:
        return None
    gains = _gains(weighed, i)
    best: CauseTest | None = None
    most = 0.0
    for test in cause_tests():
        gain = sum(gains.get(key, 0.0) for key in test.tells) / test.effort
        if gain > most + 1e-9:
            best, most = test, gain
    return None if best is None else best.title


def alike(weighed: WeighedSamples, i: int) -> tuple[int, ...]:
    """Return the causes that the readings of a sample do not tell apart.

    Parameters
    ----------
    weighed : WeighedSamples
        Some samples.
    i : int
        Which of them.

    Returns
    -------
    tuple of int
        Positions of the first cause and those whose weight is within half a unit of its own
        and that rest on the same moves; empty where it stands alone.
    """
    plan, ranking = weighed.plan, weighed.ranking
    if not ranking.raised[i]:
        return ()
    found = weighed.found[:, i]
    first, *others = ranking.order[:, i].tolist()

    def moves(c: int) -> set[tuple[str, bool]]:
        where = plan.of_cause[c]
        return {move_of(plan.features[k]) for k in range(where.start, where.stop) if found[k] > 0}

    same = [
        c
        for c in others
        if c >= 0
        and ranking.weight[c, i] >= ranking.weight[first, i] - ALIKE
        and moves(c) & moves(first)
    ]
    return (first, *same) if same else ()


def _gains(weighed: WeighedSamples, i: int) -> dict[str, float]:
    """Return what a reading of each analyte that was not read gains between the first two."""
    first, second = (int(c) for c in weighed.ranking.order[:2, i])
    row = int(weighed.rows[i])
    signed: dict[str, dict[tuple[str, bool], float]] = {}
    for c, sign in ((first, 1.0), (second, -1.0)):
        if c < 0:
            continue
        for feature in unread(weighed.plan, weighed.quantities, c, row, i):
            for key in _reads(feature):
                moves = signed.setdefault(key, {})
                gain = sign * (feature.weight + feature.against) / 2
                moves[move_of(feature)] = moves.get(move_of(feature), 0.0) + gain
    return {key: max(abs(gain) for gain in moves.values()) for key, moves in signed.items()}


def _reads(feature: Feature) -> tuple[str, ...]:
    """Return the analytes of which any one is needed for a feature."""
    if feature.of in NEEDS:
        return NEEDS[feature.of][0]
    if feature.of in DERIVED or feature.of_tap_water:
        return ()
    return (feature.of,)
