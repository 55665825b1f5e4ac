"""A file that extends another changes what it names, and nothing else."""

import hashlib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chemcheck.errors import LimitFileError
from chemcheck.limit_library import check_file, load_set
from chemcheck.limit_library.folder import set_paths

HEAD = """id: {id}
version: "1"
title: Mine
extends: {extends}
source: my laboratory's report
evidence: published
"""


def write(folder: Path, body: str = "", *, name: str = "mine", extends: str) -> Path:
    path = folder / f"{name}.yaml"
    path.write_text(HEAD.format(id=name, extends=extends) + body, encoding="utf-8")
    return path


def bounds_of(limit_set):
    return {
        (limit.analyte, limit.basis, bound.side, bound.kind): bound
        for limit in limit_set.limits
        for bound in limit.bounds
    }


def test_changed_number_keeps_its_consequence_and_all_else(tmp_path):
    body = "limits:\n  chloride: {unit: mg/L, action: {upper: 60}}\n"
    mine = check_file(write(tmp_path, body, extends="fill_water_default"))
    default = load_set("fill_water_default")
    changed = ("chloride", None, "upper", "action")
    before, after = bounds_of(default), bounds_of(mine)
    assert after.keys() == before.keys()
    assert after[changed].value == 60
    assert after[changed].consequence == before[changed].consequence
    assert after[changed].source == "my laboratory's report"
    assert {key: bound for key, bound in after.items() if key != changed} == {
        key: bound for key, bound in before.items() if key != changed
    }
    assert mine.essential == default.essential
    assert (mine.id, mine.title, mine.use, mine.material) == (
        "mine",
        "Mine",
        "fill water",
        "water",
    )


def test_conditions_stay_unless_the_file_states_others(tmp_path):
    body = "limits:\n  ph: {action: {upper: 8.5}}\n"
    kept = check_file(write(tmp_path, body, extends="fill_water_default"))
    (ph,) = (limit for limit in kept.limits if limit.analyte == "ph")
    assert len(ph.conditions) == 2
    body = "limits:\n  ph: {when: drop}\n"
    dropped = check_file(write(tmp_path, body, extends="fill_water_default"))
    (ph,) = (limit for limit in dropped.limits if limit.analyte == "ph")
    assert ph.conditions == ()
    assert len(ph.bounds) == 2


def test_bounds_limits_and_rules_can_be_dropped(tmp_path):
    body = """limits:
  total_hardness: {action: {lower: drop}}
  sulfate: drop
rules:
  chloride_and_sulfate: drop
essential: [chloride, ph]
"""
    mine = check_file(write(tmp_path, body, extends="emulsion_oil_water"))
    assert ("total_hardness", None, "lower", "action") not in bounds_of(mine)
    assert ("total_hardness", None, "upper", "action") in bounds_of(mine)
    assert "sulfate" not in {limit.analyte for limit in mine.limits}
    assert mine.rules == ()


def test_dropping_an_analyte_drops_all_its_bases(tmp_path):
    body = "limits:\n  iron: drop\n"
    mine = check_file(write(tmp_path, body, extends="degradation_acids_and_metals"))
    assert "iron" not in {limit.analyte for limit in mine.limits}


def test_dropping_an_essential_needs_a_new_list(tmp_path):
    path = write(tmp_path, "limits:\n  sulfate: drop\n", extends="fill_water_default")
    with pytest.raises(LimitFileError, match=r"essential\[2\]: sulfate has no limit here"):
        check_file(path)


def test_chain_is_read_from_the_last_to_the_first(tmp_path):
    write(
        tmp_path,
        "limits:\n  chloride: {unit: mg/L, action: {upper: 70}}\n"
        "  sulfate: {unit: mg/L, action: {upper: 70}}\n",
        name="base",
        extends="fill_water_default",
    )
    top = write(
        tmp_path,
        "limits:\n  chloride: {unit: mg/L, action: {upper: 60}}\n",
        name="top",
        extends="base.yaml",
    )
    found = bounds_of(check_file(top))
    assert found["chloride", None, "upper", "action"].value == 60
    assert found["sulfate", None, "upper", "action"].value == 70
    assert found["total_hardness", None, "upper", "action"].value == 170


def test_path_in_extends_starts_from_the_files_own_folder(tmp_path, monkeypatch):
    (tmp_path / "inner").mkdir()
    write(tmp_path, name="base", extends="fill_water_default")
    top = write(tmp_path / "inner", name="top", extends="../base.yaml")
    monkeypatch.chdir("/")
    assert check_file(top).essential == load_set("fill_water_default").essential


def test_digest_is_that_of_the_bytes_of_the_whole_chain(tmp_path):
    base = set_paths()["fill_water_default"].read_bytes()
    assert load_set("fill_water_default").sha256 == hashlib.sha256(base).hexdigest()
    path = write(tmp_path, extends="fill_water_default")
    expected = hashlib.sha256(path.read_bytes() + base).hexdigest()
    assert check_file(path).sha256 == expected


def test_ring_over_a_link_is_found(tmp_path):
    write(tmp_path, name="one", extends="link.yaml")
    (tmp_path / "link.yaml").symlink_to(tmp_path / "one.yaml")
    with pytest.raises(LimitFileError, match="extends itself"):
        check_file(tmp_path / "one.yaml")


def test_contradiction_between_files_is_found_where_the_later_one_stands(tmp_path):
    path = write(tmp_path, "limits:\n  ph: {action: {lower: 9.5}}\n", extends="fill_water_default")
    with pytest.raises(LimitFileError, match=r"mine\.yaml, line 8, limits\.ph\.action\.lower"):
        check_file(path)


numbers = st.floats(0, 1000, allow_nan=False).map(lambda value: round(value, 3))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(
    changes=st.dictionaries(
        st.sampled_from(["chloride", "sulfate", "total_dissolved_solids", "nitrate"]),
        numbers,
        min_size=1,
    )
)
def test_only_what_a_file_names_changes(tmp_path, changes):
    body = "limits:\n" + "".join(
        f"  {key}:\n    unit: mg/L\n    action: {{upper: {value}}}\n    consequence: It harms.\n"
        for key, value in changes.items()
    )
    mine = bounds_of(check_file(write(tmp_path, body, extends="fill_water_default")))
    default = bounds_of(load_set("fill_water_default"))
    for key, value in changes.items():
        assert mine.pop((key, None, "upper", "action")).value == value
        default.pop((key, None, "upper", "action"), None)
    assert mine == default


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=20)
@given(depth=st.integers(1, 6), value=numbers)
def test_a_file_that_adds_nothing_changes_nothing(tmp_path, depth, value):
    body = f"limits:\n  chloride: {{unit: mg/L, action: {{upper: {value}}}}}\n"
    path = write(tmp_path, body, name="level0", extends="fill_water_default")
    first = check_file(path)
    for level in range(1, depth):
        path = write(tmp_path, name=f"level{level}", extends=f"level{level - 1}.yaml")
    last = check_file(path)
    assert last.limits == first.limits
    assert last.rules == first.rules
    assert (last.sha256 == first.sha256) is (depth == 1)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(
    case=st.sampled_from(
        [
            # factors to mg/L as CaCO3: limits of the trade's units, by their definitions
            ("total_hardness", "dH", 17.848),
            ("total_hardness", "fH", 10.0),
            ("total_hardness", "gpg", 17.1181),
            ("total_hardness", "mmol/L", 100.086),
            ("nitrate", "mg/L as N", 4.4266),
            ("nitrite", "mg/L as N", 3.2844),
            ("silicon", "mg/L as SiO2", 0.46744),
            ("molybdenum", "mg/L as MoO4", 0.59989),
            ("chloride", "ug/L", 0.001),
            ("chloride", "g/L", 1000.0),
            ("conductivity", "mS/cm", 1000.0),
        ]
    ),
    value=st.floats(0.01, 100).map(lambda value: round(value, 4)),
)
def test_bound_in_any_unit_is_held_in_the_canonical_one(tmp_path, case, value):
    analyte, unit, factor = case
    path = tmp_path / "mine.yaml"
    path.write_text(
        f"""id: mine
version: "1"
title: Mine
use: fill water
applies_to: {{material: water}}
source: my laboratory's report
evidence: published
limits:
  {analyte}:
    unit: {unit}
    action: {{upper: {{value: {value}, spread: [0, {value * 2}]}}}}
    consequence: It harms.
""",
        encoding="utf-8",
    )
    ((bound,),) = (limit.bounds for limit in check_file(path).limits)
    assert bound.value == pytest.approx(value * factor, rel=2e-5)
    assert bound.spread == pytest.approx((0, 2 * value * factor), rel=2e-5)


def test_bound_by_mass_names_the_density_that_turned_it(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text(
        """id: mine
version: "1"
title: Mine
use: new coolant
applies_to: {material: coolant}
source: my specification
evidence: published
density: {value: 1073, unit: kg/m3, source: my table, evidence: library}
limits:
  chloride: {unit: mg/kg, action: {upper: 25}, consequence: It harms.}
  sulfate: {unit: mg/L, action: {upper: 25}, consequence: It harms.}
""",
        encoding="utf-8",
    )
    chloride, sulfate = (limit.bounds[0] for limit in check_file(path).limits)
    assert chloride.value == pytest.approx(25 * 1.073)
    assert chloride.source == (
        "my specification; mg/kg turned into mg/L with 1.073 kg/L (my table; library)"
    )
    assert (sulfate.value, sulfate.source) == (25, "my specification")


def test_limit_for_one_technology_within_a_set(tmp_path):
    body = """limits:
  nitrite:
    applies_to: {technology: [heavy_duty_additive, nitrited_organic_acid]}
    unit: mg/L
    action: {lower: 300}
    consequence: Liners pit.
  lactate:
    applies_to: {glycol: propylene_glycol}
    unit: mg/L
    warning: {upper: 500}
    consequence: Propylene glycol is oxidising.
partial: Technology is not known.
"""
    limits = {
        limit.analyte: limit
        for limit in check_file(write(tmp_path, body, extends="coolant_in_service")).limits
    }
    assert limits["nitrite"].technologies == {"heavy_duty_additive", "nitrited_organic_acid"}
    assert limits["lactate"].glycols == {"propylene_glycol"}
    assert limits["chloride"].technologies == frozenset()
