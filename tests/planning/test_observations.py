"""Refusals of intervals that cannot be."""

import numpy as np
import pytest

from chemcheck.planning.observations import observe


@pytest.mark.parametrize(
    ("lower", "upper", "message"),
    [
        ([1.0, -2.0], [3.0, 3.0], "lifetime 1: -2 to 3: expected a finite lower end"),
        ([1.0, np.nan], [3.0, 3.0], "lifetime 1: nan to 3: expected a finite lower end"),
        ([np.inf], [np.inf], "lifetime 0: inf to inf: expected a finite lower end"),
        ([0.0], [0.0], "lifetime 0: 0 to 0: expected an upper end above 0"),
        ([1.0], [np.nan], "lifetime 0: 1 to nan: expected an upper end above 0"),
        ([3.0], [2.0], "lifetime 0: 3 to 2: expected a lower end not above"),
        ([3.0, 4.0], [5.0], r"equal length, found shapes \(2,\), \(1,\) and \(2,\)"),
        ([[3.0]], [[5.0]], "one row each"),
    ],
)
def test_impossible_intervals_are_named(lower, upper, message):
    with pytest.raises(ValueError, match=message):
        observe(lower, upper)


@pytest.mark.parametrize("weight", [-1.0, np.nan, np.inf])
def test_impossible_weights_are_named(weight):
    with pytest.raises(ValueError, match=f"weight 1: {weight:g}: expected a finite number"):
        observe([1.0, 2.0], [3.0, 4.0], [1.0, weight])


def test_weight_zero_is_left_out():
    seen = observe([1.0, 2.0], [3.0, np.inf], [0.0, 2.0])
    assert (seen.failures, seen.censored, seen.exposure) == (0.0, 2.0, 4.0)
