"""Bounds from few ends against their own definition."""

import numpy as np
import pytest
from scipy.stats import chi2, gamma, poisson

from chemcheck.errors import NotEnoughDataError
from chemcheck.planning import bound_from_few_failures

INF = np.inf


def test_no_failure_is_the_rule_of_three():
    # 3 / exposure at 95 % (memory): -log(0.05) = 2.996.
    bound = bound_from_few_failures([1000.0, 2000.0, 500.0], [INF] * 3)
    assert bound.exposure == 3500.0
    assert bound.rate_upper == pytest.approx(3 / 3500, rel=2e-3)
    assert bound.rate_upper == pytest.approx(-np.log(0.05) / 3500)


@pytest.mark.parametrize("failures", [0, 1, 2])
def test_at_the_bound_so_few_failures_are_a_five_percent_chance(failures):
    lower = [1000.0] * 10
    bound = bound_from_few_failures(lower, [1000.0] * failures + [INF] * (10 - failures))
    assert poisson.cdf(failures, bound.rate_upper * 10_000.0) == pytest.approx(0.05)
    assert bound.rate_upper == pytest.approx(chi2.ppf(0.95, 2 * failures + 2) / 20_000.0)
    # With a constant hazard the quantile bound is the same statement.
    assert bound.quantile_bound(0.1) == pytest.approx(-np.log(0.9) / bound.rate_upper)


def test_an_interval_counts_with_its_lower_end():
    bound = bound_from_few_failures([0.0, 400.0, 1000.0], [300.0, 600.0, INF])
    assert (bound.failures, bound.exposure) == (2.0, 1400.0)


def test_the_least_over_the_band_of_shapes():
    lower, upper = [900.0, 1000.0, 1100.0], [INF] * 3
    held = [bound_from_few_failures(lower, upper, shape_band=(b, b)) for b in (1.0, 2.0, 3.0)]
    band = bound_from_few_failures(lower, upper, shape_band=(1.0, 3.0))
    for p in (0.01, 0.5):
        assert band.quantile_bound(p) == pytest.approx(min(one.quantile_bound(p) for one in held))
    exposure = np.sum(np.array(lower) ** 2.0)
    scale = np.sqrt(exposure / gamma.ppf(0.95, 1.0))
    assert held[1].quantile_bound(0.1) == pytest.approx(scale * np.sqrt(-np.log(0.9)))


def test_refusals():
    with pytest.raises(NotEnoughDataError, match="nothing was survived"):
        bound_from_few_failures([0.0], [100.0])
    with pytest.raises(ValueError, match="shape band"):
        bound_from_few_failures([10.0], [INF], shape_band=(2.0, 1.0))
    with pytest.raises(ValueError, match="confidence: 0: expected"):
        bound_from_few_failures([10.0], [INF], confidence=0.0)
