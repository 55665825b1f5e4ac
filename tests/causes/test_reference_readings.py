"""Going through a batch by stretches says what weighing each sample alone says."""

import numpy as np
import pytest

from chemcheck.causes import find_causes, record, references
from chemcheck.causes.evidence import evidence
from chemcheck.causes.plan import Plan
from chemcheck.causes.ranking import rank
from tests.causes.simulated_faults import draw_cases
from tests.causes.simulated_faults.as_readings import as_readings

# Exponentials and logarithms of one number and of a whole row may differ in their last digit.
LAST_DIGITS = 1e-4


def _plan(samples: int, seed: int, panel: str) -> Plan:
    found = find_causes(as_readings(draw_cases(samples, seed, panel))[0])
    assert found is not None
    return found.plan


@pytest.mark.parametrize("panel", ["laboratory", "field_tests"])
@pytest.mark.parametrize("most_ordered", [references.MOST_ORDERED, 0])
def test_a_stretch_says_what_its_samples_say_alone(
    panel: str, most_ordered: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(references, "MOST_ORDERED", most_ordered)
    plan = _plan(40, 31, panel)
    n = len(plan.references.use)
    whole = np.concatenate([evidence(plan, slice(0, 50)), evidence(plan, slice(50, n))], axis=1)
    alone = np.concatenate([evidence(plan, np.array([row])) for row in range(n)], axis=1)
    np.testing.assert_allclose(whole, alone, atol=LAST_DIGITS)
    together = rank(plan, whole.copy(), slice(0, n))
    apart = [rank(plan, whole[:, [row]], np.array([row])) for row in range(n)]
    np.testing.assert_array_equal(together.order, np.hstack([each.order for each in apart]))
    np.testing.assert_array_equal(together.raised, np.hstack([each.raised for each in apart]))
    assert together.raised.any()


def test_going_through_all_samples_keeps_their_order(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(record, "STRETCH", 7)
    found = find_causes(as_readings(draw_cases(20, 5, "field_tests"))[0])
    assert found is not None
    n = len(found.readings.samples)
    stretches = list(found.rankings())
    assert [rows.start for rows, _ in stretches] == list(range(0, n, 7))
    whole = found.ranked(slice(0, n))
    np.testing.assert_array_equal(np.hstack([each.order for _, each in stretches]), whole.order)
