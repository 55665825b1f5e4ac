"""True causes come first often enough, beside the ceiling of the model that drew the samples.

The figures asked for are those of the project's own aim: of samples with one cause at the middle
third of its strength, by the full panel, nine tenths of the ceiling; nineteen of twenty sound
units without a raised cause. `python tests/benchmarks/causes_recall.py` prints them all.
"""

import numpy as np
import pytest

from tests.causes.simulated_faults import Cases, draw_cases
from tests.causes.simulated_faults.baselines import nearest_signature
from tests.causes.simulated_faults.figures import raising, recall
from tests.causes.simulated_faults.program import program

# Not the seed that settings were tried on, nor that of the benchmark.
SEED = 20261125
MIDDLE = 1


@pytest.fixture(scope="module")
def cases() -> Cases:
    return draw_cases(3000, SEED)


def test_the_true_cause_comes_first_in_nine_tenths_of_what_can_be(cases: Cases):
    # The ceiling, which takes minutes, is 0.94 and 0.99 of 1000 samples of another seed; the
    # scatter of some 500 samples is allowed for.
    score, _ = program(cases)
    found = recall(score, cases)
    assert found.first[MIDDLE] >= 0.9 * 0.94 - 2 * np.sqrt(0.85 * 0.15 / 500)
    assert found.first_three[MIDDLE] >= 0.9 * 0.99


def test_sound_units_raise_nothing(cases: Cases):
    _, raised = program(cases)
    assert raising(raised, cases).clean >= 0.95


def test_two_causes_are_found_more_often_than_by_the_nearest_signature(cases: Cases):
    score, _ = program(cases)
    assert recall(score, cases).both > recall(nearest_signature(cases), cases).both
