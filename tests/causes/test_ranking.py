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
    order, raised = raise_causes(plan, found, weight)
    assert order[0].tolist() == [2, 2, 4]
    assert (raised >= 1).all()
