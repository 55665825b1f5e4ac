"""One sample given as quantities in words."""

import numpy as np
import pytest

from chemcheck.errors import IntakeError
from chemcheck.intake.quantities import read_quantities


def given(**values: str):
    return read_quantities(values, name="options", material="water")


def test_units_intervals_and_marks_are_read_as_in_a_file():
    # 1 dH is 17.848 mg/L as CaCO3 (10 mg CaO/L, atomic weights 2021).
    read = given(hardness="10 dH", chloride="<5", sulfate="20-60")
    assert [column.analyte for column in read.columns] == ["total_hardness", "chloride", "sulfate"]
    assert read.lower[0] == pytest.approx([178.48, 0, 20], rel=1e-4)
    assert read.upper[0] == pytest.approx([178.48, 5, 60], rel=1e-4)
    assert read.samples["material"].tolist() == ["water"]


def test_what_cannot_be_read_has_no_row_and_says_where_a_unit_goes():
    read = given(hardness="310", chloride="lots")
    assert np.isnan(read.lower).all()
    assert read.rejected["row"].isna().all()
    assert "say which behind the number" in read.rejected["problem"].iloc[0]
    assert read.rejected["text"].tolist() == ["310", "lots"]


def test_a_name_and_a_method():
    read = read_quantities(
        {"chloride": "40 mg/L"}, name="options", material="water", sample_id="tap", method="strip"
    )
    assert read.samples["sample_id"].tolist() == ["tap"]
    # A strip's pad is the span to its neighbours' midpoints.
    assert read.lower[0, 0] < 40 < read.upper[0, 0]


def test_a_line_end_or_tab_in_a_text_is_a_space():
    assert given(chloride="40\tmg/L\n").upper[0, 0] == 40


def test_nothing_given():
    with pytest.raises(IntakeError, match="options: no quantity was given"):
        given()
