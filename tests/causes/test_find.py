"""Each pattern is recognised from readings moved as its source says."""

import pytest

from chemcheck.causes import find_causes
from tests.builders import readings
from tests.causes.cases import CASES, HEAVY_DUTY, Case, causes_of


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.cause)
def test_pattern_comes_first(case: Case) -> None:
    told = causes_of(case).of_sample(1)
    first = [each.cause for each in told[: case.within]]
    assert case.cause in first, [(each.cause, each.weight_of_evidence) for each in told]
    assert told[0].raised


def test_fill_that_did_not_move_raises_nothing() -> None:
    same = Case("none", {}, "the same sample twice, no source needed")
    assert not any(each.raised for each in causes_of(same).of_sample(1))
    assert not causes_of(same).of_sample(0)


def test_two_causes_hold_side_by_side() -> None:
    case = Case(
        "both",
        {"glycolate": 1500.0, "formate": 300.0, "oxalate": 50.0, "ph": 8.7,
         "lead": 60.0, "tin": 15.0},
        "oxidation (ion-chromatography study) and solder (trade pages) at once; sizes memory",
    )  # fmt: skip
    raised = [each.cause for each in causes_of(case).of_sample(1) if each.raised]
    assert set(raised[:2]) == {"ethylene_glycol_oxidation", "solder_attack"}


def test_second_cause_needs_more_than_what_the_first_explains() -> None:
    # Sulfate with a gas leak is the leak's own: blow-by alone would be raised by it.
    leak = next(case for case in CASES if case.cause == "combustion_gas_leak")
    causes = causes_of(leak)
    sulfate = [one.key for one in causes.plan.causes].index("sulfate_from_fuel_or_blow_by")
    assert causes.ranked(slice(1, 2)).weight[sulfate, 0] > 1
    assert [each.cause for each in causes.of_sample(1) if each.raised] == [leak.cause]


def test_water_has_no_causes() -> None:
    assert find_causes(readings({"ph": [7.0]}, material=["water"])) is None


def test_dilution_is_taken_out_before_depletion_is_seen() -> None:
    # All factors equal: nothing is used up. Algebra of mixing.
    case = next(case for case in CASES if case.cause == "dilution_with_water")
    told = causes_of(case).of_sample(1)
    assert [each.cause for each in told if each.raised] == ["dilution_with_water"]


def test_without_any_reference_the_wider_range_is_named() -> None:
    alone = readings(
        {key: [value] for key, value in {**HEAVY_DUTY, "glycolate": 2500.0}.items()},
        technology=["heavy_duty_additive"],
    )
    found = find_causes(alone)
    assert found is not None
    first = found.of_sample(0)[0]
    assert first.cause == "ethylene_glycol_oxidation"
    assert any("fresh coolants of its technology" in said for said in first.evidence_for)
