"""Groups: the test against closed forms, its level, and Holm's adjustment."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import chi2

from chemcheck.planning import compare_groupings, fit_lifetime, holm

INF = np.inf


def test_two_exponential_groups_are_the_closed_form():
    # Twice the gain: 2 (sum r log(r / A) - R log(R / A)) for r ends in exposures A.
    one, other = np.array([100.0, 200.0, 600.0, 300.0]), np.array([900.0, 700.0, 1400.0])
    times, duty = np.append(one, other), ["hard"] * 4 + ["light"] * 3
    (test,) = compare_groupings(times, times, {"duty": duty}, family="exponential")
    expected = 2 * (4 * np.log(4 / 1200) + 3 * np.log(3 / 3000) - 7 * np.log(7 / 4200))
    assert test.statistic == pytest.approx(expected)
    assert test.degrees_of_freedom == 1
    assert test.p_value == pytest.approx(chi2.sf(expected, 1))
    assert test.lifetimes["hard"].scale == pytest.approx(300.0)
    assert test.common.scale == pytest.approx(600.0)


def test_groups_that_cannot_be_fitted_are_named_and_left_out():
    times = np.array([100.0, 150.0, 220.0, 400.0, 450.0, 520.0, 300.0, 310.0])
    upper = times.copy()
    upper[-1] = INF
    water = ["well"] * 3 + ["town"] * 3 + ["river"] * 2
    (test,) = compare_groupings(times, upper, {"water": water})
    assert list(test.lifetimes) == ["town", "well"]
    assert test.set_aside == {
        "river": "1 ends seen among 2 lifetimes: expected at least 3 for a lifetime; "
        "fewer give a bound only"
    }
    assert test.degrees_of_freedom == 2
    assert test.common.log_likelihood == fit_lifetime(times[:6], times[:6]).log_likelihood


def test_one_group_is_no_test():
    times = [100.0, 200.0, 300.0]
    nothing, something = compare_groupings(
        times * 2, times * 2, {"duty": ["all"] * 6, "water": ["a"] * 3 + ["b"] * 3}
    )
    assert nothing.reason == "fewer than two groups can be fitted by themselves"
    assert np.isnan(nothing.p_value)
    assert np.isnan(nothing.adjusted_p_value)
    # What could not be tested does not count among the tests.
    assert something.adjusted_p_value == something.p_value == pytest.approx(1.0)


def test_holm_as_by_hand():
    # 4 x 0.005, 3 x 0.01, 2 x 0.03, then not below the one before (Holm 1979, memory).
    assert_allclose(holm([0.01, 0.04, 0.03, 0.005]), [0.03, 0.06, 0.06, 0.02])
    assert_allclose(holm([0.01, np.nan, 0.6, 0.7]), [0.03, np.nan, 1.0, 1.0])
    assert holm([]).size == 0


def test_several_groupings_are_adjusted_together():
    rng = np.random.default_rng(1)
    times = 1000.0 * rng.weibull(2.0, 60)
    times[:30] *= 2.0
    labels = {
        "technology": np.repeat(["a", "b"], 30),
        "duty": np.tile(["x", "y"], 30),
        "water": np.tile(["p", "q", "r"], 20),
    }
    tests = compare_groupings(times, times, labels)
    assert [test.grouping for test in tests] == list(labels)
    assert_allclose(
        [test.adjusted_p_value for test in tests], holm([test.p_value for test in tests])
    )
    assert tests[0].adjusted_p_value < 0.001 < 0.05 < tests[1].adjusted_p_value


def test_groups_alike_differ_as_seldom_as_said():
    rng = np.random.default_rng(12)
    labels = np.repeat(["a", "b"], 30)
    p_values = []
    for _ in range(200):
        before = 200.0 * np.floor(5.0 * rng.weibull(2.0, 60))
        (test,) = compare_groupings(before, before + 200.0, {"group": labels})
        p_values.append(test.p_value)
    # 5 %, give or take three standard errors, and a little above for a likelihood ratio.
    assert 0.01 < np.mean(np.array(p_values) < 0.05) < 0.11
    assert 0.4 < np.mean(np.array(p_values) < 0.5) < 0.65


def test_weights_and_labels_stay_together():
    times = np.array([100.0, 200.0, 350.0, 50.0, 700.0, 900.0, 1000.0])
    labels = ["a", "a", "a", "b", "b", "b", "b"]
    weights = [1.0, 1.0, 1.0, 0.0, 1.0, 1.0, 1.0]
    (test,) = compare_groupings(times, times, {"group": labels}, weights)
    assert test.lifetimes["b"].scale == fit_lifetime(times[4:], times[4:]).scale


def test_labels_must_be_one_for_each():
    with pytest.raises(ValueError, match=r"duty: .*expected one label for each of 3 lifetimes"):
        compare_groupings([1.0, 2.0, 3.0], [1.0, 2.0, 3.0], {"duty": ["a", "b"]})
