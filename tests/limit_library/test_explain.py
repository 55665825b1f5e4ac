"""Limit sets in words."""

import pytest

from chemcheck.limit_library import explain, load_set, requirement_words, set_ids
from chemcheck.limit_library.records import Combination, Comparison


def rows_of(set_id, key):
    return [row for row in explain(load_set(set_id)) if row.key == key]


@pytest.mark.parametrize("set_id", set_ids())
def test_every_bound_and_rule_has_a_row(set_id):
    limit_set = load_set(set_id)
    rows = explain(limit_set)
    assert {row.key for row in rows} == {
        *(limit.analyte for limit in limit_set.limits),
        *(rule.id for rule in limit_set.rules),
    }
    assert len(set(rows)) == len(rows)
    for row in rows:
        assert row.source
        assert row.evidence
        assert row.consequence
        assert row.requirement.startswith(("at least ", "at most ")) or row.key in {
            rule.id for rule in limit_set.rules
        }


def test_bases_alike_share_a_row():
    warning, action = sorted(
        rows_of("degradation_acids_and_metals", "iron"), key=lambda row: row.kind, reverse=True
    )
    assert warning.requirement == "at most 10 mg/L"
    assert warning.basis == "dissolved or undigested; acid digested"
    assert action.quoted == "the source quotes 25 to 30 mg/L; sources lie from 5 to 50 mg/L"


def test_words_of_bounds():
    (silicon,) = rows_of("hybrid_in_service", "silicon")
    assert silicon.requirement == "at least 50 % of the fresh fill"
    assert not silicon.essential
    (oil, _) = rows_of("degradation_acids_and_metals", "oil")
    assert oil.requirement in ("at most none", "at most trace")
    lower, upper = rows_of("fill_water_default", "ph")
    assert (lower.requirement, upper.requirement) == ("at least 5.5", "at most 9")
    assert lower.essential
    assert lower.applies.startswith("not judged where conductivity at 25 C is below 20 uS/cm (")
    assert "; undecided where conductivity at 25 C is below 100 uS/cm (memory" in lower.applies
    (density, _) = rows_of("new_light_duty_ethylene_glycol", "relative_density")
    assert density.requirement == "at least 1.11"


def test_words_of_rules():
    (rule,) = rows_of("heavy_duty_additive_in_service", "nitrite_with_molybdate")
    assert rule.requirement == (
        "nitrite at least 800 mg/L or (nitrite + 1.667 × molybdenum at least 780 mg/L and "
        "nitrite at least 300 mg/L and 1.667 × molybdenum at least 300 mg/L)"
    )
    (ratio,) = rows_of("cooling_system_inspection", "cap_opens_early")
    assert ratio.requirement == (
        "pressure at which the cap opens / pressure stamped on the cap at least 0.9"
    )


def test_all_of_inside_any_of_is_bracketed():
    part = Comparison("sum", (("zinc", 1.0),), "upper", 1.0, "mg/L")
    inner = Combination("any_of", (part, part))
    assert requirement_words(Combination("all_of", (part, inner))) == (
        "zinc at most 1 mg/L and (zinc at most 1 mg/L or zinc at most 1 mg/L)"
    )
