"""True causes come first often enough, beside the ceiling of the model that drew the samples.

The aim is, of samples with one cause at the middle third of its strength, by the full panel, nine
tenths of the ceiling, and nineteen of twenty sound units without a raised cause; both of two
causes in the first three four fifths as often as the ceiling. The last is a little short: 0.75
where the ceiling is about 0.95, much of it by naming causes whose only reading is missing, which
the program never does. None of them may fall back.
`python tests/benchmarks/causes_recall.py` prints all.
"""

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
    return draw_cases(8000, SEED)


def test_the_true_cause_comes_first_nearly_as_often_as_can_be(cases: Cases):
    # The ceiling, which takes minutes: 0.97 and 1.00 of 443 samples of two other seeds.
    score, _ = program(cases)
    found = recall(score, cases)
    assert found.first[MIDDLE] >= 0.9 * 0.97
    assert found.first_three[MIDDLE] >= 0.9 * 0.99


def test_sound_units_raise_nothing(cases: Cases):
    _, raised = program(cases)
    assert raising(raised, cases).clean >= 0.97


def test_two_causes_are_found_more_often_than_by_the_nearest_signature(cases: Cases):
    score, _ = program(cases)
    found = recall(score, cases).both
    assert found > recall(nearest_signature(cases), cases).both
    assert found >= 0.73
