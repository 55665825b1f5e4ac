"""What is assumed of deionised water, and files that say otherwise."""

import pytest

from chemcheck.analytes import vocabulary
from chemcheck.errors import LimitFileError
from chemcheck.limit_library import load_set
from chemcheck.remedies.deionised_water import deionised_water, read_deionised_water

GOOD = """\
version: "1"
values:
  total_hardness: {range: [0, 0.1], unit: dH, source: a still, evidence: memory}
"""


def test_values_are_brought_to_the_canonical_unit(tmp_path):
    # 1 dH is 10 mg CaO/L, 17.848 mg/L as CaCO3 (atomic weights 2021).
    path = tmp_path / "own.yaml"
    path.write_text(GOOD)
    [value] = read_deionised_water(path).values()
    assert value.upper == pytest.approx(1.7848, rel=1e-4)
    assert (value.lower, value.source, value.evidence) == (0.0, "a still", "memory")


def test_the_library_assumes_more_than_the_purified_grade_permits():
    # ASTM D1193-99 type IV: 50 ug/L chloride, 5.0 uS/cm. An assumption must not flatter.
    values = deionised_water()
    assert values["chloride"].upper >= 0.05
    assert values["conductivity"].upper >= 5.0
    assert set(values) <= set(vocabulary())


def test_ph_does_not_mix_and_is_not_assumed():
    assert "ph" not in deionised_water()


def test_every_conserved_bound_of_the_default_set_has_a_value():
    keys = {limit.analyte for limit in load_set("fill_water_default").limits}
    assert keys - set(deionised_water()) == {"ph"}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[0, 0.1]", "[0.2, 0.1]", "line 3, values.total_hardness.range: expected 0 <= lower"),
        ("[0, 0.1]", "[0.1]", "expected the lower and the upper end, found 1 values"),
        ("unit: dH", "unit: V", "values.total_hardness.unit: "),
        ("total_hardness", "hardnes", "'hardnes' is no analyte known here"),
        ("evidence: memory", "evidence: sure", "'sure' is no evidence known here"),
        ("source: a still, ", "", "the key 'source' is missing"),
    ],
)
def test_a_wrong_file_says_where(old, new, said, tmp_path):
    path = tmp_path / "own.yaml"
    path.write_text(GOOD.replace(old, new))
    with pytest.raises(LimitFileError) as caught:
        read_deionised_water(path)
    assert str(path) in str(caught.value)
    assert said in str(caught.value)
