"""Levels of a finished fill, against a vessel that is drained and filled."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.remedies.estimate import between, exact
from chemcheck.remedies.filled_levels import FilledIn, finished_level, level_of_concentrate
from tests.remedies.mixing import Vessel

levels = st.floats(0.0, 3000.0)
parts = st.floats(0.0, 4.0)


@given(st.floats(12.5, 40.0), parts, parts, parts, levels, levels, levels, levels)
def test_mass_is_kept(system, concentrate, premix, water, strong, mix, tap, inside):
    planned = concentrate + premix + water
    if planned < 0.1:
        return
    filled = FilledIn(exact(system), exact(planned), concentrate, premix, water)
    found = finished_level(filled, exact(strong), exact(mix), exact(tap), exact(inside))
    vessel = Vessel.of(system, salt=inside)
    vessel.drain(planned)
    vessel.add(concentrate, salt=strong)
    vessel.add(premix, salt=mix)
    vessel.add(water, salt=tap)
    assert float(found.value) == pytest.approx(vessel.level("salt"), rel=1e-9, abs=1e-9)


@given(st.floats(11.0, 13.0), st.floats(7.5, 8.5), st.floats(80.0, 90.0))
def test_the_ends_hold_for_any_volumes_and_levels_between(system, drained, inside):
    filled = FilledIn(between(11.0, 13.0), between(7.5, 8.5), 6.0, 0.0, 2.0)
    nothing = exact(0.0)
    found = finished_level(filled, exact(12.0), nothing, exact(1.0), between(80.0, 90.0))
    # What was planned for 8 L goes in by proportion.
    vessel = Vessel.of(system, chloride=inside)
    vessel.drain(drained)
    vessel.add(drained * 6.0 / 8.0, chloride=12.0)
    vessel.add(drained * 2.0 / 8.0, chloride=1.0)
    assert found.lower - 1e-9 <= vessel.level("chloride") <= found.upper + 1e-9


def test_a_concentrate_by_its_mix_is_the_mix_again():
    strong = float(level_of_concentrate(exact(1500.0), exact(47.0), exact(94.0)).value)
    vessel = Vessel(0.0)
    vessel.add(0.5, nitrite=strong)
    vessel.add(0.5)
    assert vessel.level("nitrite") == pytest.approx(1500.0)
