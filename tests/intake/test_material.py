"""What each sample is, and what is assumed where nobody says."""

import pytest

from chemcheck.errors import UnknownTechnologyError
from chemcheck.intake.material import sample_word, technology_key
from chemcheck.readings.record import READ, REJECTED

HEAD = "Sample No,pH,Glycol (vol%),RA (mL),Technology,Material"


def kinds(readings) -> list[tuple]:
    columns = readings.samples[["material", "technology"]]
    return [tuple(None if x != x else x for x in row) for row in columns.to_numpy()]


def test_rows_that_do_not_say(read_text_of):
    rows = ["A,7,,,,", "B,8,48,,,", "C,8,,5,,", "D,8,,,OAT,", "E,7,0,0,,", "F,7,<5,,,"]
    readings = read_text_of("\n".join([HEAD, *rows]))
    assert kinds(readings) == [
        ("water", None),
        ("coolant", None),
        ("coolant", None),
        ("coolant", "organic_acid"),
        ("water", None),  # no glycol was found
        ("water", None),
    ]
    said = readings.assumptions["assumption"].tolist()
    assert (
        "material not stated: 3 as coolant (with glycol, reserve alkalinity or a technology) and "
        "3 as water; --material or a column says otherwise" in said
    )


def test_what_a_row_says_comes_first(read_text_of):
    rows = ["A,7,,,OAT,Tap water", "B,8,,,,Antifreeze", "C,8,48,,,Wasser"]
    readings = read_text_of("\n".join([HEAD, *rows]), material="coolant", technology="hybrid")
    # Water has no technology, whatever the column says.
    assert kinds(readings) == [("water", None), ("coolant", "hybrid"), ("water", None)]
    assert not readings.assumptions["assumption"].str.contains("material").any()


def test_options_fill_what_is_left_open(read_text_of):
    rows = ["A,7,,,,", "B,8,48,,HOAT,"]
    readings = read_text_of("\n".join([HEAD, *rows]), material="coolant", technology="NOAT")
    assert kinds(readings) == [("coolant", "nitrited_organic_acid"), ("coolant", "hybrid")]


def test_technology_alone_means_coolant(read_text_of):
    readings = read_text_of("Sample No,pH\nA,8\n", technology="organic acid")
    assert kinds(readings) == [("coolant", "organic_acid")]


def test_unknown_technology_is_named_and_left_open(read_text_of):
    rows = ["A,8,48,,the green one,", "B,8,48,,the green one,", "C,8,48,,n/a,"]
    readings = read_text_of("\n".join([HEAD, *rows]))
    assert kinds(readings) == [("coolant", None)] * 3
    said = readings.assumptions.set_index("column")["assumption"]["Technology"]
    assert said.startswith("'the green one' is no technology known here")
    assert said.endswith("left open for 2 samples")
    # What could not be read is still there to look at.
    assert readings.samples["Technology"].tolist()[:2] == ["the green one"] * 2


def test_only_a_few_unknown_texts_are_named(read_text_of):
    rows = [f"{k},8,48,,colour {k}," for k in range(9)]
    readings = read_text_of("\n".join([HEAD, *rows]))
    said = readings.assumptions.query("column == 'Technology'")["assumption"].tolist()
    assert len(said) == 6
    assert said[-1] == "4 more texts are not known here either"


def test_fluid_column_says_what_others_leave_open(read_text_of):
    text = "Sample No,pH,Fluid\nA,7,tap water\nB,8,organic acid\nC,8,bottle 3\n"
    readings = read_text_of(text)
    assert kinds(readings) == [("water", None), ("coolant", "organic_acid"), ("water", None)]
    assert readings.samples["Fluid"].tolist() == ["tap water", "organic acid", "bottle 3"]


def test_sample_types(read_text_of):
    text = "Sample No,pH,Sample Type\nA,7,\nB,7,New Fill\nC,7,field duplicate\nD,7,odd one\n"
    types = read_text_of(text).samples["sample_type"].tolist()
    assert types == ["routine", "fresh fill", "duplicate", "odd one"]


def test_unknown_option_is_one_clear_line(read_text_of):
    with pytest.raises(UnknownTechnologyError, match=r"'OATS' is no technology known here"):
        read_text_of("pH,RA (mL)\n8,5\n", technology="OATS")
    with pytest.raises(ValueError, match=r"'oil' is no material known here; expected one of"):
        read_text_of("pH\n8\n", material="oil")


def test_trade_words():
    # common practice, no source
    assert technology_key("IAT") == "conventional"
    assert technology_key("P-OAT") == "phosphated_organic_acid"
    assert sample_word("glycol_type", "mono-propylene glycol") == "propylene_glycol"
    assert sample_word("material", "Leitungswasser") == "water"


MIXES = (
    "Sample No,Technology,Base,Method,Glycol (%),Freezing point (C),Nitrite (mg/L),pH\n"
    "A,glycerol,,refractometer,45,-30,5,8.2\n"
    "B,waterless,,refractometer,98,-50,5,8.3\n"
    "C,hybrid,glycerine,refractometer,44,-29,5,8.1\n"
    "D,hybrid,EG,refractometer,46,-31,5,8.0\n"
    "E,waterless,,laboratory,97,-51,5,8.4\n"
    "F,low conductivity coolant,,refractometer,50,-36,5,7.1\n"
)


def test_refractometers_tell_nothing_of_glycerol_and_waterless_coolants(read_text_of):
    readings = read_text_of(MIXES)
    assert readings.samples["technology"].tolist() == [
        *("glycerol", "waterless", "glycerol", "hybrid", "waterless", "low_conductivity")
    ]
    for analyte in ("glycol", "freezing_point"):
        status = readings.status[:, readings.position(analyte)]
        assert status.tolist() == [*[REJECTED] * 3, *[READ] * 3]
    for analyte in ("nitrite", "ph"):
        assert (readings.status[:, readings.position(analyte)] == READ).all()
    lines = readings.rejected
    assert lines["column"].tolist() == ["Glycol (%)", "Freezing point (C)"]  # one line each
    assert lines["cells"].tolist() == [3, 3]
    assert lines["problem"].str.startswith("by refractive index").all()


def test_base_that_is_no_glycol_is_the_technology(read_text_of):
    readings = read_text_of(MIXES)
    assert readings.samples["glycol_type"].isna().tolist() == [True, True, True, False, True, True]
    said = readings.assumptions["assumption"].tolist()
    assert "technology by the base, not by the inhibitor: 1 of the samples" in said
    assert not any("no glycol type" in one for one in said)


def test_what_was_added_to_a_unit_says_nothing_of_its_sample(read_text_of):
    head = "Sample No,Unit,Nitrite (mg/L),Glycol (vol%),Event,Litres,Fluid"
    readings = read_text_of(f"{head}\nA,U1,512,47.9,top-up,1.5,deionised water\nB,U1,500,47,,,\n")
    assert kinds(readings) == [("coolant", None), ("coolant", None)]
