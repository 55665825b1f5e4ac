"""Column titles as people and laboratories write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.analytes import Name, find_analyte, nearest_analyte, read_name, vocabulary

# Titles seen in files (common practice, no source).
TITLES = {
    "pH": "ph",
    "Total Hardness": "total_hardness",
    "TH": "total_hardness",
    "Hardness, Ca, Mg": "total_hardness",
    "Gesamthärte": "total_hardness",
    "Gesamthaerte": "total_hardness",
    "Dureté totale": "total_hardness",
    "Alkalinity, total": "total_alkalinity",
    "Säurekapazität bis pH 4,3": "total_alkalinity",
    "Cl": "chloride",
    "Cl-": "chloride",
    "Sulphate": "sulfate",
    "SO₄²⁻": "sulfate",
    "Ca²⁺": "calcium",
    "Ca++": "calcium",
    "Kalium": "potassium",
    "Specific conductance": "conductivity",
    "Cond/EC": "conductivity",
    "TDS/TS": "total_dissolved_solids",
    "Total dissolved solids (TDS)": "total_dissolved_solids",
    "Temperature, water": "water_temperature",
    "Res Alk": "reserve_alkalinity",
    "FrzPt": "freezing_point",
    "%EG": "glycol",
    "Glycol %": "glycol",
    "Glyc": "glycolate",
    "OA": "carboxylates",
    "Seb": "sebacate",
    "TT": "tolyltriazole",
    "TT/BZT": "azoles",
    "Lead (Pb)": "lead",
    "Appearance": "appearance",
    "Orthophosphate": "phosphate",
}


@pytest.mark.parametrize(("title", "key"), TITLES.items())
def test_titles(title: str, key: str) -> None:
    assert find_analyte(title) == key


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("NO3-N", Name("nitrate", form="N")),
        ("Nitrate (as N)", Name("nitrate", form="N")),
        ("Nitrite as NaNO2", Name("nitrite", form="NaNO2")),
        ("Silica", Name("silicon", form="SiO2")),
        ("Molybdate", Name("molybdenum", form="MoO4")),
        ("Phosphorus", Name("phosphate", form="P")),
        ("2-EHA", Name("ethylhexanoate", form="C8H16O2")),
        ("Fe dissolved", Name("iron", basis="dissolved")),
        ("total iron", Name("iron", basis="digested")),
        ("Zinc, total recoverable", Name("zinc", basis="digested")),
        ("pH (50 %)", Name("ph", basis="diluted")),
        ("pH neat", Name("ph", basis="neat")),
        ("RA concentrate", Name("reserve_alkalinity", basis="concentrate")),
        ("conductivity at 20 °C", Name("conductivity", basis="at_20_c")),
        ("silicate", Name("silicon", choices=("Si", "SiO2"))),
        ("silicate as SiO2", Name("silicon", form="SiO2")),
        ("Si/SiO2", Name("silicon", choices=("Si", "SiO2"))),
        ("Borate", Name("boron", choices=("B", "B4O7", "Na2B4O7.5H2O"))),
        ("Ca as CaCO3", Name("calcium_hardness")),
    ],
)
def test_titles_that_say_more(title: str, name: Name) -> None:
    assert read_name(title) == name


@pytest.mark.parametrize(
    "title",
    [
        "",
        "%",
        "chlorine",  # a disinfectant, not chloride
        "free chloride",
        "Hardness, non-carbonate",
        "Inorganic nitrogen (nitrate and nitrite)",
        "iron dissolved total",  # two bases at once
        "nitrate as N as NO3",
        "sulfate as N",
        "TA",  # total or reserve alkalinity
        "water",  # a source as often as a content
        "SampleNo",
        "remarks",
    ],
)
def test_what_is_not_surely_an_analyte_is_none(title: str) -> None:
    assert find_analyte(title) is None


@given(st.text(max_size=30))
def test_any_text_is_read_or_not_without_an_error(text: str) -> None:
    found = read_name(text)
    if found is not None:
        known = vocabulary()[found.analyte]
        assert found.form is None or found.form in known.forms
        assert found.basis is None or known.basis(found.basis) is not None


@given(
    st.sampled_from([(key, name) for key, a in vocabulary().items() for name in a.aliases]),
    st.sampled_from(["", " ", "_", "-", "."]),
)
def test_case_spaces_and_punctuation_do_not_matter(pair: tuple[str, str], glue: str) -> None:
    key, name = pair
    assert find_analyte(glue.join(name.swapcase().split()) + glue) == key


def test_the_nearest_name_is_a_suggestion_only() -> None:
    assert find_analyte("Chlorde") is None
    assert nearest_analyte("Chlorde") == "chloride"
    assert nearest_analyte("zzzzzz") is None


def test_a_very_long_title_is_no_name_and_costs_nothing() -> None:
    title = "chloride " * 100_000
    assert find_analyte(title) is None
    assert nearest_analyte(title) is None
