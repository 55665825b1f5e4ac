"""Intervals carried through arithmetic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.errors import QuantityError
from chemcheck.remedies.estimate import between, choose, cut, exact, hull, refuse_where

ENDS = st.tuples(st.floats(0.1, 100.0), st.floats(0.0, 50.0)).map(lambda e: (e[0], e[0] + e[1]))


@given(ENDS, ENDS, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_hull_holds_every_value_between_the_ends(first, second, one, other):
    def quotient(a, b):
        return a / b

    found = hull(quotient, between(*first), between(*second))
    a = first[0] + one * (first[1] - first[0])
    b = second[0] + other * (second[1] - second[0])
    assert found.lower - 1e-9 <= a / b <= found.upper + 1e-9
    assert found.lower <= found.value <= found.upper


def test_exact_inputs_give_an_exact_result_for_a_column():
    found = hull(lambda a, b: a + b, exact([1.0, 2.0]), exact(3.0))
    assert found.is_exact
    assert found.value.tolist() == [4.0, 5.0]


def test_a_corner_without_a_result_is_left_out():
    found = hull(lambda a: np.where(a > 0, 1.0 / np.where(a > 0, a, 1.0), np.nan), between(-1, 3))
    assert (found.value, found.lower, found.upper) == (1.0, pytest.approx(1 / 3), 1.0)


def test_ends_the_wrong_way_round_are_refused():
    with pytest.raises(QuantityError, match="upper end of an interval is below"):
        between(2.0, 1.0)


def test_choose_and_cut():
    picked = choose(np.array([True, False]), between(1.0, 3.0), exact(9.0))
    assert picked.lower.tolist() == [1.0, 9.0]
    short = cut(between([-2.0, 5.0], [4.0, 12.0]), exact(10.0))
    assert (short.lower.tolist(), short.upper.tolist()) == ([0.0, 5.0], [4.0, 10.0])


def test_refused_rows_are_counted_in_a_column_only():
    with pytest.raises(QuantityError, match=r"^too much \(2 of 3 rows\)$"):
        refuse_where([True, False, True], "too much")
    with pytest.raises(QuantityError, match=r"^too much$"):
        refuse_where(True, "too much")
    refuse_where([False], "too much")
