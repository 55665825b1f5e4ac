"""The open WQX result layout: invented rows for each trap, and two real files."""

import csv
import io

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.intake.assemble import assemble
from chemcheck.intake.encoding import TextFile, read_text
from chemcheck.intake.format import find_format
from chemcheck.intake.table import read_table
from chemcheck.intake.wqx import read_wqx
from chemcheck.intake.wqx_columns import is_wqx_title, sample_type, wqx_columns
from chemcheck.limit_library import default_method
from chemcheck.readings.record import ABSENT, BLANK, READ, REJECTED

OLDER = {
    "activity": "ActivityIdentifier",
    "type": "ActivityTypeCode",
    "medium": "ActivityMediaName",
    "date": "ActivityStartDate",
    "time": "ActivityStartTime/Time",
    "site": "MonitoringLocationIdentifier",
    "condition": "ResultDetectionConditionText",
    "name": "CharacteristicName",
    "fraction": "ResultSampleFractionText",
    "speciation": "MethodSpeciationName",
    "value": "ResultMeasureValue",
    "unit": "ResultMeasure/MeasureUnitCode",
    "status": "ResultStatusIdentifier",
    "statistic": "StatisticalBaseCode",
    "at": "ResultTemperatureBasisText",
    "method": "ResultAnalyticalMethod/MethodName",
    "limit": "DetectionQuantitationLimitMeasure/MeasureValue",
    "limit_unit": "DetectionQuantitationLimitMeasure/MeasureUnitCode",
}
NEWER = {
    "activity": "Activity_ActivityIdentifier",
    "type": "Activity_TypeCode",
    "medium": "Activity_Media",
    "date": "Activity_StartDate",
    "time": "Activity_StartTime",
    "site": "Location_Identifier",
    "condition": "Result_ResultDetectionCondition",
    "name": "Result_Characteristic",
    "fraction": "Result_SampleFraction",
    "speciation": "Result_MethodSpeciation",
    "value": "Result_Measure",
    "unit": "Result_MeasureUnit",
    "status": "Result_MeasureStatusIdentifier",
    "statistic": "Result_StatisticalBase",
    "at": "Result_MeasureTemperatureBasis",
    "method": "ResultAnalyticalMethod_Name",
    "limit": "DetectionLimit_MeasureA",
    "limit_unit": "DetectionLimit_MeasureUnitA",
}
USUAL = {
    "activity": "A1",
    "type": "Sample-Routine",
    "medium": "Water",
    "date": "2031-04-01",
    "time": "08:30:00",
    "site": "S1",
}


def text_file(*rows, names=OLDER):
    written = io.StringIO()
    writer = csv.writer(written, lineterminator="\n")
    writer.writerow(names.values())
    writer.writerows([{**USUAL, **row}.get(key, "") for key in names] for row in rows)
    return TextFile("w.csv", written.getvalue().encode(), "UTF-8")


def results(file, **settings):
    return read_wqx(read_table(file, find_format(file, is_wqx_title)), **settings)


def load(*rows, names=OLDER, **settings):
    return assemble([results(text_file(*rows, names=names), **settings)])


def reading(readings, analyte, basis=None, sample=0):
    place = readings.position(analyte, basis)
    return tuple(float(end[sample, place]) for end in (readings.lower, readings.upper))


def adds_up(readings):
    cells = int((readings.status != ABSENT).sum())
    rows = sum(file.rows_read for file in readings.files)
    aside = sum(file.duplicate_rows + file.rejected_rows for file in readings.files)
    return rows == cells + aside


@pytest.mark.parametrize("names", [OLDER, NEWER])
def test_one_activity_is_one_sample(names):
    readings = load(
        {"name": "Chloride", "fraction": "Dissolved", "value": "12.5", "unit": "mg/l"},
        {"name": "pH", "fraction": "Total", "value": "7.4", "unit": "std units"},
        {"activity": "A2", "name": "pH", "value": "7.6", "unit": "None", "time": "09:00:00"},
        names=names,
    )
    samples = readings.samples
    assert samples["sample_id"].tolist() == ["A1", "A2"]
    assert samples["unit_id"].tolist() == ["S1", "S1"]
    assert samples["row"].tolist() == [2, 4]
    assert samples["material"].tolist() == ["water", "water"]
    assert samples["taken_on"].tolist() == [
        pd.Timestamp("2031-04-01 08:30"),
        pd.Timestamp("2031-04-01 09:00"),
    ]
    assert reading(readings, "chloride") == (12.5, 12.5)
    assert reading(readings, "ph", sample=1) == (7.6, 7.6)
    assert readings.status[1, readings.position("chloride")] == ABSENT
    assert readings.files[0].rows_read == 3
    assert adds_up(readings)


def test_a_non_detect_lies_below_its_limit_in_the_limits_own_unit():
    readings = load(
        {"name": "Iron", "fraction": "Dissolved", "condition": "Not Detected", "limit": "50",
         "limit_unit": "ug/l"},
        {"name": "Nitrate", "condition": "Present Below Quantification Limit", "limit": "0.1",
         "limit_unit": "mg/l as N"},
        {"name": "Chloride", "value": "< 1.0", "unit": "mg/l"},
        {"name": "Sulfate", "value": "ND", "unit": "mg/l", "limit": "2"},
        {"name": "Temperature, water", "value": "<-1", "unit": "deg C"},
    )  # fmt: skip
    assert reading(readings, "iron") == (0.0, 0.05)
    # 62.004 g of NO3 hold 14.007 g of N.
    assert reading(readings, "nitrate") == (0.0, pytest.approx(0.1 * 62.004 / 14.007, rel=1e-4))
    assert reading(readings, "chloride") == (0.0, 1.0)
    assert reading(readings, "sulfate") == (0.0, 2.0)
    assert reading(readings, "water_temperature")[1] == -1.0
    assert adds_up(readings)


def test_without_a_limit_the_methods_own_counts_if_it_is_known():
    method = default_method("water")
    limit = method.precision["chloride"].detection_limit
    readings = load(
        {"name": "Chloride", "condition": "Not Detected", "unit": "mg/L", "method": method.id},
        {"name": "Sulfate", "condition": "Not Detected", "unit": "mg/L", "method": "Odd way"},
    )
    assert limit is not None
    assert reading(readings, "chloride") == (0.0, limit)
    assert readings.status[0, readings.position("sulfate")] == REJECTED
    assert "below the method's" in readings.assumptions["assumption"][0]


def test_what_the_condition_says():
    readings = load(
        {"name": "Chloride", "condition": "Not Reported"},
        {"name": "Sulfate", "condition": "Present Above Quantification Limit", "limit": "300",
         "limit_unit": "mg/L"},
        {"name": "Sodium", "condition": "Systematic Contamination", "value": "5", "unit": "mg/L"},
        {"name": "Potassium", "condition": "Not Detected"},
        {"name": "Calcium", "condition": "Half seen", "value": "5", "unit": "mg/L"},
        {"name": "Magnesium", "condition": "Present Above Quantification Limit", "value": "30",
         "unit": "mg/L"},
    )  # fmt: skip
    status = {
        column.analyte: readings.status[0, place] for place, column in enumerate(readings.columns)
    }
    assert status["chloride"] == BLANK
    assert reading(readings, "sulfate") == (300.0, np.inf)
    assert reading(readings, "magnesium") == (30.0, np.inf)
    assert status["sodium"] == status["potassium"] == status["calcium"] == REJECTED
    problems = readings.rejected.set_index("column")["problem"]
    assert "Systematic Contamination" in problems["Sodium"]
    assert "no limit is stated" in problems["Potassium"]
    assert "no detection condition" in problems["Calcium"]
    assert adds_up(readings)


# The value cells and units that the open files are known to hold.
def test_text_in_value_cells_and_units_in_many_spellings():
    readings = load(
        {"name": "Lead", "fraction": "Total", "value": "<0.00045", "unit": "mg/L"},
        {"name": "Chloride", "value": "18,5", "unit": "mg/L"},
        {"name": "Sulfate", "value": "> 2419.6", "unit": "mg/L"},
        {"name": "Specific conductance", "value": "0.65", "unit": "mS/cm", "at": "25 deg C"},
        {"name": "Total dissolved solids", "value": "0.41", "unit": "g/L"},
        {"name": "Hardness, Ca, Mg", "value": "150000", "unit": "ug/L"},
        {"name": "Sodium", "value": "600.7061 mmHG", "unit": "mg/L"},
        {"name": "Silica", "value": "20", "unit": "mg/l SiO2"},
    )
    assert reading(readings, "lead", "digested") == (0.0, 0.00045)
    assert reading(readings, "chloride") == (18.5, 18.5)
    assert reading(readings, "sulfate") == (2419.6, np.inf)
    assert reading(readings, "conductivity") == (650.0, 650.0)
    assert reading(readings, "total_dissolved_solids") == (410.0, 410.0)
    assert reading(readings, "total_hardness") == (150.0, 150.0)
    # 60.083 g of SiO2 hold 28.085 g of Si.
    assert reading(readings, "silicon")[0] == pytest.approx(20 * 28.085 / 60.083, rel=1e-4)
    assert "mmHG in the cell" in readings.rejected["problem"][0]
    assert "taken as CaCO3" in readings.assumptions["assumption"][0]
    assert adds_up(readings)


def test_what_is_no_concentration_is_set_aside_and_the_other_result_counts():
    readings = load(
        {"name": "Total dissolved solids", "value": "0.51", "unit": "tons/ac ft"},
        {"name": "Total dissolved solids", "value": "380", "unit": "mg/l"},
        {"activity": "A2", "name": "Total dissolved solids", "value": "3", "unit": "tons/day"},
    )
    assert reading(readings, "total_dissolved_solids") == (380.0, 380.0)
    assert readings.status[1, 0] == REJECTED
    assert readings.files[0].rejected_rows == 1
    assert readings.rejected["cells"].tolist() == [0, 1]
    assert readings.rejected["problem"].str.contains("no unit known here").all()
    assert adds_up(readings)


def test_nitrate_as_n_and_as_no3_counts_once():
    readings = load(
        {"name": "Nitrate", "value": "1.32", "unit": "mg/l as N"},
        {"name": "Nitrate", "value": "5.84", "unit": "mg/l asNO3"},
        {"activity": "A2", "name": "Nitrate", "value": "1.32", "unit": "mg/L",
         "speciation": "as N"},
        {"activity": "A2", "name": "Nitrate", "value": "8.84", "unit": "mg/L",
         "speciation": "as NO3"},
    )  # fmt: skip
    assert reading(readings, "nitrate") == (5.84, 5.84)
    assert readings.duplicates[["row", "kept_row"]].to_numpy().tolist() == [[2, 3], [5, 4]]
    # Different results: none is preferred, the reading spans both, and the user is asked.
    low, high = reading(readings, "nitrate", sample=1)
    assert (low, high) == (pytest.approx(5.843, abs=0.001), 8.84)
    assert readings.questions["row"].tolist() == [4]
    assert "differ" in readings.questions["question"][0]
    assert adds_up(readings)


def test_dissolved_and_total_metals_are_kept_apart_ions_are_not():
    readings = load(
        {"name": "Iron", "fraction": "Dissolved", "value": "20", "unit": "ug/l"},
        {"name": "Iron", "fraction": "Recoverable", "value": "26", "unit": "ug/l"},
        {"name": "Iron", "fraction": "Suspended", "value": "6", "unit": "ug/l"},
        {"name": "Chloride", "fraction": "Dissolved", "value": "2.8", "unit": "mg/l"},
        {"name": "Chloride", "fraction": "Total", "value": "2.8", "unit": "mg/l"},
    )
    assert reading(readings, "iron", "dissolved") == pytest.approx((0.02, 0.02))
    assert reading(readings, "iron", "digested") == pytest.approx((0.026, 0.026))
    assert reading(readings, "chloride") == (2.8, 2.8)
    assert "only a part of the sample" in readings.rejected["problem"][0]
    assert adds_up(readings)


def test_blanks_and_replicates_are_samples_of_their_own():
    readings = load(
        {"name": "Chloride", "value": "12", "unit": "mg/l"},
        {"type": "Quality Control Sample-Field Replicate", "name": "Chloride", "value": "13",
         "unit": "mg/l"},
        {"type": "Quality Control Sample-Equipment Blank", "name": "Chloride", "value": "0.1",
         "unit": "mg/l"},
    )  # fmt: skip
    assert readings.samples["sample_type"].tolist() == ["routine", "duplicate", "blank"]
    assert reading(readings, "chloride") == (12.0, 12.0)


@pytest.mark.parametrize(
    ("text", "kind"),
    [("Field Msr/Obs", "routine"), ("Sample-Composite Without Parents", "routine"),
     ("Quality Control Sample-Lab Duplicate", "duplicate"), ("", "routine"),
     ("Quality Control Sample-Lab Spike", "spike"),
     ("Quality Control Sample-Reference Sample", "check standard"),
     ("Quality Control Sample-Trip Blank", "blank")],
)  # fmt: skip
def test_types_of_activity(text, kind):
    assert sample_type(text) == kind


def test_several_depths_are_several_samples():
    names = {**OLDER, "depth": "ActivityDepthHeightMeasure/MeasureValue"}
    readings = load(
        {"name": "pH", "value": "7.1", "unit": "None", "depth": "1"},
        {"name": "pH", "value": "7.4", "unit": "None", "depth": "5"},
        names=names,
    )
    assert readings.samples["sampling_point"].tolist() == ["depth 1", "depth 5"]
    assert readings.samples["ActivityDepthHeightMeasure/MeasureValue"].tolist() == ["1", "5"]


def test_rows_of_which_nothing_can_be_used():
    readings = load(
        {"name": "Lead", "value": "5", "unit": "mg/kg", "medium": "Soil", "activity": "B"},
        {"name": "Dissolved oxygen (DO)", "value": "8", "unit": "mg/l"},
        {"name": "Phosphorus", "value": "0.05", "unit": "mg/l", "speciation": "as P"},
        {"name": "Chloride", "value": "8", "unit": "mg/l", "statistic": "Mean"},
        {"name": "Sulfate", "value": "8", "unit": "mg/l", "status": "Rejected"},
        {"name": "pH", "value": "99", "unit": "None"},
        {"name": "Sodium", "value": "8"},
    )
    said = readings.rejected.set_index("row")["problem"].to_dict()
    assert "'Soil' is no water" in said[2]
    assert "no analyte known here" in said[3]
    assert "more than phosphate" in said[4]
    assert "a statistic (Mean)" in said[5]
    assert "marks it 'Rejected'" in said[6]
    assert "impossible: expected 0 to 14 pH" in said[7]
    assert "no unit stands beside it" in said[8]
    assert readings.files[0].rejected_rows == 3
    assert (readings.status == REJECTED).sum() == 4
    assert len(readings.samples) == 1
    assert adds_up(readings)


def test_dates_that_cannot_be_used_leave_the_sample():
    row = {"name": "pH", "value": "7", "unit": "None"}
    readings = load(row | {"date": "03/04/31"}, row | {"date": "x", "activity": "A2"})
    assert readings.samples["taken_on"].isna().all()
    assert "--date-order" in readings.rejected["problem"][0]
    assert "expected a date" in readings.rejected["problem"][1]
    readings = load(row | {"date": "03/04/31"}, order="dmy")
    assert readings.samples["taken_on"][0] == pd.Timestamp("2031-04-03 08:30")


random_row = st.fixed_dictionaries(
    {
        "activity": st.sampled_from(["A1", "A2", ""]),
        "type": st.sampled_from(["Sample-Routine", "Quality Control Sample-Field Blank"]),
        "medium": st.sampled_from(["Water", "Soil", ""]),
        "name": st.sampled_from(["Chloride", "Iron", "pH", "Nitrate", "Sulfur", ""]),
        "fraction": st.sampled_from(["Dissolved", "Total", "Suspended", "Odd", ""]),
        "condition": st.sampled_from(["", "Not Detected", "Not Reported", "Odd"]),
        "value": st.sampled_from(["", "7", "7.1", "<0.5", "ND", "300,000", "x"]),
        "unit": st.sampled_from(["mg/l", "ug/l", "mg/l as N", "tons/day", "None", ""]),
        "speciation": st.sampled_from(["", "as N"]),
        "limit": st.sampled_from(["", "0.5", "x"]),
    }
)


@given(st.lists(random_row, min_size=1, max_size=12))
def test_every_row_is_accounted_for(rows):
    readings = load(*rows)
    assert readings.files[0].rows_read == len(rows)
    assert adds_up(readings)
    read = readings.status == READ
    assert (readings.lower[read] <= readings.upper[read]).all()
    assert np.isnan(readings.lower[~read]).all()
    lines = readings.rejected
    assert (lines["cells"] == 0).sum() == readings.files[0].rejected_rows
    assert (lines["cells"] == 1).sum() == (readings.status == REJECTED).sum()


def test_a_file_given_twice_counts_once():
    row = {"name": "Nitrate", "value": "1.32", "unit": "mg/l as N"}
    once = results(text_file(row, row | {"value": "5.84", "unit": "mg/l asNO3"}))
    readings = assemble([once, once])
    assert len(readings.samples) == 1
    assert [one.duplicate_rows for one in readings.files] == [1, 2]
    assert adds_up(readings)


def test_other_tables_are_not_of_this_layout():
    assert wqx_columns(["Sample No", "pH"]) is None
    file = TextFile("a.csv", b"Sample No,pH\nA,7\n", "UTF-8")
    table = read_table(file, find_format(file, {"pH"}.__contains__))
    with pytest.raises(ValueError, match="has not the columns of the WQX"):
        read_wqx(table)


# USEPA EPATADA demo data (CC0): rows and sites as counted in the files' own description,
# reported hardness against 2.497 Ca + 4.118 Mg [%], results of one place and moment together.
@pytest.mark.parametrize(
    ("name", "rows", "sites", "n", "least", "greatest", "median"),
    [
        ("wqx_usgs_36sites.csv", 1358, 36, 21, -0.3, 1.5, None),
        ("wqx_rivers_timeseries.csv", 1517, 3, 31, -5.4, 6.7, -0.3),
    ],
)
def test_real_files(open_data, name, rows, sites, n, least, greatest, median):
    file = read_text(open_data / "wqx" / name)
    readings = assemble([results(file)])
    assert readings.files[0].rows_read == rows
    assert adds_up(readings)
    raw = pd.read_csv(open_data / "wqx" / name, dtype=str)
    water = raw[raw["ActivityMediaName"] == "Water"]
    assert raw["MonitoringLocationIdentifier"].nunique() == sites
    assert set(readings.samples["sample_id"]) == set(water["ActivityIdentifier"])
    assert (readings.status != BLANK).all()

    samples = readings.samples[["unit_id", "taken_on"]].copy()
    for analyte in ("total_hardness", "calcium", "magnesium"):
        place = readings.position(analyte)
        read = readings.status[:, place] == READ
        samples[analyte] = readings.lower[:, place]
        assert (readings.lower[read, place] == readings.upper[read, place]).all()
    together = samples.groupby(["unit_id", "taken_on"]).first().dropna()
    computed = 2.497 * together["calcium"] + 4.118 * together["magnesium"]
    percent = 100.0 * (together["total_hardness"] / computed - 1.0)
    assert len(percent) == n
    assert percent.min() == pytest.approx(least, abs=0.05)
    assert percent.max() == pytest.approx(greatest, abs=0.05)
    if median is not None:
        assert percent.median() == pytest.approx(median, abs=0.05)


@pytest.mark.parametrize("name", ["wqp_results.txt", "wqp3_results.txt", "samples_results.txt"])
def test_untouched_exports_of_both_headers(open_data, name):
    file = read_text(open_data / "wqx" / name)
    readings = assemble([results(file)])
    raw = pd.read_csv(open_data / "wqx" / name, dtype=str)
    assert readings.files[0].rows_read == len(raw)
    assert adds_up(readings)
    conductance = readings.position("conductivity")
    assert np.isfinite(readings.lower[:, conductance]).any()
