"""Methods: standard uncertainties from what the standards state, and the steps of strips."""

from itertools import pairwise
from math import sqrt
from pathlib import Path

import pytest

from chemcheck.analytes import vocabulary
from chemcheck.errors import LimitFileError
from chemcheck.limit_library import (
    check_method_file,
    default_method,
    find_method,
    methods,
    precision_of,
)
from chemcheck.limit_library.records import EVIDENCE

METHODS = tuple(methods())

# What the methods state, and how (r and R are 2.8 standard deviations: ASTM E177, memory;
# a half width is a rectangle: JCGM 100:2008, 4.3.7).
STATED = [
    # ASTM D6660, section 12: R 0.8 C (published)
    ("laboratory_coolant", "freezing_point", 0.8 / 2.8, 0.0, "published"),
    # ASTM D6130: R 9 % for silicon, 7 laboratories (published)
    ("laboratory_coolant", "silicon", 0.0, 0.09 / 2.8, "published"),
    # ASTM D1287: R about 0.3 to 0.4 (memory)
    ("laboratory_coolant", "ph", 0.4 / 2.8, 0.0, "memory"),
    # ASTM D1121: R about 0.6 to 1.0 mL (memory)
    ("laboratory_coolant", "reserve_alkalinity", 1.0 / 2.8, 0.0, "memory"),
    # ASTM D1120: R about 3 C (memory)
    ("laboratory_coolant", "boiling_point", 3 / 2.8, 0.0, "memory"),
    # ASTM D5827: plan 10 to 15 % (memory)
    ("laboratory_coolant", "nitrite", 0.0, 0.15 / 2, "memory"),
    # ASTM D1126: r about 2 to 3 mg/L at 100 (memory)
    ("laboratory_water", "total_hardness", 3 / 2.8, 0.02, "memory"),
    # ASTM D3321, section 3.3: accurate within 1 C (published)
    ("refractometer", "freezing_point", 1 / sqrt(3), 0.0, "published"),
    # one drop is a grain per US gallon, 17.1181 mg/L (memory)
    ("drop_count_kit", "total_hardness", 17.1181 / sqrt(3), 0.0, "memory"),
]


@pytest.mark.parametrize(("method", "analyte", "absolute", "relative", "evidence"), STATED)
def test_stated_precision_is_a_standard_uncertainty(method, analyte, absolute, relative, evidence):
    found = precision_of(methods()[method], analyte)
    assert found.absolute == pytest.approx(absolute, rel=1e-5)
    assert found.relative == pytest.approx(relative)
    assert found.evidence == evidence


@pytest.mark.parametrize("name", METHODS)
@pytest.mark.parametrize("analyte", [key for key, one in vocabulary().items() if not one.words])
def test_no_number_is_without_uncertainty(name, analyte):
    method = methods()[name]
    found = precision_of(method, analyte)
    assert found.absolute > 0 or found.relative > 0 or analyte in method.steps
    # Where zero is a value like any other, a relative uncertainty alone would vanish there.
    if vocabulary()[analyte].dimension == "temperature" and analyte != "boiling_point":
        assert found.absolute > 0 or analyte in method.steps


@pytest.mark.parametrize("name", METHODS)
def test_every_precision_has_source_and_evidence(name):
    method = methods()[name]
    assert method.evidence in EVIDENCE
    assert len(method.source) > 8
    for found in method.precision.values():
        assert len(found.source) > 8
        assert found.evidence in EVIDENCE
        assert found.evidence != "published" or not found.source.startswith("memory")
        assert 0 <= found.relative < 0.5


@pytest.mark.parametrize("name", METHODS)
def test_steps_lie_in_the_possible_range_and_ascend(name):
    for analyte, pads in methods()[name].steps.items():
        low, high = vocabulary()[analyte].possible
        assert low <= pads[0]
        assert pads[-1] <= high
        assert all(first < second for first, second in pairwise(pads))


def test_steps_of_generic_strips():
    # Generic steps, common practice and memory; molybdate as MoO4, freezing in deg F.
    coolant = methods()["strip_coolant"].steps
    assert coolant["ph"] == (6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0)
    assert coolant["nitrite"] == (0, 300, 600, 800, 1200, 1600, 2400, 3200)
    assert coolant["glycol"] == (0, 15, 20, 25, 33, 40, 50, 60)
    molybdate = [pad * 1.6670 for pad in coolant["molybdenum"]]
    assert molybdate == pytest.approx([0, 80, 180, 350, 550, 750], rel=5e-5)
    fahrenheit = [pad * 1.8 + 32 for pad in coolant["freezing_point"]]
    assert fahrenheit == pytest.approx([-60, -34, -10, 0, 10, 20, 32])
    water = methods()["strip_water"]
    assert water.steps["chloride"] == (0, 30, 60, 100, 200, 500)
    assert water.steps["total_hardness"] == (0, 25, 50, 120, 250, 425)
    assert water.steps["sulfate"] == (0, 200, 400, 800, 1200, 1600)
    assert water.steps["nitrite"] == (0, 0.5, 1, 3, 10, 25)
    assert {"chloride", "total_hardness"} <= water.doubling
    assert not {"ph", "sulfate"} & water.doubling


def test_strip_pad_has_no_uncertainty_beside_its_step():
    strip = methods()["strip_coolant"]
    pad = precision_of(strip, "nitrite")
    assert (pad.absolute, pad.relative) == (0, 0)
    assert pad.evidence == "common practice"
    assert precision_of(strip, "iron").relative == 0.25


def test_detection_limits_are_canonical():
    # ASTM D6130: silicon from 5 mg/kg, with 1.07 kg/L; ASTM D512 B and D1126 (memory).
    assert precision_of(methods()["laboratory_coolant"], "silicon").detection_limit == (
        pytest.approx(5.35)
    )
    assert precision_of(methods()["laboratory_water"], "chloride").detection_limit == 8
    assert precision_of(methods()["laboratory_water"], "total_hardness").detection_limit == 5


def test_default_method_by_material():
    assert default_method("water").id == "laboratory_water"
    assert default_method("coolant").id == "laboratory_coolant"
    with pytest.raises(KeyError, match="oil"):
        default_method("oil")


@pytest.mark.parametrize(
    ("name", "material", "expected"),
    [
        ("Lab", "coolant", "laboratory_coolant"),
        ("LAB", "water", "laboratory_water"),
        ("lab", None, None),
        ("test-strip", "water", "strip_water"),
        ("Refractometer", "coolant", "refractometer"),
        ("drop count", None, "drop_count_kit"),
        ("laboratory_water", None, "laboratory_water"),
        ("laboratory_water", "coolant", None),
        ("guesswork", "water", None),
    ],
)
def test_find_method(name, material, expected):
    found = find_method(name, material)
    assert (None if found is None else found.id) == expected


def test_alias_names_one_method_for_a_material():
    for material in ("water", "coolant"):
        for method in methods().values():
            if method.material in (None, material):
                for alias in method.aliases:
                    assert find_method(alias, material) is method


BAD = """id: mine
title: Mine
kind: strip
source: my chart
evidence: published
precision:
  default: {standard_uncertainty: {relative: 0.1}}
"""


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (BAD.replace("kind: strip", "kind: guess"), "line 3, kind: 'guess' is no kind known here"),
        (BAD.replace("source: my chart\n", ""), "line 1: has no source; add `source:`"),
        (BAD.replace("default", "chloride"), "the key 'default' is missing: no reading is without"),
        (
            BAD.replace("relative: 0.1", "absolute: 0.1"),
            "line 7, precision.default: the default of all analytes has no unit",
        ),
        (BAD + "  zinc: {unit: mg/L}\n", "line 8, precision.zinc: states no uncertainty"),
        (
            BAD + "  zinc: {half_width: {absolut: 3}}\n",
            "'absolut' is no key known here; nearest: absolute",
        ),
        (
            BAD + "  zinc: {half_width: {absolute: 3}}\n",
            "line 8, precision.zinc: has no unit; add `unit:`, such as mg/L",
        ),
        (
            BAD + "steps:\n  nitrite: {unit: mg/L, pads: [0, 600, 300]}\n",
            "line 9, steps.nitrite.pads: expected at least two pads, each greater than the last",
        ),
        (
            BAD + "steps:\n  nitrite: {unit: mg/L, pads: [0, 600], doubling: perhaps}\n",
            "'perhaps' is no answer known here",
        ),
    ],
)
def test_bad_method_file(tmp_path: Path, body, message):
    path = tmp_path / "mine.yaml"
    path.write_text(body, encoding="utf-8")
    with pytest.raises(LimitFileError) as caught:
        check_method_file(path)
    assert message in str(caught.value)
    assert str(caught.value).startswith(str(path))


def test_users_own_chart(tmp_path: Path):
    path = tmp_path / "mine.yaml"
    path.write_text(
        BAD + "steps:\n  nitrite: {unit: mg/L, form: N, pads: [0, 100, 200], doubling: yes}\n",
        encoding="utf-8",
    )
    chart = check_method_file(path)
    # 3.2844 mg of nitrite a mg of its nitrogen (atomic weights).
    assert chart.steps["nitrite"] == pytest.approx((0, 328.44, 656.88), rel=5e-5)
    assert chart.doubling == {"nitrite"}
