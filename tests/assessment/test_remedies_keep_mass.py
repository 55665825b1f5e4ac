"""Remedies carried out in a vessel as their steps say: it ends up where they foretold."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck import check
from chemcheck.remedies.estimate import between, exact
from tests.builders import readings
from tests.remedies.mixing import Vessel

# The concentrate's glycol that the label does not say: 92 to 97 % by mass (memory), in vol%.
STRENGTHS = (91.5, 94.0, 96.5)
_LITRES = re.compile(r"([\d.]+) L of (concentrate|deionised water)")


def remedies(glycol, chloride, system, drains):
    read = readings(
        {
            "ph:neat": [9.0],
            "glycol:by_volume": [glycol],
            "nitrite": [1800.0],
            "chloride": [chloride],
            "sulfate": [20.0],
        },
        technology="heavy_duty_additive",
        unit_id="U1",
    )
    answer = check(read, system=exact(system), drains=exact(drains))
    return [one for one in answer.remedies.of_sample(0) if "Rinse" not in " ".join(one.steps)]


def carried_out(remedy, system, glycol, strength):
    """Do what the steps say, litre for litre."""
    vessel = Vessel.of(system, glycol=glycol)
    said = " ".join(remedy.steps)
    drain = float(re.search(r"drain ([\d.]+) L", said)[1])
    fills = {what: float(litres) for litres, what in _LITRES.findall(said)}
    passes, last = 1, drain
    if more := re.search(
        r"do the same (once|\d+ times) more.*? the last time with ([\d.]+) L", said
    ):
        passes = 2 if more[1] == "once" else 1 + int(more[1].split()[0])
        last = float(more[2])
    for number in range(passes):
        litres = last if number == passes - 1 else drain
        vessel.drain(litres)
        share = litres / drain
        vessel.add(share * fills.get("concentrate", 0.0), glycol=strength)
        vessel.add(litres - share * fills.get("concentrate", 0.0))
    return vessel


@settings(max_examples=40, deadline=None)
@given(
    glycol=st.one_of(st.floats(15.0, 30.0), st.floats(67.0, 80.0)),
    chloride=st.sampled_from([20.0, 150.0, 180.0]),
    system=st.floats(8.0, 60.0),
    drains=st.floats(0.35, 1.0),
)
def test_what_is_foretold_is_what_a_vessel_comes_to(glycol, chloride, system, drains):
    for remedy in remedies(glycol, chloride, system, drains * system):
        [found] = [one for one in remedy.predicted if one.analyte == "glycol"]
        levels = [carried_out(remedy, system, glycol, s).level("glycol") for s in STRENGTHS]
        # Litres are told with three digits, which is worth up to 0.5 % of the glycol.
        assert found.lower - 0.5 <= min(levels)
        assert max(levels) <= found.upper + 0.5


def changed(remedy, system, strength):
    """Drain, rinse and refill as the steps say, litre for litre; chloride is the old fill's."""
    vessel = Vessel.of(system, glycol=50.0, chloride=2000.0)
    said = " ".join(remedy.steps)
    drain = float(re.search(r"drain all that drains: ([\d.]+) L", said)[1])
    for _ in range(int(re.search(r"Rinse (\d+) times", said)[1])):
        vessel.drain(drain)
        vessel.add(drain)
    fills = {what: float(litres) for litres, what in _LITRES.findall(said)}
    vessel.drain(drain)
    vessel.add(fills["concentrate"], glycol=strength)
    vessel.add(drain - fills["concentrate"])
    if more := re.search(
        r"mix, drain ([\d.]+) L(?:, (\d+) times in all, the last time ([\d.]+))?", said
    ):
        volumes = [float(more[1])]
        if more[2]:
            volumes = [*volumes * (int(more[2]) - 1), float(more[3])]
        for litres in volumes:
            vessel.drain(litres)
            vessel.add(litres, glycol=strength)
    return vessel


@pytest.mark.parametrize("drains", [2.0, 5.0, 8.0, 11.5])
@pytest.mark.parametrize("ends", [(12.0, 12.0), (11.5, 13.0)])
def test_a_change_comes_to_what_is_foretold(drains, ends):
    cells = {"ph:neat": [9.0], "glycol:by_volume": [50.0], "chloride": [2000.0]}
    read = readings(cells, technology="heavy_duty_additive", unit_id="U1")
    [remedy] = check(
        read, system=between(*ends, value=12.0), drains=exact(drains)
    ).remedies.of_sample(0)  # fmt: skip
    found = {one.analyte: one for one in remedy.predicted}
    for system in ends:
        for strength in STRENGTHS:
            vessel = changed(remedy, system, strength)
            assert found["glycol"].lower - 0.6 <= vessel.level("glycol")
            assert vessel.level("glycol") <= found["glycol"].upper + 0.6
            # What the new coolant brings of chloride comes on top.
            assert vessel.level("chloride") <= found["chloride"].upper
    if ends[0] == ends[1]:
        assert found["chloride"].lower <= vessel.level("chloride") + 0.1


def test_ready_mix_is_named_with_the_percent_that_it_leads_to():
    # Worked example (computed here): 8 of 12 L drain: ready mix of 50 % ends up at 33 %.
    cells = {"ph:neat": [9.0], "glycol:by_volume": [50.0], "chloride": [2000.0]}
    read = readings(cells, technology="heavy_duty_additive", unit_id="U1")
    [remedy] = check(read, system=exact(12.0), drains=exact(8.0)).remedies.of_sample(0)
    assert "No ready mix of 50 %: it would end up at 33.3 %" in " ".join(remedy.steps)
    assert any("33.3 % of its salts stays in what is inside" in need for need in remedy.needs)


def test_several_passes_are_read_as_they_are_meant():
    [remedy] = remedies(20.0, 20.0, 12.0, 2.5)
    assert "times more" in " ".join(remedy.steps)
    level = carried_out(remedy, 12.0, 20.0, 94.0).level("glycol")
    assert level == pytest.approx(50.0, abs=0.5)
