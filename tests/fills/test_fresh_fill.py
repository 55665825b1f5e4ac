"""A fraction of fresh needs a reference: the fill's own, or the user's for the technology."""

import pandas as pd

from chemcheck.fills.fill_numbers import number_fills
from chemcheck.fills.fresh_fill import fresh_fill_rows


def rows(records, changes=None):
    frame = pd.DataFrame(records, columns=["unit_id", "sample_type", "taken_on", "technology"])
    frame["unit_id"] = frame["unit_id"].astype("str")
    frame["taken_on"] = pd.to_datetime(frame["taken_on"])
    frame["hours"] = frame["distance"] = float("nan")
    log = None
    if changes:
        log = pd.DataFrame(changes, columns=["unit_id", "date"])
        log["date"] = pd.to_datetime(log["date"])
        log = log.assign(event="change", hours=float("nan"), distance=float("nan"))
    return fresh_fill_rows(frame, number_fills(frame, log)).tolist()


def test_without_a_fresh_sample_there_is_no_reference():
    assert rows([("A", "routine", "2031-01-01", "hybrid")]) == [-1]


def test_a_reference_does_not_outlive_its_fill():
    assert rows(
        [
            ("A", "fresh fill", "2031-01-01", "hybrid"),
            ("A", "routine", "2031-03-01", "hybrid"),
            ("A", "routine", "2031-09-01", "hybrid"),
        ],
        [("A", "2031-06-01")],
    ) == [0, 0, -1]


def test_a_reference_without_a_unit_serves_its_technology_only():
    assert rows(
        [
            (None, "fresh fill", "2031-01-01", "hybrid"),
            ("A", "routine", "2031-03-01", "hybrid"),
            ("B", "routine", "2031-03-01", "conventional"),
            ("C", "routine", "2031-03-01", None),
        ]
    ) == [0, 0, -1, -1]


def test_the_fills_own_reference_comes_before_the_general_one():
    assert rows(
        [
            (None, "fresh fill", "2031-01-01", "hybrid"),
            ("A", "fresh fill", "2031-02-01", "hybrid"),
            ("A", "routine", "2031-03-01", "hybrid"),
        ]
    ) == [0, 1, 1]


def test_of_several_the_first_by_date_counts():
    assert rows(
        [
            ("A", "fresh fill", "2031-02-01", "hybrid"),
            ("A", "fresh fill", "2031-01-01", "hybrid"),
            ("A", "routine", "2031-03-01", "hybrid"),
        ]
    ) == [1, 1, 1]
