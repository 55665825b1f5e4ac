"""Every column of a file has its place."""

import pytest

from chemcheck.intake.choices import Choices, ColumnChoice
from chemcheck.intake.column_plan import means_something, plan_columns
from chemcheck.intake.second_header import HeaderRow
from chemcheck.readings.record import SAMPLE_COLUMNS


def test_readings_facts_and_free_text():
    plan = plan_columns(
        ["Sample No", "Unit ID", "pH", "Fe dissolved mg/L", "Fluid", "x"], Choices()
    )
    assert [column.header.analyte for column in plan.readings] == ["ph", "iron"]
    assert list(plan.roles) == ["sample_id", "unit_id"]
    assert list(plan.free) == ["Fluid", "x"]


def test_unknown_columns_are_named_once():
    titles = ["pH", *(f"x{k}" for k in range(7))]
    said = plan_columns(titles, Choices()).assumptions
    text = "7 columns not known here are kept as text: x0, x1, x2, x3, x4, …"
    assert said == ((None, text),)


def test_free_columns_never_hide_those_of_a_sample():
    plan = plan_columns(["pH", "row", "file", "x", "x", ""], Choices())
    assert list(plan.free) == ["row (2)", "file (2)", "x", "x (2)", "column 6"]
    assert not set(plan.free) & set(SAMPLE_COLUMNS)
    assert ("x", "the title stands 2 times") in plan.assumptions


def test_second_column_of_a_fact_is_kept_as_text():
    plan = plan_columns(["pH", "Date Sampled", "Test date"], Choices())
    assert plan.roles["taken_on"].title == "Date Sampled"
    assert ("Test date", "kept as text: 'Date Sampled' already gives the taken_on") in (
        plan.assumptions
    )


def test_the_user_has_the_last_word():
    choices = Choices(
        columns={
            "shelf": ColumnChoice("Shelf", 1, role="sampling_point"),
            "ph": ColumnChoice("pH", 2, keep_as_text=True),
            "härte": ColumnChoice("Härte", 3, "total_hardness", unit="dH"),
            "cl": ColumnChoice("Cl", 4, method="drop_count_kit"),
        }
    )
    plan = plan_columns(["Shelf", "pH", "HÄRTE", "Cl"], choices)
    assert list(plan.roles) == ["sampling_point"]
    assert list(plan.free) == ["pH"]
    assert [column.header.unit_text for column in plan.readings] == ["dH", None]
    assert plan.readings[1].method == "drop_count_kit"
    assert not plan.assumptions
    assert means_something("härte", choices)
    assert not means_something("Regal", choices)


# Titles that name two things, and titles that name one: common practice of laboratories.
@pytest.mark.parametrize("title", ["b", "k", "f", "p", " b "])
def test_a_lone_small_letter_is_asked_about(title):
    [column] = plan_columns([title], Choices()).readings
    assert "or any letter: say which in the title, or in a columns file" in column.header.problem


@pytest.mark.parametrize("title", ["Silicate (mg/L)", "Borate", "silicate ppm"])
def test_a_salt_of_several_forms_is_asked_about(title):
    [column] = plan_columns([title], Choices()).readings
    assert len(column.header.choices) > 1


@pytest.mark.parametrize(
    ("title", "analyte"),
    [("B", "boron"), ("b (mg/L)", "boron"), ("Si", "silicon"), ("k mg/l", "potassium")],
)
def test_an_element_by_its_symbol_or_with_its_unit_is_read(title, analyte):
    [column] = plan_columns([title], Choices()).readings
    assert (column.header.analyte, column.header.problem) == (analyte, None)


def test_a_columns_file_settles_a_letter():
    said = ColumnChoice("b", 2, "boron", unit="mg/L")
    [column] = plan_columns(["b"], Choices(columns={"b": said})).readings
    assert column.header.problem is None


def test_a_row_of_units_settles_a_letter():
    [column] = plan_columns(["b"], Choices(), [HeaderRow(2, "units", ("mg/L",))]).readings
    assert column.header.problem is None
