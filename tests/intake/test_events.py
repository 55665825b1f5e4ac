"""Logs of changes, top-ups and repairs."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.errors import IntakeError
from chemcheck.history.record import EVENT_COLUMNS, EVENT_KINDS
from chemcheck.intake.encoding import TextFile
from chemcheck.intake.events import event_kind, has_events, read_events
from chemcheck.intake.format import find_format
from chemcheck.intake.headers import read_header
from chemcheck.intake.table import read_table
from chemcheck.readings.record import PROBLEM_COLUMNS


@pytest.fixture
def log(tmp_path):
    def write(*rows):
        path = tmp_path / "log.csv"
        path.write_text("\n".join(rows), encoding="utf-8")
        return path

    return write


# How workshops write them: common practice, no source.
@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("change", "change"),
        ("Drain & fill", "change"),
        ("Drained and refilled", "change"),
        ("FLUSH", "change"),
        ("Kühlmittelwechsel", "change"),
        ("vidange", "change"),
        ("Partial drain", "partial change"),
        ("Top-Up", "top-up"),
        ("topped up", "top-up"),
        ("nachgefüllt", "top-up"),
        ("SCA added", "dose"),
        ("water pump replaced", "repair"),
        ("new meter", "meter reset"),
        ("", None),
        ("looked at it", None),
    ],
)
def test_what_people_write(text, kind):
    assert event_kind(text) == kind


def test_every_kind_is_known_by_its_own_name():
    assert [event_kind(kind) for kind in EVENT_KINDS] == list(EVENT_KINDS)


def test_a_log_with_units_in_its_cells(log):
    events = read_events(
        log(
            "Unit;Date;Hours;km;Event;Volume;Fluid;Note",
            "T1;2031-04-01;1.200;;change;38 L;premix;ok",
            "T1;03.05.2031;1250,5;;topped up;2 gal;water;",
            "T2;;;120.500;SCA dose;10-12;;",
        )
    )
    table = events.table
    assert tuple(table.columns) == EVENT_COLUMNS
    assert tuple(events.rejected.columns) == PROBLEM_COLUMNS
    assert events.rejected.empty
    assert table["event"].tolist() == ["change", "top-up", "dose"]
    assert table["row"].tolist() == [2, 3, 4]
    assert table["date"].tolist()[:2] == [pd.Timestamp("2031-04-01"), pd.Timestamp("2031-05-03")]
    assert table["hours"].tolist()[:2] == [1200.0, 1250.5]
    assert table["distance"][2] == 120500.0
    # 1 US gallon is 3.785411784 L by definition; a range counts by its middle.
    assert table["litres"].tolist() == pytest.approx([38.0, 7.570823568, 11.0])
    assert table["fluid"][0] == "premix"
    assert pd.isna(table["note"][1])


def test_units_in_the_title(log):
    events = read_events(log("Unit,Odometer (mi),Event,Gallons added", "T1,1000,top up,1"))
    assert events.table["distance"][0] == pytest.approx(1609.344)
    assert events.table["litres"][0] == pytest.approx(3.785411784)


def test_each_unusable_row_has_a_line(log):
    events = read_events(
        log(
            "Unit,Date,Event,Litres",
            "T1,2031-04-01,toped up,5",
            ",2031-04-01,change,5",
            "T1,,change,5",
            "T1,2031-04-01,,5",
            "T1,2031-04-01,change,5 kg",
            "T1,2031-02-30,change,5",
            "T1,2031-04-01,change,-5",
        )
    )
    assert events.table["row"].tolist() == [6, 8]
    assert np.isnan(events.table["litres"]).all()
    problems = events.rejected.groupby("row")["problem"].agg("; ".join).to_dict()
    assert "nearest: topped up" in problems[2]
    assert "no unit" in problems[3]
    assert "neither date nor hours nor distance" in problems[4]
    assert "expected one of: change" in problems[5]
    assert "mass" in problems[6]
    assert "expected a date" in problems[7]
    assert "0 or more" in problems[8]


def test_an_open_date_order_sets_only_the_dates_aside(log):
    path = log("Unit,Date,Hours,Event", "T1,03/04/31,100,change")
    events = read_events(path)
    assert events.table["date"].isna().all()
    assert events.table["hours"].tolist() == [100.0]
    assert "--date-order" in events.rejected["problem"][0]
    assert read_events(path, order="dmy").table["date"][0] == pd.Timestamp("2031-04-03")


def test_events_in_a_file_of_samples():
    data = b"Unit,Date,pH,Event,Litres\nT1,2031-04-01,8.1,,\nT1,x,8.2,top-up,4\nT1,y,8.3,oops,4\n"
    file = TextFile("a.csv", data, "UTF-8")
    table = read_table(file, find_format(file, lambda title: read_header(title).known))
    assert has_events([read_header(title) for title in table.layout.header])
    events = read_events(table)
    assert events.table.empty
    # The bad dates are reported with the samples, once.
    assert events.rejected["row"].tolist() == [3, 4]
    assert "neither date" in events.rejected["problem"][0]


def test_a_log_needs_its_columns(log):
    with pytest.raises(IntakeError, match="no column for the event"):
        read_events(log("Unit,Date", "T1,2031-04-01"))
    with pytest.raises(IntakeError, match="no column for the unit"):
        read_events(log("Date,Event", "2031-04-01,change"))
