"""Fills are separated by logged changes, and by nothing else."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.fills.fill_numbers import number_fills


def samples(unit_ids, dates=None, hours=None, sample_type="routine"):
    n = len(unit_ids)
    return pd.DataFrame(
        {
            "unit_id": pd.Series(unit_ids, dtype="str"),
            "taken_on": pd.to_datetime(pd.Series(dates if dates is not None else [None] * n)),
            "hours": pd.Series(hours if hours is not None else [np.nan] * n, dtype=float),
            "distance": np.full(n, np.nan),
            "sample_type": sample_type,
        }
    )


def changes(unit_ids, dates=None, hours=None, event="change"):
    frame = samples(unit_ids, dates, hours).drop(columns="sample_type")
    return frame.rename(columns={"taken_on": "date"}).assign(event=event)


def test_without_events_every_unit_has_one_fill():
    fills = number_fills(samples(["B", "A", "B"], ["2031-01-01"] * 3))
    assert list(fills.unit_ids) == ["A", "B"]
    assert fills.number.tolist() == [1, 1, 1]
    assert fills.group.tolist() == [1, 0, 1]
    assert fills.change.tolist() == [-1, -1, -1]


def test_a_sample_without_a_unit_belongs_to_no_fill():
    fills = number_fills(samples([None, "A"], ["2031-01-01"] * 2), changes(["A"], ["2030-01-01"]))
    assert fills.number.tolist() == [0, 2]
    assert fills.group.tolist() == [-1, 0]
    assert fills.current().tolist() == [False, True]


def test_each_change_separates_only_its_own_unit():
    fills = number_fills(
        samples(
            ["A", "A", "A", "B", "B"],
            ["2031-01-01", "2031-03-01", "2031-05-01", "2031-01-01", "2031-05-01"],
        ),
        changes(["A", "A"], ["2031-02-01", "2031-04-01"]),
    )
    assert fills.number.tolist() == [1, 2, 3, 1, 1]
    assert fills.change.tolist() == [-1, 0, 1, -1, -1]
    assert fills.current().tolist() == [False, False, True, True, True]


def test_used_coolant_is_drawn_before_the_change_and_fresh_coolant_after_it():
    drawn = samples(["A", "A"], ["2031-02-01", "2031-02-01"])
    drawn["sample_type"] = ["routine", "fresh fill"]
    fills = number_fills(drawn, changes(["A"], ["2031-02-01"]))
    assert fills.number.tolist() == [1, 2]


def test_a_change_after_the_last_sample_leaves_the_present_fill_without_one():
    fills = number_fills(samples(["A"], ["2031-01-01"]), changes(["A"], ["2031-02-01"]))
    assert fills.last_number.tolist() == [2]
    assert fills.current().tolist() == [False]


def test_hours_place_what_has_no_date():
    fills = number_fills(samples(["A", "A"], hours=[100.0, 900.0]), changes(["A"], hours=[500.0]))
    assert fills.number.tolist() == [1, 2]


def test_a_change_logged_by_hours_only_separates_samples_that_have_both():
    drawn = samples(["A"] * 3, ["2031-01-01", "2031-03-01", "2031-05-01"], [100.0, 300.0, 500.0])
    log = pd.concat(
        [changes(["A"], ["2031-02-01"]), changes(["A"], hours=[400.0])], ignore_index=True
    )
    fills = number_fills(drawn, log)
    assert fills.number.tolist() == [1, 2, 3]


@pytest.mark.parametrize("event", ["top-up", "dose", "repair", "meter reset"])
def test_other_events_do_not_begin_a_fill(event):
    fills = number_fills(
        samples(["A", "A"], ["2031-01-01", "2031-03-01"]),
        changes(["A"], ["2031-02-01"], event=event),
    )
    assert fills.number.tolist() == [1, 1]


@given(
    st.lists(st.tuples(st.sampled_from("ABC"), st.integers(0, 50)), min_size=1, max_size=30),
    st.lists(st.tuples(st.sampled_from("ABCD"), st.integers(0, 50)), max_size=10),
)
def test_the_number_is_one_more_than_the_changes_strictly_before(drawn, changed):
    day = pd.Timestamp("2031-01-01")
    frame = samples([u for u, _ in drawn], [day + pd.Timedelta(days=d) for _, d in drawn])
    log = changes([u for u, _ in changed], [day + pd.Timedelta(days=d) for _, d in changed])
    fills = number_fills(frame, log)
    expected = [1 + sum(v == u and e < d for v, e in changed) for u, d in drawn]
    assert fills.number.tolist() == expected
