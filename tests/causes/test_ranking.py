"""The order in which evidence is added up decides nothing."""

import numpy as np

from chemcheck.causes.ranking import raise_causes
from tests.causes.cases import CASES, causes_of


def test_weights_a_rounding_apart_are_equal() -> None:
    plan = causes_of(CASES[0]).plan
    n = len(plan.causes)
    found = np.ones((len(plan.features), 3), dtype=np.float32)
    weight = np.zeros((n, 3), dtype=np.float32)
    # Nearer to the bound, or to each other, than single precision tells after a few sums.
    weight[2] = plan.settings.raised_from - np.array([1e-6, 1e-6, 1e-3])
    weight[4] = plan.settings.raised_from - np.array([1e-3, 0.0, 1e-6])
    order, raised, _ = raise_causes(plan, found, weight)
    assert order[0].tolist() == [2, 2, 4]
    assert (raised >= 1).all()


def test_what_could_stand_in_for_a_cause_follows_with_the_least_loss() -> None:
    plan = causes_of(CASES[0]).plan
    n = len(plan.causes)
    found = np.zeros((len(plan.features), 1), dtype=np.float32)
    weight = np.full((n, 1), -1, dtype=np.float32)
    # Nothing explains anything here: the second falls 1 behind the first, the fourth 0.5 behind
    # the third, and so on.
    weight[[1, 3, 5, 7, 9], 0] = 9, 8, 3, 2.5, 0.5
    order, _, loss = raise_causes(plan, found, weight)
    assert order[:3, 0].tolist() == [1, 3, 5]
    assert loss[[7, 9], 0].tolist() == [-0.5, -2.5]
