"""Sources as a person writes them, and one clear line for what cannot be read."""

import pytest

from chemcheck.errors import QuantityError
from chemcheck.remedies.source_text import check_sources, read_shares, read_source


def test_a_file_with_a_colon_and_no_cost():
    source = read_source(r"well=C:\water\well.csv", "--source")
    assert (source.file, source.cost) == (r"C:\water\well.csv", None)


def test_a_cost_of_a_volume():
    # 1 m3 = 1000 L; 1 US gal = 3.785411784 L (exact).
    assert read_source("a=b.csv:2.5/m3", "").cost == pytest.approx(0.0025)
    assert read_source("a=b.csv : 1/gal", "").cost == pytest.approx(1 / 3.785411784)


def test_a_comma_parts_readings_only_before_a_name():
    source = read_source("a=pH=7,6; Cl=85, SO4=120", "--source")
    assert dict(source.values) == {"pH": "7,6", "Cl": "85", "SO4": "120"}
    assert dict(read_source("a=Cl=8,5,SO4=1,2", "").values) == {"Cl": "8,5", "SO4": "1,2"}


@pytest.mark.parametrize("name", ["deionised", "Deionized", "distilled", "distilled water"])
def test_deionised_water_needs_no_readings(name):
    source = read_source(name, "--source")
    assert source.is_deionised
    assert source.is_assumed
    assert read_source(f"{name}=deionised:0.4", "--source").cost == 0.4


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tap", "'tap': only deionised needs no readings"),
        ("=x.csv", "expected a name and its readings"),
        ("tap=", "expected a name and its readings"),
        ("tap=x.csv:-2", "the cost -2 is below nothing"),
        ("tap=x.csv:2/K", "a cost is of a litre, or of another volume"),
        ("tap=pH=7; 85", "'85' is no NAME=VALUE"),
        ("tap=pH=7; pH=8", "'pH' is given twice"),
    ],
)
def test_what_cannot_be_read_is_one_line(text, said):
    with pytest.raises(QuantityError, match=said) as caught:
        read_source(text, "--source")
    assert "\n" not in str(caught.value)


def test_names_and_costs_must_agree():
    with pytest.raises(QuantityError, match="two sources are called 'Tap'"):
        check_sources(tuple(read_source(text, "") for text in ("Tap=a.csv", "tap=b.csv")))
    with pytest.raises(QuantityError, match="source 'b' has no cost and others have one"):
        check_sources(tuple(read_source(text, "") for text in ("a=a.csv:1", "b=b.csv")))


def test_a_share_must_be_one_number():
    with pytest.raises(QuantityError, match="'40-50 %' is a range"):
        read_shares("tap=40-50 %; deionised=50 %", "--shares")
