"""Rows of units and of other names below the header."""

import numpy as np
import pytest

from chemcheck.errors import IntakeError, LimitFileError
from chemcheck.intake.headers import read_header
from chemcheck.intake.read import read_results
from chemcheck.intake.second_header import HeaderRow, combined
from chemcheck.readings.record import READ, REJECTED

NAMES = "Sample No,Date,Hours,pH,NO3,Total hardness,Chloride\n"
SAMPLE = "A,2025-04-03,60,7.8,10,12,40\n"


def test_units_below_the_header(read_text_of):
    plain = read_text_of(
        "Sample No,Date,Hours (min),pH,NO3 (mg/L as N),Total hardness (dH),Chloride (mg/L)\n"
        + SAMPLE
    )
    for units in (
        "-,yyyy-mm-dd,min,-,mg/L as N,dH,mg/L\n",
        "Units,,[min],,(mg N/L),°dH,mg/l\n",
        ",,min,pH,mg/L as N,deg dH,mg/L\n",
    ):
        readings = read_text_of(NAMES + units + SAMPLE)
        assert readings.columns == plain.columns
        np.testing.assert_array_equal(readings.lower, plain.lower)
        assert readings.samples["hours"].tolist() == [1.0]
        assert readings.samples["row"].tolist() == [3]  # as a spreadsheet numbers it
        assert readings.files[0].rows_read == 1
        assert "units in row 2" in readings.files[0].found


@pytest.mark.parametrize(
    "row",
    [
        "B,2025-04-04,61,7,11,12,41",  # numbers
        "B,2025-04-04,61,,,,ND",  # a sample that was hardly tested
        ",,,,,,",
        ",,,-,-,-,-",
        "B,2025-04-04,,,,,F",  # a flag that is a unit as well
    ],
)
def test_samples_are_no_units(read_text_of, row):
    readings = read_text_of(NAMES + row + "\n" + SAMPLE)
    assert "units in" not in readings.files[0].found
    assert len(readings.samples) == (1 if not row.strip(",") else 2)


def test_names_and_units_below_codes(read_text_of):
    readings = read_text_of(
        "Probe,Cl,pH,SO4\nSample,Chloride,pH value,Sulphate\n,mg/L,,mmol/L\nA,40,7,1\n"
    )
    # 1 mmol of sulfate is 96.06 mg (IUPAC abridged atomic weights 2021).
    np.testing.assert_allclose(readings.lower, [[40, 7, 96.06]], rtol=1e-4)
    assert readings.files[0].found.endswith(
        "names in row 2; units in row 3; no number has a decimal mark"
    )


def test_header_rows_that_disagree_set_one_column_aside(read_text_of):
    readings = read_text_of(
        "Sample No,pH,Chloride (mg/L),Cl\n,pH,mmol/L,mg/L\nA,7,40,3\n".replace("Cl\n", "SO4\n")
    )
    assert readings.status.tolist() == [[READ, REJECTED, READ]]
    line = readings.rejected.iloc[0]
    assert (line["column"], line["cells"]) == ("Chloride (mg/L)", 1)
    assert line["problem"] == (
        "mg/L in the header, mmol/L in row 2: say which in a columns file (--columns)"
    )
    columns = "columns:\n  Chloride (mg/L): {analyte: chloride, unit: mmol/L}\n"
    settled = read_text_of(
        "Sample No,pH,Chloride (mg/L),SO4\n,pH,mmol/L,mg/L\nA,7,2,3\n", columns=columns
    )
    np.testing.assert_allclose(settled.lower[0, 1], 2 * 35.45, rtol=1e-4)


def test_names_that_disagree(read_text_of):
    readings = read_text_of("Sample No,pH,Cl,Fe\nid,pH,Sulfate,Iron\nA,7,40,1\n")
    assert readings.status.tolist() == [[READ, REJECTED, READ]]
    assert readings.rejected["problem"].tolist() == [
        "'Cl' in the header, 'Sulfate' in row 2: two analytes; say which in a columns file "
        "(--columns)"
    ]


def test_unit_outside_the_dimension(read_text_of):
    readings = read_text_of("Sample No,pH,Chloride,Iron\n,pH,uS/cm,mg/L\nA,7,40,1\n")
    assert readings.status.tolist() == [[READ, REJECTED, READ]]
    assert readings.rejected["problem"].str.contains("uS/cm measures a conductivity").all()


def test_rows_as_stated(read_text_of):
    text = "Depot,North\nSample No,pH,Cl\nA,7,40\n"
    assert (
        read_text_of(text)
        .files[0]
        .found.startswith("UTF-8, comma between columns; header in row 2")
    )
    # Nobody would take this row for units, unless told.
    odd = "Sample No,pH,Cl\nrow of,std,mmol per l\nA,7,2\n"
    readings = read_text_of(odd, columns="units_row: 2")
    np.testing.assert_allclose(readings.lower, [[7, 70.9]], rtol=1e-4)
    with pytest.raises(IntakeError, match=r"a\.csv, row 5: no row of units here"):
        read_text_of(odd, columns="units_row: 5")
    units = "Sample No,pH,Cl\n,,mmol/L\nA,7,2\n"
    assert read_text_of(units).lower.shape == (1, 2)
    assert read_text_of(units, columns="units_row: none").lower.shape == (2, 2)
    readings = read_text_of("pH,Cl,x\nSample No,pH,Cl\nA,7,2\n", columns="header_row: 2")
    assert readings.samples["row"].tolist() == [3]


@pytest.mark.parametrize("row", ["0", "2.5", "-1", "first"])
def test_row_that_is_none(read_text_of, row):
    with pytest.raises(LimitFileError, match=r"ours\.yaml, line 1, units_row: expected"):
        read_text_of(NAMES + SAMPLE, columns=f"units_row: {row}")


def test_no_samples_below_the_units(read_text_of):
    with pytest.raises(IntakeError, match="no rows below the header"):
        read_text_of("Sample No,pH,Cl\n,,mg/L\n")


def test_groundwaters_of_the_open_file(open_data):
    readings = read_results(open_data / "water" / "hgc_dataset_basic.csv")
    assert readings.files[0].rows_read == 17
    assert "units in row 2" in readings.files[0].found
    silicon = readings.position("silicon")
    # 11.2 mg SiO2/L; Si 28.085, SiO2 60.083 g/mol (IUPAC abridged atomic weights 2021).
    np.testing.assert_allclose(readings.lower[1, silicon], 11.2 * 28.085 / 60.083, rtol=1e-4)
    assert readings.samples["taken_on"].dt.strftime("%Y-%m-%d").unique().tolist() == ["2000-01-13"]


def test_unit_says_the_form_that_the_title_leaves_open():
    units = HeaderRow(2, "units", ("mg/L SiO2",))
    header = combined(read_header("Silicate"), [units], 0)
    assert (header.choices, header.unit_text) == ((), "mg/L SiO2")
