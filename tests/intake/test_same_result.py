"""Several results of one cell."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.intake.same_result import join_results
from chemcheck.readings.record import BLANK, READ, REJECTED


def join(*results):
    """Join results written as (cell, lower, upper, rounding, status)."""
    cell, lower, upper, rounding, status = (np.array(part) for part in zip(*results, strict=True))
    return join_results(cell, lower, upper, rounding, status.astype(np.int8))


def test_a_reading_comes_before_what_was_rejected_and_that_before_a_blank():
    nan = np.nan
    joined = join(
        (0, nan, nan, 0.0, BLANK),
        (0, nan, nan, 0.0, REJECTED),
        (0, 5.0, 5.0, 0.5, READ),
        (1, nan, nan, 0.0, BLANK),
        (1, nan, nan, 0.0, REJECTED),
    )
    assert joined.place.tolist() == [2, 4]
    assert joined.status.tolist() == [READ, REJECTED]
    assert joined.kept.tolist() == [2, 2, 2, 4, 4]
    assert not joined.differs.any()


def test_a_number_below_a_non_detects_limit_agrees_with_it():
    joined = join((0, 0.0, 0.05, 0.005, READ), (0, 0.03, 0.03, 0.005, READ))
    assert (joined.lower[0], joined.upper[0]) == (0.03, 0.03)
    assert not joined.differs[0]


def test_results_that_differ_are_carried_as_their_range_by_the_first_row():
    joined = join((0, 7.7, 7.7, 0.05, READ), (0, 7.0, 7.0, 0.05, READ), (0, 8.0, np.inf, 0.5, READ))
    assert (joined.lower[0], joined.upper[0]) == (7.0, np.inf)
    assert joined.place[0] == 0
    assert joined.differs[0]


def test_none():
    assert len(join_results(*(np.zeros(0),) * 4, np.zeros(0, np.int8)).place) == 0


result = st.tuples(
    st.integers(0, 3),
    st.integers(0, 30),
    st.integers(0, 5),
    st.sampled_from([0.0, 0.5, 2.0]),
    st.sampled_from([READ, BLANK, REJECTED]),
)


@given(st.lists(result, min_size=1, max_size=12))
def test_one_reading_for_each_cell_and_none_is_lost(drawn):
    results = [
        (cell, low, low + width, rounding, status)
        if status == READ
        else (cell, np.nan, np.nan, 0.0, status)
        for cell, low, width, rounding, status in drawn
    ]
    joined = join(*results)
    cells = sorted({one[0] for one in results})
    assert [results[place][0] for place in joined.place] == cells
    for number, cell in enumerate(cells):
        mine = [one for one in results if one[0] == cell and one[4] == READ]
        if not mine:
            assert joined.status[number] != READ
            continue
        assert joined.status[number] == READ
        agree = max(one[1] - one[3] for one in mine) <= min(one[2] + one[3] for one in mine)
        if joined.differs[number]:
            assert not agree or max(o[1] - o[3] for o in mine) == pytest.approx(
                min(o[2] + o[3] for o in mine)
            )
            assert joined.lower[number] == min(one[1] for one in mine)
            assert joined.upper[number] == max(one[2] for one in mine)
        else:
            narrowest = min(one[2] - one[1] + 2 * one[3] for one in mine)
            kept = results[joined.place[number]]
            assert kept[2] - kept[1] + 2 * kept[3] == pytest.approx(narrowest, abs=1e-4)
