"""Bounds of limit sets as limits on the share of tap water."""

import numpy as np
import pytest

from chemcheck.limit_library import load_set
from chemcheck.remedies.deionised_water import AssumedValue, deionised_water
from chemcheck.remedies.water_blend import blend_with_deionised, linear_bounds

# The worked example of tests/remedies/test_deionised_share.py.
EXAMPLE = {
    "chloride": 85.0,
    "sulfate": 120.0,
    "total_hardness": 310.0,
    "total_dissolved_solids": 520.0,
}


def reader(values: dict[str, float]):
    """Build a reader of one water's exact readings."""

    def reading_of(key: str, basis: str | None):
        value = np.array([values.get(key, np.nan)])
        return value, value

    return reading_of


def test_worked_example_against_the_default_set():
    blend = blend_with_deionised(
        load_set("fill_water_default"), deionised_water(), reader(EXAMPLE), 1
    )
    assert blend.share.largest[0] == pytest.approx(39 / 84)
    assert blend.bounds[blend.share.largest_by[0]].key == "chloride"
    assert blend.known[0]
    held = dict(zip(blend.analytes, np.round(blend.upper[0]), strict=True))
    assert held == {
        "chloride": 40, "sulfate": 56, "total_hardness": 145, "total_dissolved_solids": 244,
    }  # fmt: skip


def test_ph_is_left_out_and_said():
    _, left_out = linear_bounds(load_set("fill_water_default"), deionised_water())
    assert left_out == ("pH does not mix in proportion: measure it in the blend",)


def test_a_missing_essential_leaves_the_share_unknown():
    without = {key: value for key, value in EXAMPLE.items() if key != "sulfate"}
    blend = blend_with_deionised(
        load_set("fill_water_default"), deionised_water(), reader(without), 1
    )
    assert not blend.known[0]
    solids = {key: value for key, value in EXAMPLE.items() if key != "total_dissolved_solids"}
    assert blend_with_deionised(
        load_set("fill_water_default"), deionised_water(), reader(solids), 1
    ).known[0]


OWN = """\
id: own
version: "1"
title: own
use: fill water
applies_to: {material: water}
source: this test
evidence: memory
limits:
  chloride: {unit: mg/L, action: {upper: 100}, consequence: It pits.}
rules:
  salts: {title: salts, sum: [chloride, sulfate], unit: mg/L, upper: 120, consequence: It pits.}
  mix: {title: mix, ratio: [chloride, sulfate], upper: 2, consequence: It pits.}
"""


def test_a_sum_mixes_in_proportion_and_a_ratio_does_not(tmp_path):
    path = tmp_path / "own.yaml"
    path.write_text(OWN)
    pure = {key: AssumedValue(key, 0.0, 0.0, "none", "memory") for key in ("chloride", "sulfate")}
    water = {"chloride": 90.0, "sulfate": 150.0}
    blend = blend_with_deionised(load_set(path), pure, reader(water), 1)
    assert blend.share.largest[0] == pytest.approx(120 / 240)
    assert blend.bounds[blend.share.largest_by[0]].key == "salts"
    assert blend.left_out == ("mix does not mix in proportion",)


def test_too_soft_and_too_hard():
    # 2 to 10 German degrees: 35.7 to 178.5 mg/L as CaCO3 (limits for emulsion oil).
    water = {"total_hardness": 300.0, "chloride": 10.0, "sulfate": 10.0}
    blend = blend_with_deionised(
        load_set("emulsion_oil_water"), deionised_water(), reader(water), 1
    )
    hard = {bound.side: bound.value for bound in blend.bounds if bound.key == "total_hardness"}
    assert hard["lower"] == pytest.approx(36, abs=0.5)
    assert blend.share.smallest[0] == pytest.approx(hard["lower"] / 300)
    assert blend.share.largest[0] == pytest.approx((hard["upper"] - 2) / (300 - 2))
