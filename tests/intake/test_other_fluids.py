"""Several fluids in one file: only water and coolant are read."""

import pytest

from chemcheck.intake.material import sample_word, technology_key
from chemcheck.intake.other_fluids import is_other_fluid
from chemcheck.intake.word_lists import word_list

FILE = (
    "Sample No,Fluid type,pH,Iron (mg/L),Glycol (%)\n"
    "A,Coolant,8.4,1,48\n"
    "B,Engine oil,,55,\n"
    "C,Tap water,7.2,0.1,\n"
    "D,Diesel,,,\n"
    "E,,8.3,2,47\n"
)


def test_oil_and_fuel_are_set_aside_with_a_line_each(read_text_of):
    readings = read_text_of(FILE)
    assert readings.samples["sample_id"].tolist() == ["A", "C", "E"]
    assert readings.samples["material"].tolist() == ["coolant", "water", "coolant"]
    assert readings.rejected["row"].tolist() == [3, 5]
    assert readings.rejected["text"].tolist() == ["Engine oil", "Diesel"]
    assert readings.rejected["problem"].tolist()[0] == "Engine oil is neither water nor coolant"
    file = readings.files[0]
    assert (file.rows_read, file.rejected_rows, len(readings.samples)) == (5, 2, 3)


def test_column_of_the_product_counts_as_well(read_text_of):
    readings = read_text_of("Sample No,Product,pH\nA,hydraulic oil,7\nB,Brand 7,8\n")
    assert readings.samples["sample_id"].tolist() == ["B"]


def test_no_name_of_a_fluid_is_water_or_coolant_as_well():
    for word in map(str, word_list("sample_words")["other_fluids"]):
        assert is_other_fluid(word.upper())
        assert sample_word("material", word) is None
        assert technology_key(word) is None


@pytest.mark.parametrize("text", ["oil in coolant", "", "coolant", "water"])
def test_other_texts_are_kept(text):
    assert not is_other_fluid(text)
