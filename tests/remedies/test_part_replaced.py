"""A part of a system replaced: against a vessel drained and filled step by step."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.remedies.estimate import between, exact
from chemcheck.remedies.part_replaced import (
    fill_percent,
    levels_after,
    passes_and_last,
    share_to_replace,
)
from tests.remedies.mixing import Vessel

shares = st.floats(0.01, 0.75)
levels = st.floats(0.0, 5000.0)


@given(levels, levels, shares)
def test_mass_is_kept(now, fill, share):
    vessel = Vessel.of(40.0, salt=now)
    vessel.drain(40.0 * share)
    vessel.add(40.0 * share, salt=fill)
    column, filled = np.array([now]), np.array([fill])
    low, high = levels_after(column, column, filled, filled, exact(share))
    assert low[0] == pytest.approx(vessel.level("salt"), abs=1e-6)
    assert high[0] == pytest.approx(vessel.level("salt"), abs=1e-6)


@given(levels, levels, st.floats(20.0, 40.0), st.floats(0.0, 1.0))
def test_the_ends_hold_for_any_volume_between(now, fill, volume, where):
    litres = 10.0
    true = 20.0 + where * (volume - 20.0)
    vessel = Vessel.of(true, salt=now)
    vessel.drain(litres)
    vessel.add(litres, salt=fill)
    column, filled = np.array([now]), np.array([fill])
    share = between(litres / volume, litres / 20.0)
    low, high = levels_after(column, column, filled, filled, share)
    assert low[0] - 1e-6 <= vessel.level("salt") <= high[0] + 1e-6


@given(st.floats(101.0, 900.0), st.floats(0.0, 99.0))
def test_the_share_brings_a_level_just_to_its_bound(now, fill):
    column, filled = np.array([now]), np.array([fill])
    found = share_to_replace(column, column, filled, filled, np.array([-np.inf]), np.array([100.0]))
    _, high = levels_after(column, column, filled, filled, exact(found[0]))
    assert high[0] == pytest.approx(100.0)


def test_what_does_not_lead_there_takes_for_ever():
    no = np.array([-np.inf])
    most = np.array([100.0])
    high = np.array([180.0])
    assert np.isinf(share_to_replace(high, high, most + 1, most + 1, no, most))[0]
    unknown = np.array([np.nan])
    assert np.isinf(share_to_replace(high, high, unknown, unknown, no, most))[0]


def test_a_lower_bound_is_reached_from_below():
    # 4 and 10 mix to 7 half and half.
    column, fill = np.array([4.0]), np.array([10.0])
    found = share_to_replace(column, column, fill, fill, np.array([7.0]), np.array([np.inf]))
    assert found[0] == pytest.approx(0.5)


@pytest.mark.parametrize(("share", "drains"), [(0.6, 5.0), (0.3, 5.0), (0.74, 2.0)])
def test_passes_replace_what_was_wanted(share, drains):
    passes, last = passes_and_last(share, drains / 12.0)
    vessel = Vessel.of(12.0, old=1.0)
    for k in range(passes):
        litres = 12.0 * last if k == passes - 1 else drains
        assert litres <= drains + 1e-9
        vessel.drain(litres)
        vessel.add(litres)
    assert vessel.level("old") == pytest.approx(1.0 - share)


def test_percent_of_what_is_filled():
    vessel = Vessel.of(10.0, glycol=35.0)
    percent = fill_percent(35.0, 50.0, 0.4)
    vessel.drain(4.0)
    vessel.add(4.0, glycol=percent)
    assert vessel.level("glycol") == pytest.approx(50.0)
