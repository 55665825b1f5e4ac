"""Logs kept by hand."""

import numpy as np
import pytest

from chemcheck.errors import LimitFileError
from chemcheck.intake.several_units import units_of
from chemcheck.readings.record import READ, REJECTED

# Common practice, no source: what strip logs look like in workshops.
FOUR = '""""'
LOG = (
    "Date,Unit,Technology,Method,Lot,pH,Nitrite (mg/L),Glycol (%),Appearance\n"
    '3 Mar 2025,"T4, T7",nitrited OAT,strip,S1,8.5,between 300 and 600,50/50,clear\n'
    f"{FOUR},T5,{FOUR},{FOUR},{FOUR},{FOUR},1200-ish,{FOUR},OK\n"
    "4 Mar 2025,T6,idem,do.,do.,7.5/8,OK,40,hazy\n"
    ",,,,,,,,\n"
    f"{FOUR},T8,{FOUR},{FOUR},{FOUR},purple,{FOUR},{FOUR},clear\n"
)


def test_strip_log(read_text_of):
    readings = read_text_of(LOG)
    samples = readings.samples
    assert samples["unit_id"].tolist() == ["T4", "T7", "T5", "T6", "T8"]
    assert samples["row"].tolist() == [2, 2, 3, 4, 6]
    assert samples["taken_on"].dt.day.tolist() == [3, 3, 3, 4, 4]
    assert samples["technology"].unique().tolist() == ["nitrited_organic_acid"]
    assert readings.lot.names == ("S1",)
    assert (readings.lot.codes == 0).all()
    # Midpoints of 8.0, 8.5, 9.0; pads 7.5 to 8.0; a colour is no number.
    ph = readings.position("ph")
    np.testing.assert_array_equal(readings.lower[:, ph], [8.25, 8.25, 8.25, 7.5, np.nan])
    np.testing.assert_array_equal(readings.upper[:, ph], [8.75, 8.75, 8.75, 8.0, np.nan])
    # 300 to 600 as said; about 1200 lies between 800 and 1600; 'OK' and its ditto are none.
    nitrite = readings.position("nitrite")
    np.testing.assert_array_equal(readings.lower[:, nitrite], [300, 300, 800, np.nan, np.nan])
    np.testing.assert_array_equal(readings.upper[:, nitrite], [600, 600, 1600, np.nan, np.nan])
    glycol = readings.position("glycol")
    np.testing.assert_array_equal(readings.lower[:, glycol], [45, 45, 45, 36.5, 36.5])
    assert readings.status[:, readings.position("appearance")].tolist() == [READ] * 5
    assert readings.rejected["row"].tolist() == [4, 6, 6]
    assert readings.rejected["text"].tolist() == ["OK", "purple", "OK"]


def test_everything_is_said_in_lines(read_text_of):
    said = read_text_of(LOG).assumptions
    lines = dict(zip(said["assumption"], said["column"], strict=True))
    assert lines["11 ditto marks take what stands above"] == "Date, Technology, Method, Lot"
    assert lines["1 line names several units: a sample of each"] == "Unit"
    copied = (
        "4 ditto marks take the result above; 'ditto: refused' in a columns file sets them aside"
    )
    assert lines[copied] == "pH, Nitrite (mg/L), Glycol (%)"


def test_counts_of_a_line_for_several_units(read_text_of):
    readings = read_text_of(LOG + "5 Mar 2025,T9\n")
    file = readings.files[0]
    # The first line counts once for each of its two units.
    assert (file.rows_read, file.rejected_rows, file.duplicate_rows) == (6, 1, 0)
    assert file.rows_read == len(readings.samples) + file.rejected_rows + file.duplicate_rows


def test_a_mark_below_a_row_that_was_set_aside_is_refused(read_text_of):
    text = f"Unit,Date,Method,pH\nT1,2025-01-02,strip,7.5\nT2,2025-01-03\nT3,{FOUR},strip,{FOUR}\n"
    readings = read_text_of(text)
    assert readings.samples["taken_on"].isna().tolist() == [False, True]
    assert readings.status[:, 0].tolist() == [READ, REJECTED]
    assert readings.rejected["problem"].tolist()[1:] == [
        "expected a date, such as 2025-04-03",
        "a ditto mark; write the value itself, or 'ditto: copied' in a columns file (--columns)",
    ]


def test_results_are_copied_only_where_the_log_is_kept_by_hand(read_text_of):
    text = f"Sample No,Method,pH,Cl (mg/L)\nA,{{}},7.5,40\nB,{{}},{FOUR},41\n"
    laboratory, strip = (text.format(word, word) for word in ("laboratory", "strip"))
    assert read_text_of(laboratory).status[:, 0].tolist() == [READ, REJECTED]
    assert read_text_of(strip).status[:, 0].tolist() == [READ, READ]
    assert read_text_of(strip, columns="ditto: refused").status[:, 0].tolist() == [READ, REJECTED]
    readings = read_text_of(laboratory, columns="ditto: copied")
    assert readings.lower[:, 0].tolist() == [7.5, 7.5]


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ("BUS-13", ["BUS-13"]),
        ("BUS-13, BUS-14", ["BUS-13", "BUS-14"]),
        ("BUS-13; 14; 15b", ["BUS-13", "BUS-14", "BUS-15b"]),
        ("T4 & T7", ["T4", "T7"]),
        ("T4 und T7", ["T4", "T7"]),
        ("T4, T5 and T7", ["T4", "T5", "T7"]),
        ("T4/T7", ["T4", "T7"]),
        ("Crane/Tug", ["Crane", "Tug"]),
        ("12 + 13", ["12", "13"]),
        ("12/13", ["12/13"]),
        ("T4-T7", ["T4-T7"]),
        ("T4, T4", ["T4, T4"]),
        ("Crane, Barge", ["Crane, Barge"]),
        ("Building 3, Loop 2", ["Building 3, Loop 2"]),
        ("Genset 2, spare", ["Genset 2, spare"]),
        ("well and pump", ["well and pump"]),
        ("", [""]),
        (",", [","]),
    ],
)
def test_units_of_a_line(text, units):
    assert list(units_of(text, {"Crane", "Tug"})) == units


def test_a_bottle_is_no_sample_of_several_units(read_text_of):
    text = 'Sample No,Unit,pH\nA,"T4, T7",7\n,"T4, T7",7\n'
    assert read_text_of(text).samples["unit_id"].tolist() == ["T4, T7", "T4", "T7"]
    readings = read_text_of(text, columns="one_unit_a_line: yes")
    assert readings.samples["unit_id"].tolist() == ["T4, T7", "T4, T7"]


PADS = "Unit,Date,Method,Lot,Nitrite (mg/L),pH\nT1,2025-01-02,strip,S1,{},8\n"
MATERIAL = {"material": "coolant"}


@pytest.mark.parametrize("cell", ["between 2 and 3", "2-3", "2/3", "3"])
def test_places_on_the_chart_or_values(read_text_of, cell):
    # The chart's values are 0, 300, 600, 800, ...: nobody reads 2 or 3 mg/L off it.
    readings = read_text_of(PADS.format(cell), **MATERIAL)
    assert readings.status[0].tolist() == [REJECTED, READ]
    assert readings.rejected["problem"][0].startswith(
        "places on the chart, or values? it has no such value (0, 300, 600, 800, … mg/L); say"
    )
    numbered = read_text_of(PADS.format(cell), columns="pads: numbered", **MATERIAL)
    span = (450.0, 700.0) if cell == "3" else (300.0, 600.0)
    assert (numbered.lower[0, 0], numbered.upper[0, 0]) == span
    values = read_text_of(PADS.format(cell), columns="pads: values", **MATERIAL)
    assert (values.lower[0, 0], values.upper[0, 0]) == (0.0, 300.0)


@pytest.mark.parametrize("cell", ["300", "3 mg/L", "<3", "2.5", "20"])
def test_numbers_that_are_no_places_of_pads(read_text_of, cell):
    assert read_text_of(PADS.format(cell), **MATERIAL).status[0].tolist() == [READ, READ]


@pytest.mark.parametrize("setting", ["pads: counted", "ditto: yes", "one_unit_a_line: 3"])
def test_wrong_setting_is_one_clear_line(read_text_of, setting):
    with pytest.raises(LimitFileError, match=r"ours\.yaml, line 1, .* known here; expected one of"):
        read_text_of(LOG, columns=setting)
