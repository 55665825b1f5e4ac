"""Which sample a row is, when it was taken, how long its unit had run."""

import numpy as np
import pandas as pd
import pytest


def test_ids_stay_text(read_text_of):
    samples = read_text_of("Sample No,Unit,pH\n007, T1 ,7\n1.50,,8\n").samples
    assert samples["sample_id"].tolist() == ["007", "1.50"]
    assert samples["unit_id"].iloc[0] == "T1"
    assert pd.isna(samples["unit_id"].iloc[1])
    assert samples["sample_id"].dtype == "str"


def test_axes_in_their_units(read_text_of):
    text = 'Sample No,pH,Odometer (mi),Hrs,Days\nA,7,100,1200 h,3\nB,7,,"1,234.5",\n'
    samples = read_text_of(text).samples
    # 1 mile is 1.609344 km by definition.
    assert samples["distance"].tolist()[0] == pytest.approx(160.9344)
    assert samples["hours"].tolist() == [1200, 1234.5]
    np.testing.assert_equal(samples["days"].to_numpy(), [3, np.nan])


def test_axis_that_is_no_number_is_a_rejected_cell(read_text_of):
    readings = read_text_of("Sample No,pH,Hrs\nA,7,-5\nB,7,many\nC,7,5 km\nD,7,>300\n")
    assert readings.samples["hours"].isna().all()
    lines = readings.rejected
    assert lines["row"].tolist() == [2, 3, 4, 5]
    assert lines["text"].tolist() == ["-5", "many", "5 km", ">300"]
    assert lines["problem"].iloc[0] == "expected a number of h, 0 or more"
    assert "neither converts" in lines["problem"].iloc[2]


def test_dates(read_text_of):
    text = "Sample No,pH,Date Sampled\nA,7,28/04/25\nB,7,03/04/25\nC,7,\nD,7,31/02/2025\n"
    readings = read_text_of(text)
    days = readings.samples["taken_on"].astype("str").tolist()
    assert days[:2] == ["2025-04-28", "2025-04-03"]
    assert readings.samples["taken_on"].isna().tolist() == [False, False, True, True]
    assert "day first, as in 28/04/25" in readings.files[0].found
    assert readings.rejected[["row", "column", "text"]].values.tolist() == [
        [5, "Date Sampled", "31/02/2025"]
    ]
    # What could not be read is still there to look at.
    assert readings.samples["Date Sampled"].iloc[3] == "31/02/2025"


def test_dates_the_file_leaves_open_are_set_aside_together(read_text_of):
    text = "Sample No,pH,Date Sampled\nA,7,03/04/25\nB,7,05/06/25\nC,7,07/07/25\n"
    readings = read_text_of(text)
    assert readings.samples["taken_on"].isna().tolist() == [True, True, False]
    line = readings.rejected.iloc[0]
    assert (line["column"], line["text"], line["cells"]) == ("Date Sampled", "03/04/25", 2)
    assert "--date-order dmy" in line["problem"]
    assert pd.isna(line["row"])
    settled = read_text_of(text, date_order="mdy")
    assert settled.samples["taken_on"].astype("str").tolist()[0] == "2025-03-04"
    assert not len(settled.rejected)
    assert (readings.status == settled.status).all()


def test_dates_set_aside_never_hide_those_read(read_text_of):
    samples = read_text_of("sample_id,ph,taken_on\nA,7,2025-01-02\nB,7,soon\n").samples
    assert samples["taken_on"].isna().tolist() == [False, True]
    assert samples["taken_on (2)"].tolist() == ["2025-01-02", "soon"]


def test_serial_dates_of_a_spreadsheet(read_text_of):
    # Day 45750 of the 1900 date system is 3 April 2025.
    samples = read_text_of("Sample No,pH,Date\nA,7,45750\n").samples
    assert samples["taken_on"].astype("str").tolist() == ["2025-04-03"]


def test_rows_of_an_event_are_no_samples(read_text_of):
    rows = ["T1,2025-01-02,8,,", "T1,2025-02-02,,top-up,2", "T1,2025-03-02,9,dose,1"]
    readings = read_text_of("\n".join(["Unit,Date,pH,Event,Litres", *rows]))
    assert readings.samples["row"].tolist() == [2, 4]
    assert readings.files[0].rows_read == 2
    assert readings.samples["Event"].tolist()[1] == "dose"
    assert "1 row logs an event and holds no reading: no sample" in (
        readings.assumptions["assumption"].tolist()
    )


def test_file_of_nothing_but_events_has_no_samples(read_text_of):
    readings = read_text_of("Unit,Date,pH,Event\nT1,2025-02-02,,top-up\n")
    assert len(readings.samples) == 0
    assert readings.lower.shape == (0, 1)
    assert readings.files[0].rows_read == 0
