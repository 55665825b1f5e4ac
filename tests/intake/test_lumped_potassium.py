"""Potassium that was counted with sodium."""

import numpy as np

from chemcheck.intake.read import read_results
from chemcheck.readings.record import BLANK, READ, REJECTED

WATER = "Sample No,Na (mg/L),K (mg/L)\nA,28,4.6\nB,2.1,0\nC,,0\nD,5,<0.5\nE,5,0.0\n"


def status(readings) -> list[int]:
    return readings.status[:, readings.position("potassium")].tolist()


def test_zero_beside_sodium_is_no_measurement(read_text_of):
    readings = read_text_of(WATER)
    assert status(readings) == [READ, BLANK, READ, READ, BLANK]
    assert any(
        "written as 0 beside sodium in 2 waters" in a for a in readings.assumptions["assumption"]
    )


def test_long_table_is_read_alike(read_text_of):
    readings = read_text_of(
        "Sample No,Parameter,Result,Unit\nA,Sodium,28,mg/L\nA,Potassium,0,mg/L\n"
        "B,Potassium,0,mg/L\n"
    )
    assert status(readings) == [BLANK, READ]


def test_coolant_keeps_its_zero(read_text_of):
    assert status(read_text_of(WATER, material="coolant")) == [READ] * 5


def test_the_user_s_word_on_zeros(read_text_of):
    columns = "columns:\n  K (mg/L): {{analyte: potassium, zero: {}}}\n"
    assert status(read_text_of(WATER, columns=columns.format("measured"))) == [READ] * 5
    readings = read_text_of(WATER, columns=columns.format("not measured"))
    assert status(readings) == [READ, BLANK, BLANK, READ, BLANK]
    # Not detected, and no limit is stated nor known of the method.
    readings = read_text_of(WATER, columns=columns.format("not detected"))
    assert status(readings) == [READ, REJECTED, REJECTED, READ, REJECTED]
    text = "Sample No,Method,Cl (mg/L)\nA,laboratory,0\n"
    columns = "columns:\n  Cl (mg/L): {analyte: chloride, zero: not detected}\n"
    readings = read_text_of(text, columns=columns)
    # ASTM D512 B, nominal low limit 8 mg/L (memory), as the library's method has it.
    assert (readings.lower[0, 0], readings.upper[0, 0]) == (0, 8)


def test_analyses_of_the_open_file(open_data):
    """USGS smwrData MiscGW (Hem, Water-Supply Paper 2254): potassium 0 is lumped into sodium."""
    readings = read_results(open_data / "water" / "MiscGW.csv")
    assert status(readings) == [READ, BLANK, BLANK, BLANK]
    sodium = readings.position("sodium")
    np.testing.assert_array_equal(readings.lower[:, sodium], [28, 2.1, 168, 611])
