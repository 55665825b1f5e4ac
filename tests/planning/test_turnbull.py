"""Survival without a family against cases solved by hand and a plain algorithm."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import isotonic_regression

from chemcheck.errors import NotEnoughDataError
from chemcheck.planning import turnbull

INF = np.inf


def test_three_overlapping_intervals():
    # Probability can only lie in (1, 2] and (2, 3]; log p + log 1 + log(1 - p) is greatest at 1/2.
    estimate = turnbull([0, 1, 2], [2, 3, 4])
    assert_allclose(estimate.lower, [1.0, 2.0])
    assert_allclose(estimate.upper, [2.0, 3.0])
    assert_allclose(estimate.probability, [0.5, 0.5])
    assert estimate.log_likelihood == pytest.approx(2 * np.log(0.5))


def test_a_weighted_pair():
    # 2 log p + log(1 - p) + log 1: p = 2/3.
    estimate = turnbull([0, 0, 1], [1, 2, 2], [2, 1, 1])
    assert_allclose(estimate.probability, [2 / 3, 1 / 3])


def test_exact_and_right_censored_is_the_product_limit():
    # Kaplan-Meier by hand: 3/4 after 1; 3/4 * 1/2 after 3; nothing known after 4.
    estimate = turnbull([1, 2, 3, 4], [1, INF, 3, INF])
    for time, expected in ((0.5, 1.0), (1.0, 0.75), (2.9, 0.75), (3.0, 0.375), (4.0, 0.375)):
        least, greatest = estimate.survival(time)
        assert least == pytest.approx(expected)
        assert greatest == pytest.approx(expected)
    least, greatest = estimate.survival(5.0)
    assert (least, greatest) == (pytest.approx(0.0), pytest.approx(0.375))


def test_an_exact_end_at_an_upper_end_is_inside_and_at_a_lower_end_outside():
    estimate = turnbull([100, 200, 200], [200, 200, 300])
    # (100, 200] and 200 share the point 200; (200, 300] does not hold it.
    assert_allclose(estimate.lower, [200.0, 200.0])
    assert_allclose(estimate.upper, [200.0, 300.0])
    assert_allclose(estimate.probability, [2 / 3, 1 / 3])


def test_looked_at_once_is_isotonic_regression():
    # One look a unit: the share ended by each age, put in order (Ayer et al. 1955, memory).
    rng = np.random.default_rng(2)
    looked = np.sort(rng.uniform(10.0, 1000.0, 60)).round(3)
    ended = rng.uniform(size=60) < looked / 1200.0
    estimate = turnbull(np.where(ended, 0.0, looked), np.where(ended, looked, INF))
    expected = 1.0 - isotonic_regression(ended.astype(float)).x
    least, greatest = estimate.survival(looked)
    assert_allclose(least, expected, atol=1e-6)
    assert_allclose(greatest, expected, atol=1e-6)


def plain_self_consistency(estimate, lower, upper, rounds=20_000):
    """Turnbull's own iteration on the same intervals, dense and slow."""
    exact = lower == upper
    covers = (lower[:, None] <= estimate.lower) & (estimate.upper <= upper[:, None])
    covers &= ~(
        ~exact[:, None] & (estimate.lower == estimate.upper) & (estimate.lower == lower[:, None])
    )
    p = np.full(estimate.lower.size, 1.0 / estimate.lower.size)
    for _ in range(rounds):
        shares = covers * p
        p = (shares / shares.sum(axis=1, keepdims=True)).mean(axis=0)
    return np.log((covers * p).sum(axis=1)).sum()


@st.composite
def intervals(draw):
    n = draw(st.integers(1, 14))
    starts = np.array(draw(st.lists(st.integers(0, 9), min_size=n, max_size=n)), dtype=float)
    widths = draw(st.lists(st.sampled_from([0.0, 1.0, 2.0, 5.0, INF]), min_size=n, max_size=n))
    lower, upper = starts, starts + np.array(widths)
    return np.where(upper == 0.0, 1.0, lower), np.where(upper == 0.0, 1.0, upper)


@given(intervals())
@settings(max_examples=40, deadline=None)
def test_no_plain_iteration_gets_higher(observed):
    lower, upper = observed
    estimate = turnbull(lower, upper)
    assert estimate.probability.sum() == pytest.approx(1.0)
    assert (estimate.probability >= 0.0).all()
    assert (estimate.lower[1:] >= estimate.upper[:-1]).all()
    plain = plain_self_consistency(estimate, lower, upper, rounds=300)
    assert estimate.log_likelihood >= plain - 1e-6
    assert estimate.log_likelihood + estimate.shortfall >= plain


def test_the_plain_iteration_ends_at_the_same_height():
    rng = np.random.default_rng(8)
    lower = rng.integers(0, 40, 80).astype(float)
    upper = lower + rng.integers(1, 15, 80)
    estimate = turnbull(lower, upper)
    assert estimate.shortfall < 1e-6
    plain = plain_self_consistency(estimate, lower, upper)
    assert estimate.log_likelihood == pytest.approx(plain, abs=1e-4)
    assert estimate.log_likelihood >= plain


@given(intervals(), st.data())
@settings(max_examples=30, deadline=None)
def test_weights_are_repetition(observed, data):
    lower, upper = observed
    times = data.draw(st.lists(st.integers(1, 4), min_size=lower.size, max_size=lower.size))
    weighted = turnbull(lower, upper, times)
    repeated = turnbull(np.repeat(lower, times), np.repeat(upper, times))
    assert weighted.log_likelihood == pytest.approx(repeated.log_likelihood, abs=1e-5)


def test_many_intervals_come_close_to_the_truth():
    rng = np.random.default_rng(4)
    times = 6000.0 * rng.weibull(2.2, 5000)
    first = rng.uniform(0.0, 500.0, times.size)
    before = first + 500.0 * np.floor((times - first) / 500.0)
    estimate = turnbull(np.maximum(before, 0.0), before + 500.0)
    assert estimate.shortfall < 1e-4
    at = np.linspace(1000.0, 10_000.0, 19)
    least, greatest = estimate.survival(at)
    known = np.exp(-((at / 6000.0) ** 2.2))
    # The estimate's error falls with the cube root of the number.
    assert np.abs(0.5 * (least + greatest) - known).max() < 0.04


def test_nothing_is_refused():
    with pytest.raises(NotEnoughDataError, match="no lifetimes"):
        turnbull([], [])
