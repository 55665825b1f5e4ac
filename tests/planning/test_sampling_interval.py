"""Sampling interval from the P-F interval: the guide's formula."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.planning import sampling_interval


@pytest.mark.parametrize(
    ("chance", "samples", "interval"), [(0.8, 2, 200.0), (0.6, 4, 100.0), (1.0, 1, 400.0)]
)
def test_worked_examples(chance, samples, interval):
    # P-F 500 h, lead 100 h, miss 5 %: n = ln 0.05 / ln(1 - chance) = 1.9 and 3.3, rounded up;
    # formula: naval aviation guide quoted in a training deck (published), the figures computed.
    plan = sampling_interval(500.0, 100.0, chance, 0.05)
    assert (plan.samples, plan.interval) == (samples, pytest.approx(interval))


def test_a_whole_number_is_not_rounded_up():
    assert sampling_interval(500.0, 0.0, 0.8, 0.04).samples == 2
    assert sampling_interval(500.0, 0.0, 0.9, 0.001).samples == 3


def test_one_sample_at_least():
    assert sampling_interval(500.0, 0.0, 0.9, 0.5).samples == 1


@given(st.floats(0.01, 1.0), st.floats(1e-6, 0.99))
def test_the_miss_is_accepted_and_one_sample_fewer_is_not(chance, acceptable):
    plan = sampling_interval(500.0, 100.0, chance, acceptable)
    assert plan.miss <= acceptable * (1 + 1e-6)
    assert plan.samples == 1 or (1 - chance) ** (plan.samples - 1) > acceptable * (1 - 1e-6)


def test_damage_before_work_can_be_done():
    plan = sampling_interval(100.0, 100.0, 0.8, 0.05)
    assert plan.interval is None
    assert "damage comes before work can be done" in plan.reason


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((-1.0, 1.0, 0.5, 0.1), "P-F interval: -1: expected"),
        ((np.nan, 1.0, 0.5, 0.1), "P-F interval: nan: expected"),
        ((10.0, -1.0, 0.5, 0.1), "lead time: -1: expected"),
        ((10.0, 1.0, 0.0, 0.1), "detection chance: 0: expected"),
        ((10.0, 1.0, 1.1, 0.1), "detection chance: 1.1: expected"),
        ((10.0, 1.0, 0.5, 0.0), "acceptable miss: 0: expected"),
        ((10.0, 1.0, 0.5, 1.0), "acceptable miss: 1: expected"),
    ],
)
def test_refusals(arguments, message):
    with pytest.raises(ValueError, match=message):
        sampling_interval(*arguments)
