"""Readings in order: labels, places that coincide, sums over fills."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from chemcheck.forecasting.fill_rows import SMALLEST_STEP, fill_codes, order_rows, sum_by_fill


@pytest.fixture
def rows():
    codes = np.array([1, 0, 1, 0, 2])
    axis = np.array([0.5, 0.25, 0.5, 0.75, 1.0])
    return order_rows(codes, axis, np.empty((0, 5)), 0.0)[0]


def test_readings_are_sorted_by_fill_then_along_the_axis(rows):
    assert rows.fill.tolist() == [0, 0, 1, 1, 2]
    assert rows.design[1].tolist() == [0.25, 0.75, 0.5, 0.5, 1.0]
    assert_allclose(rows.steps, [0.25, 0.5, 0.5, SMALLEST_STEP, 1.0])
    assert rows.starts.tolist() == [0, 2, 4]
    assert rows.last.tolist() == [1, 3, 4]


def test_some_fills_keep_their_rows(rows):
    some, kept = rows.select(np.array([2, 0]))
    assert kept.tolist() == [4, 0, 1]
    assert some.fill.tolist() == [0, 1, 1]
    assert some.starts.tolist() == [0, 1]


def test_a_place_that_comes_twice_is_one_unless_kept(rows):
    merged, stand_in = rows.merge_places(np.zeros(5, dtype=bool))
    assert merged.design[1].tolist() == [0.25, 0.75, 0.5, 1.0]
    assert merged.starts.tolist() == [0, 2, 3]
    assert stand_in.tolist() == [0, 1, 2, 2, 3]
    unchanged, _ = rows.merge_places(np.ones(5, dtype=bool))
    assert unchanged.fill.size == 5


def test_sums_run_over_each_fill(rows):
    assert sum_by_fill(np.arange(10.0).reshape(2, 5), rows.starts).tolist() == [
        [1.0, 5.0, 4.0],
        [11.0, 15.0, 9.0],
    ]


def test_labels_are_sorted_numbers_before_texts():
    codes, labels = fill_codes(["b", 3, "b", "a"], 4)
    assert codes.tolist() == [2, 0, 2, 1]
    assert labels.tolist() == [3, "a", "b"]
