"""Top-ups of several sizes and fluids, against a vessel that leaks or dries and is filled up."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.top_up import (
    after_evaporation,
    after_leak,
    after_logged_evaporation,
    after_logged_leaks,
)
from tests.remedies.mixing import Vessel

SYSTEM = 12.0
top_ups = st.lists(st.tuples(st.floats(0.1, 6.0), st.floats(0.0, 500.0)), max_size=8)


@given(st.floats(0.0, 500.0), top_ups)
def test_leaks_of_several_fluids(start, added):
    vessel = Vessel.of(SYSTEM, salt=start)
    for litres, level in added:
        vessel.drain(litres)
        vessel.add(litres, salt=level)
    shares = [litres / SYSTEM for litres, _ in added]
    found = after_logged_leaks(start, shares, [level for _, level in added])
    assert found == pytest.approx(vessel.level("salt"), abs=1e-9)


@given(st.floats(0.0, 500.0), top_ups)
def test_evaporation_of_several_fluids(start, added):
    vessel = Vessel.of(SYSTEM, salt=start)
    for litres, level in added:
        vessel.evaporate(litres)
        vessel.add(litres, salt=level)
    shares = [litres / SYSTEM for litres, _ in added]
    found = after_logged_evaporation(start, shares, [level for _, level in added])
    assert found == pytest.approx(vessel.level("salt"), abs=1e-9)


@given(st.floats(0.0, 500.0), top_ups)
def test_a_leak_never_leaves_more_than_evaporation(start, added):
    shares = [litres / SYSTEM for litres, _ in added]
    levels = [level for _, level in added]
    leak = after_logged_leaks(start, shares, levels)
    assert leak <= after_logged_evaporation(start, shares, levels) + 1e-9


def test_equal_top_ups_are_the_worked_example():
    # Worked example (computed here): ten litres of 85 mg/L in 12 L: 51.5 and 75.8 mg/L.
    shares, levels = np.full(10, 1 / 12), np.full(10, 85.0)
    assert after_logged_leaks(5.0, shares, levels) == pytest.approx(51.5, abs=0.05)
    assert after_logged_evaporation(5.0, shares, levels) == pytest.approx(75.8, abs=0.05)
    assert after_logged_leaks(5.0, shares, levels) == pytest.approx(
        float(after_leak(5.0, 85.0, 1.0, 12.0, 10))
    )
    assert after_logged_evaporation(5.0, shares, levels) == pytest.approx(
        float(after_evaporation(5.0, 85.0, 1.0, 12.0, 10))
    )


def test_volumes_as_a_column():
    volumes = np.array([10.0, 12.0, 14.0])
    shares = 1.0 / volumes[:, np.newaxis] * np.ones(3)
    found = after_logged_leaks(5.0, shares, np.full(3, 85.0))
    assert found.shape == (3,)
    assert found[1] == pytest.approx(float(after_leak(5.0, 85.0, 1.0, 12.0, 3)))


def test_nothing_topped_up_changes_nothing():
    assert after_logged_leaks(8.0, [], []) == 8.0
    assert after_logged_evaporation(8.0, [], []) == 8.0
