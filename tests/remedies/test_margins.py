"""Laws of the margins, and what the trade's own tables say."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.limit_library.glycol_properties import glycol_properties
from chemcheck.remedies.cold_margin import cold_margin, freezing
from chemcheck.remedies.estimate import between, exact
from chemcheck.remedies.margins import (
    Circuit,
    boiling,
    boiling_by_rule,
    cap_margins,
    coolant_density,
    vapour_pressure,
)

ETHYLENE = glycol_properties("ethylene_glycol")
PROPYLENE = glycol_properties("propylene_glycol")
BOTH = st.sampled_from([ETHYLENE, PROPYLENE])
PERCENT = st.floats(0.0, 60.0)


def circuit(inlet=95.0, ambient=101.325, loss=20.0, needed=0.0):
    return Circuit(exact(ambient), exact(loss), exact(inlet), exact(needed), exact(np.nan))


@given(BOTH, PERCENT, st.floats(0.0, 150.0), st.floats(0.0, 50.0), st.floats(60.0, 101.3))
def test_a_stronger_cap_never_lowers_the_boiling_point_or_the_head(
    glycol, percent, gauge, more, ambient
):
    weak, strong = (
        cap_margins("rated", exact(cap), circuit(ambient=ambient), exact(percent), glycol)
        for cap in (gauge, gauge + more)
    )
    for end in ("value", "lower", "upper"):
        assert getattr(strong.boils, end) >= getattr(weak.boils, end) - 1e-6
        assert getattr(strong.head, end) >= getattr(weak.head, end) - 1e-6
        if not np.isnan(getattr(weak.ends_at, end)):
            assert getattr(strong.ends_at, end) >= getattr(weak.ends_at, end) - 1e-6


def test_a_very_strong_cap_still_has_an_end_of_its_margin():
    found = cap_margins("rated", exact(190.0), circuit(needed=2.0), exact(60.0), ETHYLENE)
    assert found.ends_at.value > 130.0


@given(BOTH, PERCENT, st.floats(40.0, 110.0), st.floats(0.0, 10.0))
def test_a_hotter_inlet_never_leaves_more_head(glycol, percent, inlet, more):
    cool, hot = (
        cap_margins("dead", exact(0.0), circuit(inlet=at), exact(percent), glycol)
        for at in (inlet, inlet + more)
    )
    # Denser or thinner, the liquid's weight moves the head by parts of a per cent.
    assert hot.head.value <= cool.head.value + 0.01 * abs(cool.head.value) + 0.05


@given(BOTH, PERCENT, st.floats(60.0, 250.0))
def test_boiling_and_vapour_pressure_undo_each_other(glycol, percent, pressure):
    boils = boiling(exact(pressure), exact(percent), glycol)
    found = vapour_pressure(exact(boils.value), exact(percent), glycol)
    assert found.value == pytest.approx(pressure, rel=1e-5)
    assert found.lower <= pressure * 1.000001
    assert found.upper >= pressure * 0.999999


def test_the_margin_ends_where_the_head_does():
    percent, needed = exact(50.0), 3.0
    found = cap_margins("rated", exact(103.0), circuit(needed=needed), percent, ETHYLENE)
    there = cap_margins(
        "rated", exact(103.0), circuit(inlet=float(found.ends_at.value)), percent, ETHYLENE
    )
    assert float(there.head.value) == pytest.approx(needed, abs=0.1)


def test_no_head_is_left_at_any_temperature():
    found = cap_margins("dead", exact(0.0), circuit(needed=9.0), exact(50.0), ETHYLENE)
    assert np.isnan(found.ends_at.value)


def test_boiling_of_half_and_half_under_a_cap():
    # Makers' manuals: 129 C (265 F) with a cap of 103 kPa (published, in two; 125 in another).
    found = boiling(exact(101.325 + 103.4), exact(50.0), ETHYLENE)
    assert float(found.lower) - 0.8 <= 129.0 <= float(found.upper) + 0.8


def test_the_rule_for_caps_promises_too_much():
    # True rise of water's boiling point (library: CoolProp 8.0.0): 37.8 F for 15 psi.
    open_air = boiling(exact(101.325), exact(0.0), ETHYLENE)
    cap = exact(15 * 6.894757)
    true = boiling(exact(101.325 + 15 * 6.894757), exact(0.0), ETHYLENE)
    rise = 1.8 * float(true.value - open_air.value)
    assert rise == pytest.approx(37.8, abs=0.1)
    rule = boiling_by_rule(open_air, cap, 3.0)
    assert 1.8 * float(rule.value - open_air.value) == pytest.approx(45.0)


@pytest.mark.parametrize(
    ("pressure", "boils"),
    # Water by altitude, standard atmosphere: 0, 1000, 2500, 4000 m (computed here).
    [(101.325, 100.0), (89.87, 96.6), (74.68, 91.6), (61.64, 86.6)],
)
def test_water_boils_sooner_up_high(pressure, boils):
    assert float(boiling(exact(pressure), exact(0.0), ETHYLENE).value) == pytest.approx(
        boils, abs=0.06
    )


def test_worked_example_with_the_tables_own_density():
    # Computed here: 12.1 m with a density of 1011 kg/m3, an ideal mix of the pure liquids; the
    # inhibited coolant's table has 1027, so that 1.6 % less is left.
    found = cap_margins("rated", exact(103.0), circuit(), exact(50.0), ETHYLENE, "inhibited")
    assert float(found.head.value) == pytest.approx(12.1 * 1011 / 1027, abs=0.06)
    assert float(coolant_density(exact(95.0), exact(50.0), ETHYLENE, "inhibited").value) == (
        pytest.approx(1027, abs=1)
    )


def test_freezing_holds_both_bases():
    # library: CoolProp 8.0.0: -37.1 C by the inhibited fluid, -39.8 C by the pure one.
    found, uncertain = freezing(exact(50.0), ETHYLENE)
    assert float(found.value) == pytest.approx(-37.1, abs=0.05)
    assert float(found.lower) == pytest.approx(-39.8, abs=0.05)
    assert not uncertain
    _, uncertain = freezing(exact(63.0), ETHYLENE)
    assert uncertain


def test_a_column_has_each_table_as_far_as_it_goes():
    found, _ = freezing(exact([50.0, 59.0]), ETHYLENE)
    assert found.lower[0] < found.value[0]
    assert found.lower[1] == found.value[1]


@given(BOTH, st.floats(5.0, 59.0), st.floats(0.0, 5.0), st.floats(-45.0, -5.0))
def test_more_glycol_never_leaves_less_to_the_cold(glycol, percent, more, coldest):
    thin, thick = (freezing(exact(p), glycol, "inhibited")[0] for p in (percent, percent + more))
    margins = [
        cold_margin(exact(coldest), exact(0.0), one, exact(percent), glycol, "inhibited").margin
        for one in (thin, thick)
    ]
    assert margins[1].value >= margins[0].value - 1e-9


def test_what_is_needed_is_what_freezes_there():
    freezes, _ = freezing(exact(35.0), ETHYLENE, "inhibited")
    found = cold_margin(
        exact(-30.0), exact(5.0), freezes, exact(35.0), ETHYLENE, "inhibited"
    )  # fmt: skip
    again, _ = freezing(found.needed, ETHYLENE, "inhibited")
    assert float(again.value) == pytest.approx(-35.0, abs=0.01)
    assert 0.2 < float(found.ice.value) < 0.4
    assert float(found.margin.value) == pytest.approx(-30.0 - float(freezes.value))


def test_no_share_is_enough_for_the_coldest():
    freezes, _ = freezing(exact(50.0), PROPYLENE)
    found = cold_margin(exact(-60.0), exact(0.0), freezes, exact(50.0), PROPYLENE)
    assert np.isnan(found.needed.value)


def test_intervals_grow_with_what_is_not_known():
    sure = cap_margins("rated", exact(103.0), circuit(), exact(50.0), ETHYLENE)
    vague = Circuit(exact(101.325), between(10.0, 30.0), exact(95.0), exact(0.0), exact(np.nan))
    unsure = cap_margins("rated", exact(103.0), vague, exact(50.0), ETHYLENE)
    assert unsure.head.upper - unsure.head.lower > sure.head.upper - sure.head.lower
    assert unsure.head.value == pytest.approx(float(sure.head.value))
