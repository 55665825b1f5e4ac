"""Dates in every style, and what a file says about the order of day and month."""

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.intake.dates import date_order, parse_dates

APRIL_3 = np.datetime64("2025-04-03")


@pytest.mark.parametrize(
    "text",
    [
        "2025-04-03",
        "2025/4/3",
        "20250403",
        "45750",  # a spreadsheet shows day 45750 of its 1900 calendar so
        "3 April 2025",
        "03-Apr-25",
        "Apr 3, 2025",
        "April 3rd, 2025",
        "Thu, 3 Apr 2025",
        "3. April 2025",
        "Donnerstag, 3. April 2025",
        "3 avril 2025",
        "3 de abril de 2025",
        "2025 Apr 3",
        "3.4.25",
    ],
)
def test_one_day_in_many_styles(text):
    dates = parse_dates([text])
    assert dates.values[0].astype("M8[D]") == APRIL_3
    assert not dates.bad[0]
    assert not dates.ambiguous[0]


@pytest.mark.parametrize(
    ("text", "month"),
    [
        ("5 März 2025", 3),
        ("5 Mrz 25", 3),
        ("5 août 2025", 8),
        ("5 déc. 2025", 12),
        ("5 Dezember 2025", 12),
        ("5 enero 2025", 1),
        ("1er juillet 2025", 7),
        ("5 MAY 2025", 5),
    ],
)
def test_months_in_four_languages(text, month):
    assert parse_dates([text]).values[0].astype("M8[M]") == np.datetime64(f"2025-{month:02d}")


# ISO 8601 and common clock styles.
@pytest.mark.parametrize(
    ("text", "time"),
    [
        ("2025-04-03T14:30:00Z", "14:30"),
        ("2025-04-03 14:30:00.5+02:00", "14:30:00.5"),
        ("2025-04-03T14:30:15 EDT", "14:30:15"),
        ("20250403T143000", "14:30"),
        ("3.4.2025 14:30 Uhr", "14:30"),
        ("3 Apr 2025 2:30 PM", "14:30"),
        ("3 Apr 2025 12:05 am", "00:05"),
        ("45750.5", "12:00"),
    ],
)
def test_times_stay_as_the_clock_of_the_place_showed_them(text, time):
    assert parse_dates([text]).values[0] == np.datetime64(f"2025-04-03T{time}")


@pytest.mark.parametrize(
    "text",
    [
        "31/02/2025",
        "2025-13-01",
        "29.02.2025",
        "Apr 2025",
        "2025",
        "hello",
        "12:30",
        "2025-04-03 25:00",
        "99999",
        "3 Foo 2025",
    ],
)
def test_what_is_no_date_is_bad(text):
    dates = parse_dates([text])
    assert dates.bad[0]
    assert np.isnat(dates.values[0])


def test_blank_is_not_bad():
    assert not parse_dates(["", None, "  "]).bad.any()


def test_the_whole_file_decides_the_order():
    assert date_order({"a": ["03/04/25"], "b": ["28/04/25"]}).order == "dmy"
    assert date_order({"a": ["03/04/25"], "b": ["04/28/25"]}).order == "mdy"
    assert parse_dates(["03/04/25", "28/04/25"]).values[0].astype("M8[D]") == APRIL_3
    assert parse_dates(["03/04/25", "04/28/25"]).values[0] == np.datetime64("2025-03-04")


def test_an_open_order_sets_only_those_dates_aside_that_depend_on_it():
    dates = parse_dates(["03/04/25", "03/03/25", "2025-04-03", "3 Apr 2025"])
    assert dates.ambiguous.tolist() == [True, False, False, False]
    assert np.isnat(dates.values).tolist() == [True, False, False, False]
    assert dates.order_found is None
    assert "03/04/25" in dates.why


def test_contradicting_dates_are_read_where_they_have_one_reading():
    dates = parse_dates(["03/04/25", "28/04/25", "04/28/25"])
    assert dates.ambiguous.tolist() == [True, False, False]
    assert dates.values[1] == dates.values[2] == np.datetime64("2025-04-28")
    assert "more than one order" in dates.why


def test_the_stated_order_holds():
    assert parse_dates(["03/04/25"], "dmy").values[0].astype("M8[D]") == APRIL_3
    assert parse_dates(["03/04/25"], "mdy").values[0] == np.datetime64("2025-03-04")
    assert parse_dates(["25/04/03"], "ymd").values[0].astype("M8[D]") == APRIL_3
    assert parse_dates(["28/04/25"], "mdy").bad[0]
    with pytest.raises(ValueError, match="dmy, mdy, ymd"):
        parse_dates(["03/04/25"], "day")


def test_dates_in_the_future_are_left():
    assert parse_dates(["2099-01-01"]).values[0] == np.datetime64("2099-01-01")


@given(st.lists(st.dates(), min_size=1), st.sampled_from(["%Y-%m-%d", "%Y%m%d", "%d %b %Y"]))
def test_every_day_comes_back(days, style):
    days = [day for day in days if 1900 <= day.year <= 2099]
    texts = pa.array([day.strftime(style) for day in days], type=pa.string())
    assert parse_dates(texts).values.astype("M8[D]").tolist() == days


@given(st.lists(st.text(max_size=20), max_size=6))
def test_any_text_is_a_date_or_bad_or_blank(texts):
    dates = parse_dates(texts)
    good = ~np.isnat(dates.values)
    blank = np.array([not text.strip() for text in texts], dtype=bool)
    assert ((good.astype(int) + dates.bad + dates.ambiguous + blank) == 1).all()
