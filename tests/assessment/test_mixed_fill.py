"""Remedies of a fill of two technologies: its share, poured in a vessel, orders them."""

import numpy as np
import pytest

from chemcheck import check
from tests.builders import readings
from tests.remedies.mixing import Vessel

# Two invented coolants that differ in four tracers.
OWN = {"boron": 5.0, "molybdenum": 5.0, "sodium": 300.0, "potassium": 2500.0, "nitrite": 2.0}
OTHER = {
    "boron": 600.0,
    "molybdenum": 250.0,
    "sodium": 3500.0,
    "potassium": 60.0,
    "nitrite": 1800.0,
}
BOTH = {"glycol": 50.0, "ph": 9.0, "chloride": 12.0}


def poured(share):
    """Return what an own fill holds of which a share was replaced by the other coolant."""
    vessel = Vessel.of(10.0, **OWN)
    vessel.drain(10.0 * share)
    vessel.add(10.0 * share, **OTHER)
    return {key: vessel.level(key) for key in OWN}


def remedies(share, *, other_known=True, **changed):
    """Return the remedies of a sample with a share of the other coolant."""
    rows = [OWN | BOTH, OTHER | BOTH, poured(share) | BOTH | changed]
    kept = [0, 1, 2] if other_known else [0, 2]
    basis = {"ph": "ph:neat", "glycol": "glycol:by_volume"}
    read = readings(
        {basis.get(key, key): [rows[k][key] for k in kept] for key in rows[0]},
        technology=[("organic_acid", "heavy_duty_additive", "organic_acid")[k] for k in kept],
        unit_id=[("U1", "U2", "U1")[k] for k in kept],
        sample_type=[("fresh fill", "fresh fill", "routine")[k] for k in kept],
        taken_on=np.array(
            [("2025-01-01", "2025-01-01", "2025-06-01")[k] for k in kept], dtype="datetime64[s]"
        ),
    )
    return check(read).remedies.of_sample(kept.index(2))


def test_more_than_a_quarter_refuses_what_keeps_the_mixture_inside():
    # Trade press: a tolerance of 25 % is claimed (published).
    first, second = remedies(0.5, glycol=30.0)
    assert first.title == "Drain, rinse and refill"
    assert second.title.startswith("Strengthen")
    assert not second.feasible
    assert "This is refused" in second.held_back
    assert "heavy duty with supplemental additive" in second.held_back
    assert "confirm_first" in first.cautions


def test_what_may_be_a_quarter_comes_after_the_change():
    first, second = remedies(0.25, glycol=30.0)
    assert first.title == "Drain, rinse and refill"
    assert second.feasible
    assert "A change is better" in second.held_back
    assert any("have the organic inhibitor measured" in need for need in second.needs)


def test_a_tenth_leaves_the_cheapest_first():
    # Memory: below 10 % watch it; between, have the organic inhibitor measured.
    first, second = remedies(0.12, glycol=30.0)
    assert first.title.startswith("Strengthen")
    assert first.held_back is None
    assert any("have the organic inhibitor measured" in need for need in first.needs)
    assert second.title == "Drain, rinse and refill"


def test_a_mixture_whose_share_no_tracer_gives_asks_for_it_first():
    # No fresh fill of the other coolant is at hand: 800 mg/L of nitrite where there were 2.
    first, second = remedies(0.45, other_known=False, chloride=150.0)
    assert first.title == "Drain, rinse and refill"
    assert second.feasible
    assert "the share is not known" in second.held_back
    assert "two or more tracers" in second.held_back
    assert "confirm_first" in first.cautions


def test_an_own_fill_is_left_alone():
    first, _ = remedies(0.0, glycol=30.0)
    assert first.title.startswith("Strengthen")
    assert first.held_back is None
    assert not any("organic inhibitor" in need for need in first.needs)


@pytest.mark.parametrize("share", [0.5, 0.8])
def test_a_change_leaves_next_to_nothing_of_the_other(share):
    change = remedies(share, glycol=30.0)[0]
    assert {one.analyte: one for one in change.predicted}["chloride"].upper <= 12.0 + 1.0
    assert change.verdict != "unfit"
