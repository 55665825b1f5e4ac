"""Every number that ships, held against a table typed from the sources and not from the files.

Where the sources give a number by mass the table holds the density it is turned with.
"""

import csv
from itertools import groupby
from pathlib import Path

import pytest

from chemcheck.analytes import to_canonical, vocabulary
from chemcheck.limit_library import load_set, set_ids
from chemcheck.limit_library.folder import set_paths
from chemcheck.limit_library.located_yaml import read_yaml
from chemcheck.limit_library.records import EVIDENCE, Comparison

TABLE = Path(__file__).parent.parent / "published" / "limits.csv"
ROWS = list(csv.DictReader(TABLE.read_text("utf-8").splitlines()))


def canonical(row) -> float:
    value, unit = float(row["value"]), row["unit"]
    if row["analyte"] not in vocabulary() or unit in ("of fresh", "rank"):
        return value
    density = float(row["density"]) if row["density"] else None
    return to_canonical(row["analyte"], unit, density=density)(value)


def shipped(set_id):
    """Return every bound and rule of a set, by analyte or rule id, side and kind."""
    limit_set = load_set(set_id)
    found = {}
    for limit in limit_set.limits:
        for bound in limit.bounds:
            place = (limit.analyte, bound.side, bound.kind)
            found.setdefault(place, set()).add((bound.value, bound.of_fresh, bound.evidence))
    for rule in limit_set.rules:
        if isinstance(rule.requirement, Comparison):
            place = (rule.id, rule.requirement.side, rule.kind)
            found[place] = {(rule.requirement.value, False, rule.evidence)}
    return found


def extended(set_id):
    whole, _ = read_yaml(set_paths()[set_id])
    parent = whole.mapping().get("extends")
    return {} if parent is None else shipped(parent.text())


@pytest.mark.parametrize("row", ROWS, ids=lambda row: "-".join(list(row.values())[:4]))
def test_shipped_number_is_the_published_one(row):
    found = shipped(row["set"])[row["analyte"], row["side"], row["kind"]]
    # Bases that are kept apart have the same bounds.
    assert len(found) == 1
    ((value, of_fresh, evidence),) = found
    assert value == pytest.approx(canonical(row), rel=1e-9, abs=1e-12)
    assert of_fresh is (row["unit"] == "of fresh")
    assert evidence == row["evidence"]


@pytest.mark.parametrize("set_id", set_ids())
def test_no_number_ships_that_the_table_does_not_hold(set_id):
    typed = {(row["analyte"], row["side"], row["kind"]) for row in ROWS if row["set"] == set_id}
    inherited = {place for place, found in extended(set_id).items()}
    assert set(shipped(set_id)) - inherited <= typed
    assert typed <= set(shipped(set_id))


def test_table_holds_every_set_and_no_row_twice():
    assert {row["set"] for row in ROWS} == set(set_ids())
    keys = sorted(tuple(row[name] for name in ("set", "analyte", "side", "kind")) for row in ROWS)
    assert all(len(list(group)) == 1 for _, group in groupby(keys))


@pytest.mark.parametrize("set_id", set_ids())
def test_every_limit_has_a_source_evidence_and_consequence(set_id):
    limit_set = load_set(set_id)
    numbers = [bound for limit in limit_set.limits for bound in limit.bounds]
    conditions = [
        condition
        for holder in (*limit_set.limits, *limit_set.rules)
        for condition in holder.conditions
    ]
    assert numbers
    for number in (*numbers, *limit_set.rules):
        assert len(number.source) > 8
        assert number.evidence in EVIDENCE
        assert number.consequence.endswith(".")
        assert ". " not in number.consequence.replace("e.g. ", "")
    for condition in conditions:
        assert len(condition.source) > 8
        assert condition.evidence in EVIDENCE


@pytest.mark.parametrize("set_id", set_ids())
def test_source_says_what_its_evidence_is(set_id):
    limit_set = load_set(set_id)
    for number in [
        *(bound for limit in limit_set.limits for bound in limit.bounds),
        *limit_set.rules,
    ]:
        if number.evidence == "published":
            assert not number.source.startswith(("memory", "common practice"))
        if number.evidence == "memory":
            assert number.source.startswith("memory:") or "second-hand" in number.source
        if number.evidence == "common practice":
            assert number.source.startswith("common practice, no source")


def test_fill_water_default_is_the_family_that_all_sources_print():
    # US Army TM 5-3895-383-24, Table 15, gives the same limits in grains per US gallon,
    # rounded: 2.4 chloride, 5.9 sulfate, 20 total solids, 10 hardness.
    limits = {limit.analyte: limit for limit in load_set("fill_water_default").limits}
    grains = {
        "chloride": 2.4,
        "sulfate": 5.9,
        "total_dissolved_solids": 20,
        "total_hardness": 10,
    }
    for analyte, in_grains in grains.items():
        (bound,) = limits[analyte].bounds
        assert bound.value == pytest.approx(in_grains * 64.79891 / 3.785411784, rel=0.03)


def test_ph_of_pure_water_does_not_decide():
    limits = {limit.analyte: limit for limit in load_set("fill_water_default").limits}
    conditions = limits["ph"].conditions
    assert [(c.analyte, c.below, c.above, c.then) for c in conditions] == [
        ("conductivity", 20, None, "not judged"),
        ("conductivity", 100, None, "undecided"),
    ]
    assert {c.evidence for c in conditions} == {"common practice", "memory"}


@pytest.mark.parametrize(
    ("set_id", "rule_id", "unit", "alone", "together", "each"),
    [
        # memory: ASTM D6210, of the 50 vol% mix, by mass
        ("new_heavy_duty_fully_formulated", "liner_protection", "mg/kg", 1200, 780, 300),
        ("new_prediluted_heavy_duty", "liner_protection", "mg/kg", 1200, 780, 300),
        # memory: working value, the rest as above
        ("heavy_duty_additive_in_service", "nitrite_with_molybdate", "mg/L", 800, 780, 300),
    ],
)
def test_nitrite_alone_or_with_molybdate(set_id, rule_id, unit, alone, together, each):
    (rule,) = (rule for rule in load_set(set_id).rules if rule.id == rule_id)
    assert rule.requirement.kind == "any_of"
    first, second = rule.requirement.parts
    assert (first.side, first.value, first.unit) == ("lower", alone, unit)
    assert [key for key, _ in first.terms] == ["nitrite"]
    assert second.kind == "all_of"
    assert [part.value for part in second.parts] == [together, each, each]
    assert [[key for key, _ in part.terms] for part in second.parts] == [
        ["nitrite", "molybdenum"],
        ["nitrite"],
        ["molybdenum"],
    ]
    nitrite, molybdenum = (factor for _, factor in second.parts[0].terms)
    # 1.6670 mg of molybdate a mg of molybdenum (atomic weights); CoolProp 8.0.0 gives
    # 1.0733 kg/L for 50 vol% ethylene glycol at 20 C.
    assert molybdenum / nitrite == pytest.approx(1.6670, abs=5e-5)
    assert nitrite == pytest.approx(1 / 1.0733 if unit == "mg/kg" else 1.0)


def test_ratios_of_inspection_compare_like_with_like():
    rules = {rule.id: rule.requirement for rule in load_set("cooling_system_inspection").rules}
    assert rules["cap_opens_early"].terms == (("cap_release_pressure", 1), ("cap_rating", 1))
    assert rules["system_leaks"].terms == (
        ("system_pressure_held", 1),
        ("system_pressure_rating", 1),
    )
    assert all(one.kind == "ratio" for one in rules.values())


def test_calcium_and_magnesium_add_up_as_calcium_carbonate():
    rules = {rule.id: rule.requirement for rule in load_set("coolant_in_service").rules}
    # 1 mg/L of Ca and Mg as CaCO3: 2.4973 and 4.1179 (atomic weights 2021, abridged).
    (_, calcium), (_, magnesium) = rules["calcium_and_magnesium"].terms
    assert calcium == pytest.approx(2.4973, abs=5e-5)
    assert magnesium == pytest.approx(4.1179, abs=5e-5)


@pytest.mark.parametrize(
    ("set_id", "analyte", "side", "quoted"),
    [
        ("coolant_in_service", "glycol", "lower", (30, 33)),
        ("coolant_in_service", "glycol", "upper", (65, 67)),
        ("coolant_in_service", "sulfate", "upper", (200, 500)),
        ("coolant_in_service", "total_hardness", "upper", (100, 170)),
        ("degradation_acids_and_metals", "glycolate", "upper", (1000, 2000)),
        ("degradation_acids_and_metals", "iron", "upper", (25, 30)),
        ("degradation_acids_and_metals", "aluminium", "upper", (10, 15)),
        ("degradation_acids_and_metals", "lead", "upper", (20, 30)),
        ("nitrited_organic_acid_in_service", "nitrite", "lower", (200, 300)),
        ("organic_acid_in_service", "carboxylates", "lower", (0.75, 0.8)),
        ("drinking_water_us_secondary", "aluminium", "upper", (0.05, 0.2)),
        ("purified_iso3696_grade_3", "ph", "upper", (7.0, 7.5)),
    ],
)
def test_stricter_end_of_a_quoted_range_is_the_bound(set_id, analyte, side, quoted):
    bounds = [
        bound
        for limit in load_set(set_id).limits
        if limit.analyte == analyte
        for bound in limit.bounds
        if bound.side == side and bound.kind == "action"
    ]
    assert bounds
    for bound in bounds:
        assert bound.quoted == quoted
        assert bound.value == (min(quoted) if side == "upper" else max(quoted))


@pytest.mark.parametrize(
    ("analyte", "spread"),
    [
        ("glycolate", (300, 2500)),
        ("formate", (100, 1000)),
        ("acetate", (100, 500)),
        ("oxalate", (20, 200)),
        ("iron", (5, 50)),
        ("copper", (3, 20)),
        ("aluminium", (3, 30)),
        ("lead", (5, 50)),
        ("zinc", (5, 20)),
        ("tin", (5, 20)),
    ],
)
def test_spread_of_practice_is_shown_with_degradation_limits(analyte, spread):
    for limit in load_set("degradation_acids_and_metals").limits:
        if limit.analyte == analyte:
            (action,) = (bound for bound in limit.bounds if bound.kind == "action")
            assert action.spread == spread


@pytest.mark.parametrize("set_id", [name for name in set_ids() if name.endswith("_in_service")])
def test_coolant_in_service_is_judged_for_acids_and_metals_too(set_id):
    judged = {limit.analyte for limit in load_set(set_id).limits}
    assert {"ph", "glycol", "chloride", "sulfate", "total_hardness", "azoles"} <= judged
    assert {"glycolate", "formate", "acetate", "oxalate", "iron", "copper", "lead"} <= judged


def test_coolant_of_unknown_technology_can_never_be_found_fit():
    unknown = load_set("coolant_in_service")
    judged = {limit.analyte for limit in unknown.limits}
    assert unknown.partial
    assert set(unknown.essential) - judged == {"nitrite"}
    assert "reserve_alkalinity" not in judged


@pytest.mark.parametrize("set_id", set_ids())
def test_essentials_can_be_judged_without_a_fresh_fill(set_id):
    limit_set = load_set(set_id)
    if limit_set.partial:
        return
    absolute = {
        limit.analyte
        for limit in limit_set.limits
        if any(not bound.of_fresh for bound in limit.bounds)
    }
    assert set(limit_set.essential) <= absolute
