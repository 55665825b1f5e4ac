"""Blends: mass is conserved, the pH's uncertainty counts, and what was set aside is handed on."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.assessment.blend import blend
from chemcheck.assessment.blend_sources import read_waters
from chemcheck.remedies.source_text import read_source

NAMES = ("chloride", "sulfate", "sodium", "total_hardness")


def waters(*texts: str):
    return read_waters([read_source(text, "--source") for text in texts])


def source(name: str, amounts: tuple[float, ...]) -> str:
    chloride, sulfate, sodium, hardness = amounts
    return f"{name}=pH=7.5; Cl={chloride}; SO4={sulfate}; Na={sodium}; hardness={hardness} mg/L"


@settings(max_examples=10)
@given(
    st.lists(
        st.tuples(*[st.integers(0, 90)] * 4),
        min_size=2,
        max_size=4,
    ),
    st.data(),
)
def test_blending_conserves_mass(amounts, data):
    names = [f"w{k}" for k in range(len(amounts))]
    parts = [data.draw(st.integers(1, 9)) for _ in names]
    shares = dict(zip(names, np.array(parts) / sum(parts), strict=True))
    answer = blend(
        waters(*(source(n, a) for n, a in zip(names, amounts, strict=True))), shares=shares
    )
    held = {column.analyte: one for column, one in answer.stated.held.items()}
    for place, key in enumerate(NAMES):
        # A tenth of each litre brings a tenth of what the litre holds.
        mass = sum(p * a[place] for p, a in zip(parts, amounts, strict=True)) / sum(parts)
        assert held[key].lower == held[key].upper == pytest.approx(mass)


def test_alkalinity_of_a_mixture_is_that_of_its_parts():
    answer = blend(
        waters(
            "a=pH=7.5; hardness=300 mg/L; alkalinity=240 mg/L; Cl=30; SO4=50",
            "b=pH=6.5; hardness=20 mg/L; alkalinity=15 mg/L; Cl=5; SO4=5",
        ),
        shares={"a": 0.4, "b": 0.6},
    )
    held = {column.analyte: one for column, one in answer.stated.held.items()}
    assert held["total_alkalinity"].upper == pytest.approx(0.4 * 240 + 0.6 * 15)
    # Between the waters' own pH where it is mixed without air.
    assert 6.5 < answer.stated.ph.closed[0] <= answer.stated.ph.closed[1] < 7.6
    assert answer.stated.held[next(c for c in answer.stated.held if c.analyte == "ph")].u > 0


def test_a_strip_is_held_at_its_unfavourable_end():
    exact, strip = (
        blend(waters(f"tap=pH=7.5; hardness={text} mg/L; Cl=10; SO4=10", "deionised"))
        for text in ("250", "250-425")
    )
    assert strip.tap_share_max < exact.tap_share_max
    assert strip.tap_share_max == pytest.approx((170 - 2) / (425 - 2))


def test_a_file_keeps_what_was_set_aside(tmp_path):
    path = tmp_path / "well.csv"
    path.write_text(
        "Sample No,pH,Total hardness (mg/L as CaCO3),Cl (mg/L),SO4 (mg/L),Na (mg/L)\n"
        "1,7.4,200,30,40,oops\n"
    )
    found = waters(f"well={path}", "deionised")
    assert len(found.taken[0].rejected) == 1
    assert blend(found).possible


def test_dissolved_solids_by_conductivity_limit_the_share():
    # 900 uS/cm may be 810 mg/L at the factor 0.9 (memory); deionised water brings 5.
    answer = blend(
        waters("tap=pH=7.5; hardness=100 mg/L; Cl=10; SO4=10; conductivity=900", "deionised")
    )
    assert answer.tap_controlled_by.key == "total_dissolved_solids"
    assert answer.tap_share_max == pytest.approx((340 - 5) / (810 - 5))


def test_a_bound_that_not_every_water_has_a_reading_of_is_said():
    answer = blend(
        waters(
            "a=pH=7.5; hardness=100 mg/L; Cl=10; SO4=10; TDS=200",
            "b=pH=7.5; hardness=100 mg/L; Cl=10; SO4=10",
        )
    )
    assert any("source b has no reading of it" in line for line in answer.left_out)
