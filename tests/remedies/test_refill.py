"""Laws of draining and filling, held against a vessel."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from chemcheck.errors import QuantityError
from chemcheck.remedies.estimate import between, exact
from chemcheck.remedies.refill import (
    concentrate_needed,
    passes_needed,
    percent_after,
    volume_to_replace,
)
from chemcheck.remedies.refill_plan import adjust, change, change_with_premix
from tests.remedies.mixing import Vessel

SYSTEM = st.floats(1.0, 500.0)
SHARE = st.floats(0.05, 1.0)
PERCENT = st.floats(0.0, 70.0)
STRONG = st.floats(71.0, 100.0)


def filled(system, drains, inside, plan, strength, premix=0.0):
    """Fill a drained vessel as a plan says, and return its percent."""
    vessel = Vessel.of(system, glycol=inside)
    vessel.drain(float(plan.drain.value))
    vessel.add(float(plan.concentrate.value), glycol=strength)
    vessel.add(float(plan.water.value), glycol=0.0)
    vessel.add(float(plan.premix.value), glycol=premix)
    assert vessel.volume == pytest.approx(system)
    return vessel.level("glycol")


@given(SYSTEM, SHARE, PERCENT, PERCENT, STRONG)
def test_a_change_keeps_mass_and_says_what_it_reaches(system, share, held, target, strength):
    drains = share * system
    plan = change(*map(exact, (system, drains, held, target, strength)))
    reached = filled(system, drains, held, plan, strength)
    assert reached == pytest.approx(float(plan.finished.value), abs=1e-6)
    if plan.feasible:
        assert reached == pytest.approx(target, abs=1e-6)
    else:
        assert not plan.least.value + 1e-6 <= target <= plan.reachable.value - 1e-6
        assert plan.passes >= 2 or np.isnan(plan.passes)


@given(SYSTEM, SHARE, PERCENT, PERCENT, STRONG)
def test_an_adjustment_keeps_mass_and_drains_the_least(system, share, now, target, strength):
    drains = share * system
    plan = adjust(*map(exact, (system, drains, now, target, strength)))
    reached = filled(system, drains, now, plan, strength)
    assert reached == pytest.approx(float(plan.finished.value), abs=1e-6)
    if plan.feasible:
        assert reached == pytest.approx(target, abs=1e-6)
        whole = change(*map(exact, (system, drains, now, target, strength)))
        assert plan.drain.value <= whole.drain.value + 1e-9


@given(SYSTEM, SHARE, PERCENT, st.floats(30.0, 60.0), STRONG)
def test_ready_mix_is_never_stronger_than_its_label(system, share, held, premix, strength):
    drains, target = share * system, 50.0
    plan = change_with_premix(*map(exact, (system, drains, held, target, premix, strength)))
    assert plan.reachable.value <= max(held, premix) + 1e-9
    reached = filled(system, drains, held, plan, strength, premix)
    assert reached == pytest.approx(float(plan.finished.value), abs=1e-6)


@given(SYSTEM, st.floats(0.1, 0.95), PERCENT, PERCENT, STRONG)
def test_passes_are_as_many_as_a_vessel_takes(system, share, now, target, strength):
    drains = share * system
    added = strength if target > now else 0.0
    assume(abs(target - now) > 0.1 and target > 0.5)
    passes = float(passes_needed(system, drains, now, target, added))
    vessel = Vessel.of(system, glycol=now)
    for done in range(1, 200):
        vessel.drain(drains)
        vessel.add(drains, glycol=added)
        over = (vessel.level("glycol") - target) * (1 if added else -1)
        if over > 1e-7:
            assert done >= passes
            break
        if over < -1e-7:
            assert done < passes


@given(
    st.tuples(st.floats(8.0, 12.0), st.floats(0.0, 2.0)),
    st.tuples(st.floats(3.0, 6.0), st.floats(0.0, 2.0)),
    st.floats(0.0, 1.0), st.floats(0.0, 1.0),
)  # fmt: skip
def test_the_interval_of_the_finished_percent_holds_what_may_come(system, drains, one, other):
    volume = between(system[0], system[0] + system[1])
    out = between(drains[0], drains[0] + drains[1])
    plan = change(volume, out, exact(5.0), exact(30.0), exact(95.0))
    true_volume = system[0] + one * system[1]
    true_out = drains[0] + other * drains[1]
    # Filled up to full: the shares of what is filled are the plan's.
    share = float(plan.concentrate.value) / float(plan.drain.value)
    reached = float(percent_after(true_volume, true_out, 5.0, share * 95.0))
    assert plan.finished.lower - 1e-9 <= reached <= plan.finished.upper + 1e-9


def test_a_doubtful_plan_says_so():
    plan = change(exact(12.0), between(5.0, 8.0), exact(0.0), exact(50.0), exact(100.0))
    assert plan.feasible
    assert plan.doubtful
    sure = change(exact(12.0), between(7.0, 8.0), exact(0.0), exact(50.0), exact(100.0))
    assert not sure.doubtful


def test_columns_series_and_numbers_agree():
    column = pd.Series([10.0, 20.0])
    for found in (
        volume_to_replace(column, 35.0, 50.0, 100.0),
        concentrate_needed(column, 5.0, 0.0, 20.0, 100.0),
    ):
        assert found[1] == pytest.approx(2 * found[0])
    plan = change(exact([12.0, 24.0]), exact([8.0, 16.0]), exact(0.0), exact(50.0), exact(100.0))
    assert plan.concentrate.value.tolist() == [6.0, 12.0]


def test_no_way_leads_past_what_is_added():
    assert np.isnan(volume_to_replace(10.0, 35.0, 50.0, 45.0))
    assert np.isnan(passes_needed(10.0, 5.0, 35.0, 50.0, 45.0))
    assert passes_needed(10.0, 10.0, 0.0, 50.0, 50.0) == 1.0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ((12.0, 13.0, 0.0, 50.0, 100.0), r"more drains \(13 L\) than the system holds \(12 L\)"),
        ((12.0, 8.0, 0.0, 96.0, 95.0), "above the strength of the concentrate"),
        ((0.0, 8.0, 0.0, 50.0, 95.0), "system's volume must be above zero"),
        ((12.0, 0.0, 0.0, 50.0, 95.0), "what drains must be above zero"),
        ((12.0, 8.0, -1.0, 50.0, 95.0), "the percent inside is not from 0 to 100"),
        ((12.0, 8.0, 0.0, 50.0, 0.0), "a concentrate of 0 % is water"),
        ((12.0, 8.0, 0.0, 50.0, 101.0), "of the concentrate is not from 0 to 100"),
    ],
)
def test_what_cannot_be_is_refused(given, said):
    for plan in (change, adjust):
        with pytest.raises(QuantityError, match=said):
            plan(*map(exact, given))
    system, drains, held, target, strength = given
    with pytest.raises(QuantityError, match=said):
        change_with_premix(*map(exact, (system, drains, held, target, 40.0, strength)))


@given(SYSTEM, st.floats(0.1, 1.0), PERCENT, PERCENT, st.floats(30.0, 60.0), STRONG)
def test_a_refill_with_ready_mix_comes_to_what_it_says(
    system, share, held, target, premix, strength
):
    assume(target <= strength)
    inputs = (system, share * system, held, target, premix, strength)
    plan = change_with_premix(*map(exact, inputs))
    vessel = Vessel.of(system, glycol=held)
    vessel.drain(share * system * (1.0 - 1e-12))
    vessel.add(float(plan.concentrate.value), glycol=strength)
    vessel.add(float(plan.premix.value), glycol=premix)
    vessel.add(float(plan.water.value))
    assert vessel.level("glycol") == pytest.approx(float(plan.finished.value), abs=1e-6)
    filled = plan.concentrate.value + plan.premix.value + plan.water.value
    assert float(filled) == pytest.approx(share * system)
    # Nothing reaches further than water alone and concentrate alone do.
    least, most = (percent_after(system, share * system, held, added) for added in (0.0, strength))
    expected = float(np.clip(target, min(least, most), max(least, most)))
    assert float(plan.finished.value) == pytest.approx(expected, abs=1e-6)


def test_ready_mix_as_strong_as_concentrate_is_refused():
    with pytest.raises(QuantityError, match="ready mix must be weaker"):
        change_with_premix(*map(exact, (12.0, 8.0, 0.0, 50.0, 95.0, 95.0)))
