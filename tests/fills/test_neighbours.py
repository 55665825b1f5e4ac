"""Lines through neighbours that one wrong value cannot bend."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from chemcheck.fills.neighbours import lines_through_neighbours


def test_series_do_not_mix():
    series = np.repeat([0, 1], 6)
    time = np.tile(np.arange(6.0), 2)
    value = np.where(series == 0, time, 100 - time)
    lines = lines_through_neighbours(series, time, value)
    assert lines.predicted == pytest.approx(value)


def test_a_value_alone_has_no_prediction():
    lines = lines_through_neighbours(np.array([0, 1, 1]), np.arange(3.0), np.array([1.0, 2.0, 3.0]))
    assert np.isnan(lines.predicted).tolist() == [True, False, False]
    assert lines.others.tolist() == [0, 1, 1]


def test_a_missing_value_is_predicted_and_predicts_nothing():
    value = np.array([1.0, 2.0, np.nan, 4.0, 5.0, 6.0])
    lines = lines_through_neighbours(np.zeros(6, int), np.arange(6.0), value)
    assert lines.predicted[2] == pytest.approx(3.0)
    assert lines.others.tolist() == [3, 4, 5, 4, 4, 3]


@given(
    arrays(float, 9, elements=st.floats(-5, 5)),
    st.integers(0, 8),
    st.floats(-1e6, 1e6),
)
def test_one_wrong_value_moves_no_other_prediction_beyond_its_neighbours(noise, place, wrong):
    time = np.arange(9.0)
    value = 2 * time + noise
    value[place] = wrong
    lines = lines_through_neighbours(np.zeros(9, int), time, value)
    others = np.delete(np.arange(9), place)
    off = np.abs(lines.predicted - 2 * time)[others]
    # Slopes of good pairs are within 2 +- 10, over at most four steps, heights within 5.
    assert off.max() <= 5 + 4 * 10 + 1e-6


def test_inflation_grows_towards_the_ends():
    lines = lines_through_neighbours(np.zeros(9, int), np.arange(9.0), np.arange(9.0))
    assert lines.inflation[0] > lines.inflation[4] > 1
    # A line through 4 points at 1, 2, 3, 4 seen from 0: 1/4 + 2.5^2/5 = 1.5, times pi/2.
    assert lines.inflation[0] == pytest.approx(np.sqrt(1 + np.pi / 2 * 1.5))
