"""Samples that stand twice, against a plain comparison of every pair."""

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.intake.duplicates import find_duplicates
from chemcheck.readings.record import ABSENT, BLANK, READ


def samples(rows: list[dict]) -> pd.DataFrame:
    usual = {
        "sample_id": None,
        "unit_id": None,
        "taken_on": None,
        "material": "coolant",
        "technology": None,
        "glycol_type": None,
        "sample_type": "routine",
        "sampling_point": None,
        "hours": np.nan,
        "distance": np.nan,
        "days": np.nan,
    }
    table = pd.DataFrame([usual | row for row in rows], columns=list(usual))
    table["taken_on"] = pd.to_datetime(table["taken_on"])
    return table


def found(rows: list[dict], values: list[list[float]], status=None, written=None):
    array = np.asfortranarray(values, dtype=float).reshape(len(rows), -1)
    if status is None:
        status = np.where(np.isnan(array), BLANK, READ)
    return find_duplicates(samples(rows), array, array, np.asarray(status, np.int8), written)


def test_same_content_is_a_repeat_whatever_the_unit_says_of_the_rest():
    rows = [{"sample_id": "A", "taken_on": "2031-01-01"}] * 3
    got = found(rows, [[7, np.nan]] * 3)
    assert got.repeats.tolist() == [1, 2]
    assert got.first.tolist() == [0, 0]
    assert not len(got.contradictory)


def test_one_that_differs_sets_all_aside():
    rows = [{"sample_id": "A", "taken_on": "2031-01-01"}] * 3
    got = found(rows, [[7], [7], [8]])
    assert got.contradictory.tolist() == [0, 1, 2]
    assert got.other.tolist() == [1, 0, 0]
    assert not len(got.repeats)


def test_blank_is_not_a_reading():
    rows = [{"sample_id": "A"}] * 2
    assert found(rows, [[7], [np.nan]]).contradictory.tolist() == [0, 1]


def test_what_is_known_of_the_sample_must_agree():
    rows = [{"sample_id": "A", "hours": 10.0}, {"sample_id": "A", "hours": 11.0}]
    assert found(rows, [[7], [7]]).contradictory.tolist() == [0, 1]


def test_another_day_type_or_place_is_another_sample():
    for key, other in (
        ("taken_on", "2031-01-02"),
        ("sample_type", "fresh fill"),
        ("sampling_point", "tap"),
    ):
        first = {"sample_id": "A", "taken_on": "2031-01-01"}
        got = found([first, first | {key: other}], [[7], [8]])
        assert not len(got.contradictory)
        assert not len(got.elsewhere)


def test_another_unit_is_a_question():
    rows = [{"sample_id": "A", "unit_id": unit} for unit in ("U1", "U2")]
    got = found(rows, [[7], [8]])
    assert not len(got.contradictory)
    assert (got.elsewhere.tolist(), got.twin.tolist()) == ([1], [0])


def test_unit_and_date_stand_for_a_missing_number():
    day = {"unit_id": "U1", "taken_on": "2031-01-01"}
    assert found([day, day], [[7], [8]]).contradictory.tolist() == [0, 1]
    assert found([day, day], [[7], [7]]).repeats.tolist() == [1]
    # Tap water and coolant of one day are two samples.
    assert not len(found([day, day | {"material": "water"}], [[7], [8]]).contradictory)


def test_unit_and_hours_stand_for_a_missing_date():
    at = {"unit_id": "U1", "hours": 100.0}
    assert found([at, at], [[7], [8]]).contradictory.tolist() == [0, 1]
    assert not len(found([at, at | {"hours": 200.0}], [[7], [8]]).contradictory)


def test_without_number_and_date_nothing_is_compared():
    assert not len(found([{"unit_id": "U1"}] * 2, [[7], [7]]).repeats)
    assert not len(found([{}] * 2, [[7], [7]]).repeats)


def test_date_set_aside_counts_as_it_is_written():
    rows = [{"sample_id": "A"}] * 2
    got = found(rows, [[7], [8]], written=pd.Series(["03/04/25", "04/04/25"], dtype="str"))
    assert not len(got.contradictory)


def test_other_columns_in_another_file_are_a_question():
    rows = [{"sample_id": "A"}] * 2
    got = found(rows, [[7, np.nan], [7, 5]], [[READ, ABSENT], [READ, READ]])
    assert not len(got.repeats)
    assert not len(got.contradictory)
    assert (got.elsewhere.tolist(), got.twin.tolist()) == ([1], [0])
    got = found(rows, [[7, np.nan], [8, 5]], [[READ, ABSENT], [READ, READ]])
    assert got.contradictory.tolist() == [0, 1]


row = st.tuples(
    st.sampled_from(["A", "B", None]),
    st.sampled_from(["U1", "U2"]),
    st.sampled_from(["2031-01-01", "2031-01-02", None]),
    st.sampled_from([7.0, 8.0, np.nan]),
)


@given(st.lists(row, min_size=1, max_size=12))
def test_against_every_pair(rows):
    table = [{"sample_id": s, "unit_id": u, "taken_on": d} for s, u, d, _ in rows]
    got = found(table, [[value] for *_, value in rows])

    def key(k):
        sample, unit, day, _ = rows[k]
        if sample is None and day is None:
            return ("alone", k)
        return (sample, unit, day)

    def equal(a, b):
        return a == b or (np.isnan(a) and np.isnan(b))

    repeats, contradictory = [], []
    for k in range(len(rows)):
        same = [j for j in range(len(rows)) if key(j) == key(k)]
        if not all(equal(rows[j][3], rows[k][3]) for j in same):
            contradictory.append(k)
        elif same[0] != k:
            repeats.append(k)
    assert sorted(got.repeats.tolist()) == repeats
    assert sorted(got.contradictory.tolist()) == contradictory
