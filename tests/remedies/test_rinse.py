"""Laws of rinsing."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.errors import QuantityError
from chemcheck.remedies.estimate import between, exact
from chemcheck.remedies.last_rinses import last_rinses_needed, water_phase
from chemcheck.remedies.rinse import (
    continuous_residue,
    continuous_water,
    fills_needed,
    plan_rinses,
    residue_after,
    share_kept,
)
from tests.remedies.mixing import Vessel

SYSTEM = st.floats(1.0, 500.0)
SHARE = st.floats(0.05, 1.0)
EFFICIENCY = st.floats(0.1, 1.0)
RESIDUE = st.floats(0.001, 0.5)


@given(SYSTEM, SHARE, EFFICIENCY, st.integers(0, 20), st.integers(0, 20))
def test_rinsing_more_never_raises_the_residue(system, share, efficiency, fills, more):
    drains = share * system
    less = residue_after(fills, system, drains, efficiency)
    assert residue_after(fills + more, system, drains, efficiency) <= less + 1e-12
    better = residue_after(fills, system, drains, min(1.0, efficiency * 1.2))
    assert better <= less + 1e-12


@given(SYSTEM, SHARE, EFFICIENCY, RESIDUE)
def test_so_many_fills_reach_it_and_one_less_does_not(system, share, efficiency, residue):
    drains = share * system
    fills = float(fills_needed(residue, system, drains, efficiency))
    assert residue_after(fills, system, drains, efficiency) <= residue * (1 + 1e-6)
    if fills > 1:
        assert residue_after(fills - 1, system, drains, efficiency) >= residue * (1 - 1e-6)


def test_an_exact_power_takes_no_rinse_too_many():
    assert fills_needed((1 / 3) ** 3, 12.0, 8.0, 1.0) == 3.0


@given(SYSTEM, st.floats(0.0, 5.0), st.floats(0.0, 2.0))
def test_continuous_water_lies_between_plug_and_perfect_mixing(system, turns, more):
    mixed, plug = continuous_residue(turns * system, system)
    assert plug <= mixed + 1e-12
    later, _ = continuous_residue((turns + more) * system, system)
    assert later <= mixed + 1e-12


@given(SYSTEM, RESIDUE)
def test_continuous_water_read_back(system, residue):
    mixed, plug = continuous_water(residue, system)
    assert continuous_residue(mixed, system)[0] == pytest.approx(residue)
    assert continuous_residue(plug, system)[1] == pytest.approx(residue)


def test_mass_is_kept_through_rinses_and_drains():
    # What was drained and what is left are all of the old fill.
    vessel, out = Vessel.of(12.0, old=1.0), 0.0
    for _ in range(4):
        out += vessel.level("old") * 8.0
        vessel.drain(8.0)
        vessel.add(8.0)
    assert out + vessel.amounts["old"] == pytest.approx(12.0)
    assert vessel.level("old") == pytest.approx(float(residue_after(4, 12.0, 8.0, 1.0)))


def test_intervals_say_how_many_more_may_be_needed():
    plan = plan_rinses(exact(12.0), between(4.0, 8.0), 0.01, exact(1.0))
    assert (plan.fills.lower, plan.fills.upper) == (5.0, 12.0)
    assert plan.usual_residue.lower == pytest.approx(1 / 27)
    assert plan.usual_residue.upper == pytest.approx(8 / 27)


def test_all_drained_is_one_rinse():
    assert fills_needed(0.01, 12.0, 12.0, 1.0) == 1.0
    assert share_kept(12.0, 12.0, 1.0) == 0.0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ((12.0, 13.0, 0.01, 1.0), r"more drains \(13 L\) than the system holds \(12 L\)"),
        ((12.0, 8.0, 0.0, 1.0), "residue wanted must lie between 0 and 100 %"),
        ((12.0, 8.0, 1.5, 1.0), "residue wanted must lie between 0 and 100 %"),
        ((12.0, 8.0, 0.01, 1.1), "mixing efficiency must be above 0 and at most 100 %"),
    ],
)
def test_what_cannot_be_is_refused(given, said):
    system, drains, residue, efficiency = given
    with pytest.raises(QuantityError, match=said):
        plan_rinses(exact(system), exact(drains), residue, exact(efficiency))


@given(
    st.floats(10.0, 500.0), st.floats(0.0, 5.0), st.floats(6.0, 300.0), st.floats(0.1, 50.0),
    st.floats(0.0, 50.0), st.floats(0.02, 0.9),
)  # fmt: skip
def test_last_rinses_are_the_fewest_that_pass(tap, pure, bound, held, added, kept):
    count = float(last_rinses_needed(tap, pure, bound, held, added, kept))
    assert water_phase(count, tap, pure, held, added, kept) <= bound * (1 + 1e-6)
    if count > 0:
        assert water_phase(count - 1, tap, pure, held, added, kept) >= bound * (1 - 1e-6)


def test_no_rinse_makes_water_better_than_deionised():
    assert np.isnan(last_rinses_needed(310.0, 5.0, 4.0, 4.0, 2.0, 1 / 3))
    assert last_rinses_needed(310.0, 5.0, 6.0, 4.0, 2.0, 0.0) == 1.0
