"""The ceiling is exact: its probabilities come true, and no finer grid changes them."""

import numpy as np
import pytest

from tests.causes.simulated_faults import draw_cases
from tests.causes.simulated_faults.likelihood import posterior, ranks

# Few enough that every two of them are tried in a moment; of every kind of move there is.
SOME = [
    "dilution",
    "mixed_technologies",
    "evaporation",
    "combustion_gas_leak",
    "under_treated_nitrite",
    "stray_current",
    "sea_water",
    "acid_cleaner",
    "lubricating_oil",
]


def test_a_finer_grid_and_more_pairs_change_no_probability():
    cases = draw_cases(15, seed=31, causes=SOME)
    usual = posterior(cases)
    finer = posterior(cases, fine=36, negligible=30)
    np.testing.assert_allclose(usual.holds, finer.holds, atol=0.005)
    np.testing.assert_allclose(usual.sound, finer.sound, atol=0.005)


@pytest.mark.parametrize(("panel", "n"), [("laboratory", 150), ("field_tests", 200)])
def test_probabilities_come_true(panel: str, n: int):
    # Of causes given a probability p a share p is at work: then the sums agree, to within the
    # scatter that so many independent causes have.
    cases = draw_cases(n, seed=32, panel=panel, causes=SOME)
    found = posterior(cases, fine=12, coarse=6)
    true = np.zeros(found.holds.shape)
    for place in range(2):
        rows = np.flatnonzero(cases.causes[:, place] >= 0)
        true[rows, cases.causes[rows, place]] = 1
    for low, high in ((0, 0.2), (0.2, 0.8), (0.8, 1.01)):
        some = (found.holds >= low) & (found.holds < high)
        expected = found.holds[some].sum()
        scatter = np.sqrt((found.holds * (1 - found.holds))[some].sum())
        assert abs(true[some].sum() - expected) < 3 * scatter + 1
    sound = cases.causes[:, 0] < 0
    scatter = np.sqrt((found.sound * (1 - found.sound)).sum())
    assert abs(sound.sum() - found.sound.sum()) < 3 * scatter + 1


def test_places_count_from_the_likeliest():
    score = np.array([[0.2, 0.9, 0.5], [0.1, 0.0, 0.3]])
    causes = np.array([[2, 1], [1, -1]])
    np.testing.assert_array_equal(ranks(score, causes), [[2, 1], [3, 0]])
