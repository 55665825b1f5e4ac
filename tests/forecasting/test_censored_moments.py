"""Truncated normal evidence against numerical integration and scipy's truncated normal."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.stats import norm, truncnorm

from chemcheck.forecasting.censored_moments import interval_evidence

CASES = [(-np.inf, 0.5), (2.0, np.inf), (-1.0, 1.5), (3.0, 4.0), (-6.0, -5.5), (-0.2, -0.1)]


@pytest.mark.parametrize(("lower", "upper"), CASES)
def test_moments_are_the_truncated_normals(lower, upper):
    mean, deviation = 0.3, 1.4
    found = interval_evidence(
        np.array([lower]), np.array([upper]), np.array([mean]), np.array([deviation**2])
    )
    low, high = (lower - mean) / deviation, (upper - mean) / deviation
    expected = truncnorm(low, high, loc=mean, scale=deviation)
    assert_allclose(np.exp(found.log_probability), norm.cdf(high) - norm.cdf(low), rtol=1e-9)
    assert_allclose(mean + deviation**2 * found.slope, expected.mean(), rtol=1e-8)
    assert_allclose(
        deviation**2 + deviation**4 * found.curvature, expected.var(), rtol=1e-6, atol=1e-9
    )


def test_a_narrow_interval_is_its_midpoint():
    found = interval_evidence(
        np.array([1.0]), np.array([1.0 + 1e-6]), np.array([0.0]), np.array([4.0])
    )
    assert_allclose(found.log_probability, norm(0.0, 2.0).logpdf(1.0) + np.log(1e-6), rtol=1e-5)
    assert_allclose(found.slope, 0.25, rtol=1e-5)


@given(st.floats(-60.0, 60.0), st.floats(1e-3, 50.0), st.floats(-40.0, 40.0))
def test_an_interval_never_adds_doubt(lower, width, mean):
    one = np.ones(1)
    found = interval_evidence(lower * one, (lower + width) * one, mean * one, one)
    assert np.isfinite(found.log_probability).all()
    assert found.log_probability <= 1e-12
    inside = mean + found.slope
    assert lower - 1e-6 <= inside <= lower + width + 1e-6
    # Variance of a truncated normal lies between nothing and the normal's own.
    assert -1.0 - 1e-6 <= found.curvature <= 1e-6
