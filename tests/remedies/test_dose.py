"""Laws of dosing, held against a vessel."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.errors import QuantityError
from chemcheck.remedies.dose import (
    HEADSPACE,
    dose_by_units,
    dose_into_drained,
    dose_into_headspace,
    level_after,
    plan_dose,
)
from chemcheck.remedies.estimate import between, exact
from tests.remedies.mixing import Vessel

SYSTEM = st.floats(1.0, 500.0)
LEVEL = st.floats(0.0, 2000.0)
STRONG = st.floats(5e3, 2e5)


@given(SYSTEM, LEVEL, LEVEL, STRONG)
def test_a_dose_reaches_its_target_in_a_vessel(system, now, target, strength):
    drained = float(dose_into_drained(system, now, target, strength))
    vessel = Vessel.of(system, nitrite=now)
    vessel.drain(drained)
    vessel.add(drained, nitrite=strength)
    assert vessel.level("nitrite") == pytest.approx(max(now, target), abs=1e-6)
    on_top = float(dose_into_headspace(system, now, target, strength))
    vessel = Vessel.of(system, nitrite=now)
    vessel.add(on_top, nitrite=strength)
    assert vessel.level("nitrite") == pytest.approx(max(now, target), abs=1e-6)
    assert level_after(system, on_top, now, strength, HEADSPACE) == pytest.approx(
        max(now, target), abs=1e-6
    )


def test_an_additive_too_weak_reaches_nothing():
    assert np.isnan(dose_into_drained(40.0, 600.0, 1200.0, 1000.0))
    assert np.isnan(dose_into_headspace(40.0, 600.0, 1200.0, 1200.0))


@given(SYSTEM, st.floats(0.0, 100.0), st.floats(1e3, 5e4), st.floats(110.0, 500.0))
def test_the_largest_dose_lands_on_the_bound(system, now, strength, bound):
    plan = plan_dose(
        exact(system), exact(1200.0), (exact(600.0), exact(now)), (exact(6e4), exact(strength)),
        (None, bound),
    )  # fmt: skip
    assert int(plan.controlled_by) == 1
    assert level_after(system, float(plan.most.value), now, strength) == pytest.approx(bound)
    assert bool(plan.feasible) is bool(plan.reached.value[1] <= bound * (1 + 1e-9))


def test_a_component_above_its_bound_already_allows_no_dose():
    plan = plan_dose(
        exact(40.0), exact(1200.0), (exact(600.0), exact(700.0)), (exact(6e4), exact(100.0)),
        (3000.0, 600.0),
    )  # fmt: skip
    assert plan.most.value == 0.0
    assert not plan.feasible


def test_without_bounds_nothing_controls():
    plan = plan_dose(exact(40.0), exact(1200.0), (exact(600.0),), (exact(6e4),), (None,))
    assert int(plan.controlled_by) == -1
    assert plan.feasible
    assert np.isinf(plan.most.value)


def test_an_uncertain_reading_leaves_the_bound_in_doubt():
    plan = plan_dose(
        exact(40.0), exact(2800.0), (between(600.0, 1200.0),), (exact(6e4),), (3000.0,)
    )
    assert plan.feasible
    assert plan.doubtful
    # The dose of the middle, into coolant at either end of its reading.
    ends = [level_after(40.0, float(plan.drained.value), now, 6e4) for now in (600.0, 1200.0)]
    assert plan.reached.lower[0] == pytest.approx(min(ends))
    assert plan.reached.upper[0] == pytest.approx(max(ends))


def test_additive_units_count_gallons():
    # 10 US gallons from 1 to 1.5 units a gallon are 5 units, of a pint each: 5 pints.
    litres = dose_by_units(37.85411784, 1.0, 1.5, 0.473176473)
    assert litres == pytest.approx(5 * 0.473176473)
    assert dose_by_units(37.85, 2.0, 1.5, 0.4) == 0.0


@pytest.mark.parametrize(
    ("system", "target", "now", "strength", "said"),
    [
        (0.0, 1200.0, 600.0, 6e4, "system's volume must be above zero"),
        (40.0, -1.0, 600.0, 6e4, "level cannot be below zero"),
        (40.0, 1200.0, 600.0, 1200.0, "additive is no stronger than the target"),
    ],
)
def test_what_cannot_be_is_refused(system, target, now, strength, said):
    with pytest.raises(QuantityError, match=said):
        plan_dose(exact(system), exact(target), (exact(now),), (exact(strength),), (None,))
