"""Worked examples of draining, rinsing, blending and dosing: computed here, and simulated.

Each expected number is marked `computed here` in the worked examples it is from; each is held
against the formula and against a vessel that is drained and filled step by step.
"""

import math

import numpy as np
import pytest

from chemcheck.remedies.deionised_share import blend, tap_share
from chemcheck.remedies.dose import dose_into_drained, dose_into_headspace
from chemcheck.remedies.estimate import exact
from chemcheck.remedies.held_volume import held_volume
from chemcheck.remedies.last_rinses import last_rinses_needed, water_phase
from chemcheck.remedies.refill import passes_needed, volume_to_replace
from chemcheck.remedies.refill_plan import change, change_with_premix
from chemcheck.remedies.rinse import continuous_water, fills_needed, residue_after
from tests.remedies.mixing import Vessel


@pytest.mark.parametrize(("strength", "litres"), [(100.0, 2.31), (93.0, 2.59)])
def test_1_strengthen_ten_litres_from_35_to_50_per_cent(strength, litres):
    found = float(volume_to_replace(10.0, 35.0, 50.0, strength))
    assert found == pytest.approx(litres, abs=0.005)
    vessel = Vessel.of(10.0, glycol=35.0)
    vessel.drain(litres)
    vessel.add(litres, glycol=strength)
    assert vessel.level("glycol") == pytest.approx(50.0, abs=0.05)


def test_2_refill_after_a_flush():
    plan = change(exact(12.0), exact(8.0), exact(0.0), exact(50.0), exact(100.0))
    assert (float(plan.concentrate.value), float(plan.water.value)) == (6.0, 2.0)
    vessel = Vessel.of(12.0, glycol=0.0)
    vessel.drain(8.0)
    vessel.add(6.0, glycol=100.0)
    vessel.add(2.0, glycol=0.0)
    assert vessel.level("glycol") == pytest.approx(50.0)


def test_2_too_little_drains():
    plan = change(exact(12.0), exact(5.0), exact(0.0), exact(50.0), exact(100.0))
    assert float(plan.reachable.value) == pytest.approx(41.7, abs=0.05)
    assert not plan.feasible
    vessel = Vessel.of(12.0, glycol=0.0)
    passes = 0
    while vessel.level("glycol") < 50.0:
        vessel.drain(5.0)
        vessel.add(5.0, glycol=100.0)
        passes += 1
    assert passes == float(plan.passes) == float(passes_needed(12.0, 5.0, 0.0, 50.0, 100.0))


def test_2_ready_mix_into_rinse_water_is_too_weak():
    water = exact(0.0)
    plan = change_with_premix(
        exact(12.0), exact(8.0), water, exact(50.0), exact(50.0), exact(100.0)
    )
    assert float(plan.reachable.value) == pytest.approx(33.0, abs=0.5)
    assert not plan.feasible
    vessel = Vessel.of(4.0, glycol=0.0)
    vessel.add(8.0, glycol=50.0)
    assert vessel.level("glycol") == pytest.approx(float(plan.reachable.value))


def test_3_held_volume_measured_by_dilution():
    assert held_volume(8.0, 50.0, 16.7) == pytest.approx(4.0, abs=0.05)
    vessel = Vessel.of(12.0, glycol=50.0)
    vessel.drain(8.0)
    held = vessel.volume
    vessel.add(8.0, glycol=0.0)
    assert held_volume(8.0, 50.0, vessel.level("glycol")) == pytest.approx(held)


def test_4_rinses():
    left = 100.0 * residue_after([1, 2, 3, 4, 5], 12.0, 8.0, 1.0)
    assert left == pytest.approx([33, 11, 3.7, 1.2, 0.4], rel=0.05)
    assert fills_needed(0.01, 12.0, [8.0, 4.0], 1.0).tolist() == [5.0, 12.0]
    vessel = Vessel.of(12.0, old=100.0)
    for expected in left:
        vessel.drain(8.0)
        vessel.add(8.0, old=0.0)
        assert vessel.level("old") == pytest.approx(expected)
    mixed, plug = continuous_water(0.01, 12.0)
    assert mixed == pytest.approx(55.0, abs=0.5)
    assert plug < 12.0
    vessel = Vessel.of(12.0, old=100.0)
    vessel.flow_through(float(mixed))
    assert vessel.level("old") == pytest.approx(1.0, rel=0.01)


def test_5_blend_with_deionised_water():
    tap, pure = np.array([[85.0, 120.0, 310.0, 520.0]]), np.array([1.0, 1.0, 2.0, 5.0])
    bounds = np.array([40.0, 100.0, 170.0, 340.0])
    shares = (bounds - pure) / (tap[0] - pure)
    assert shares == pytest.approx([0.47, 0.83, 0.55, 0.65], abs=0.006)
    found = tap_share(tap, tap, np.stack([pure, pure]), bounds, ("upper",) * 4)
    assert found.largest[0] == pytest.approx(0.464, abs=0.001)
    assert found.largest_by[0] == 0
    vessel = Vessel(0.0)
    names = ("chloride", "sulfate", "hardness", "solids")
    vessel.add(0.46, **dict(zip(names, tap[0], strict=True)))
    vessel.add(0.54, **dict(zip(names, pure, strict=True)))
    held = [vessel.level(name) for name in names]
    assert held == pytest.approx([40, 56, 144, 242], abs=0.6)
    exact_share = blend(tap, pure, found.largest)[0]
    assert exact_share == pytest.approx([40, 56, 145, 244], abs=0.6)


def test_6_hardness_of_the_water_that_stays():
    assert water_phase([0, 1], 310.0, 0.0, 4.0, 2.0, 1 / 3) == pytest.approx([207, 69], abs=0.5)
    for rinses, expected in ((0, 207.0), (1, 69.0)):
        vessel = Vessel.of(12.0, hardness=310.0)
        for _ in range(rinses):
            vessel.drain(8.0)
            vessel.add(8.0, hardness=0.0)
        vessel.drain(8.0)
        vessel.add(2.0, hardness=0.0)  # the concentrate's 6 L are no water
        assert vessel.level("hardness") == pytest.approx(expected, abs=0.5)
    # The default bound of 170 mg/L: none of the last rinses will not do, one will.
    assert last_rinses_needed(310.0, 0.0, 170.0, 4.0, 2.0, 1 / 3) == 1.0


def test_7_dose_of_nitrite():
    assert dose_into_drained(40.0, 600.0, 1200.0, 60e3) == pytest.approx(0.404, abs=5e-4)
    assert dose_into_headspace(40.0, 600.0, 1200.0, 60e3) == pytest.approx(0.408, abs=5e-4)
    first = Vessel.of(40.0, nitrite=600.0)
    first.drain(0.404)
    first.add(0.404, nitrite=60e3)
    on_top = Vessel.of(40.0, nitrite=600.0)
    on_top.add(0.408, nitrite=60e3)
    assert first.level("nitrite") == pytest.approx(1200.0, abs=1.0)
    assert on_top.level("nitrite") == pytest.approx(1200.0, abs=1.0)


def test_4_needs_as_many_fills_as_a_count_says():
    for drains in (4.0, 8.0):
        vessel, fills = Vessel.of(12.0, old=1.0), 0
        while vessel.level("old") > 0.01:
            vessel.drain(drains)
            vessel.add(drains, old=0.0)
            fills += 1
        assert fills == float(fills_needed(0.01, 12.0, drains, 1.0))
        assert math.isclose(vessel.level("old"), float(residue_after(fills, 12.0, drains, 1.0)))
