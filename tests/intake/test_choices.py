"""What the user settled, by option and by file."""

from chemcheck.intake.choices import Choices, ColumnChoice
from chemcheck.intake.headers import read_header


def test_options_come_before_the_file():
    file = Choices(file="ours.yaml", decimal=",", ppm="mg/kg", strips_late=True)
    both = Choices(decimal=".", technology="hybrid").over(file)
    assert (both.decimal, both.ppm, both.technology) == (".", "mg/kg", "hybrid")
    assert both.file == "ours.yaml"
    assert both.strips_late


def test_titles_are_matched_without_case_and_spacing():
    choice = ColumnChoice("Total  Hardness", 3)
    choices = Choices(columns={"total hardness": choice})
    assert choices.of_title(" TOTAL hardness ") is choice
    assert choices.of_title("hardness") is None


def test_a_unit_alone_leaves_the_rest_to_the_title():
    header = ColumnChoice("NO3-N", 1, unit="mg/L").header(read_header("NO3-N"))
    assert (header.analyte, header.form, header.unit_text) == ("nitrate", "N", "mg/L")


def test_a_form_settles_an_open_title():
    header = ColumnChoice("Silicate (mg/L)", 1, form="SiO2").header(read_header("Silicate (mg/L)"))
    assert (header.form, header.choices, header.unit_text) == ("SiO2", (), "mg/L")


def test_another_analyte_takes_nothing_from_the_title():
    header = ColumnChoice("NO3-N (mg/L)", 1, "nitrite").header(read_header("NO3-N (mg/L)"))
    assert (header.analyte, header.form, header.unit_text) == ("nitrite", None, None)
