"""What one cause explains is taken from the others, as the plain rule says sample by sample."""

from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from chemcheck.causes.explaining import EXPLAINED, explain
from chemcheck.causes.moves import move_of, shared_moves
from chemcheck.limit_library.causes import signatures

CAUSES = tuple(signatures().values())
FEATURES = tuple(feature for cause in CAUSES for feature in cause.features)
STARTS = np.cumsum([0, *(len(cause.features) for cause in CAUSES)]).tolist()
OF_CAUSE = tuple(slice(*ends) for ends in pairwise(STARTS))
SHARED = shared_moves(CAUSES, FEATURES, OF_CAUSE)
# The greatest weight of each move.
MOST = {
    move_of(feature): max(one.weight for one in FEATURES if move_of(one) == move_of(feature))
    for feature in FEATURES
}
SAMPLES = 4
quarters = st.integers(-8, 8).map(lambda number: np.float32(number / 4))


def _left_by_rule(found: list[float], cause: int) -> tuple[list[float], list[float]]:
    """Take the evidence of others out of one sample, one feature after the other."""
    rest = list(found)
    mine = range(OF_CAUSE[cause].start, OF_CAUSE[cause].stop)
    for k, feature in enumerate(FEATURES):
        if k in mine:
            continue
        same, other_way = (
            max(
                (
                    found[j] * MOST[move_of(FEATURES[j])] / FEATURES[j].weight
                    for j in mine
                    if move_of(FEATURES[j]) == (move_of(feature)[0], up)
                    and not FEATURES[j].steady
                    and FEATURES[j].weight
                ),
                default=0.0,
            )
            for up in (feature.up, not feature.up)
        )
        if found[k] > 0:
            rest[k] -= EXPLAINED * min(found[k], max(same, 0.0))
        elif other_way > 0:
            rest[k] -= EXPLAINED * found[k]
        if feature.of in CAUSES[cause].accounts_for:
            rest[k] -= EXPLAINED * rest[k]
    return rest, [sum(rest[where]) for where in OF_CAUSE]


@settings(max_examples=30, deadline=None)
@given(
    found=arrays(np.float32, (len(FEATURES), SAMPLES), elements=quarters),
    cause=arrays(np.int16, SAMPLES, elements=st.integers(-1, len(CAUSES) - 1)),
)
def test_explaining_follows_the_rule(found: np.ndarray, cause: np.ndarray) -> None:
    left = np.array([found[where].sum(axis=0) for where in OF_CAUSE], dtype=np.float32)
    rest, kept = found.copy(), left.copy()
    explain(SHARED, rest, kept, cause)
    for i in range(SAMPLES):
        if cause[i] < 0:
            np.testing.assert_array_equal(rest[:, i], found[:, i])
            np.testing.assert_array_equal(kept[:, i], left[:, i])
            continue
        of_features, of_causes = _left_by_rule(found[:, i].tolist(), int(cause[i]))
        others = np.arange(len(CAUSES)) != cause[i]
        of_others = others[np.array(SHARED.cause_of)]
        np.testing.assert_allclose(rest[of_others, i], np.array(of_features)[of_others], atol=1e-4)
        np.testing.assert_allclose(kept[others, i], np.array(of_causes)[others], atol=1e-4)
