"""Evidence of one reading against numerical integration and scipy's truncated normal."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.stats import norm, truncnorm

from chemcheck.forecasting.reading_evidence import normal_evidence, reading_evidence
from chemcheck.forecasting.variances import WILD_FACTOR

CASES = [(-np.inf, 0.5), (2.0, np.inf), (-1.0, 1.5), (3.0, 4.0), (-6.0, -5.5), (-0.2, -0.1)]


def one(value):
    return np.array([[value]])


@pytest.mark.parametrize(("lower", "upper"), CASES)
def test_moments_are_the_truncated_normals(lower, upper):
    mean, deviation = 0.3, 1.4
    found = normal_evidence(np.array([lower]), np.array([upper]), one(mean), one(deviation**2))
    low, high = (lower - mean) / deviation, (upper - mean) / deviation
    expected = truncnorm(low, high, loc=mean, scale=deviation)
    assert_allclose(np.exp(found.log_probability), norm.cdf(high) - norm.cdf(low), rtol=1e-9)
    assert_allclose(mean + deviation**2 * found.slope, expected.mean(), rtol=1e-8)
    assert_allclose(
        deviation**2 + deviation**4 * found.curvature, expected.var(), rtol=1e-6, atol=1e-9
    )


def test_a_narrow_interval_is_its_midpoint():
    found = normal_evidence(np.array([1.0]), np.array([1.0 + 1e-6]), one(0.0), one(4.0))
    assert_allclose(found.log_probability, norm(0.0, 2.0).logpdf(1.0) + np.log(1e-6), rtol=1e-5)
    assert_allclose(found.slope, 0.25, rtol=1e-5)


@pytest.mark.parametrize(("lower", "upper"), [(1.8, 1.8), (-9.0, -9.0), (-np.inf, 0.2), (2.0, 3.0)])
def test_a_reading_that_may_be_wild_by_integration(lower, upper):
    mean, variance, noise, wild = 0.4, 0.6, 0.3, 0.07
    deviations = np.sqrt(noise) * np.array([1.0, WILD_FACTOR])

    value, step = np.linspace(-12.0, 12.0, 200_001, retstep=True)
    if lower == upper:
        usual, wider = (norm.pdf(lower, value, deviation) for deviation in deviations)
    else:
        usual, wider = (
            norm.cdf(upper, value, deviation) - norm.cdf(lower, value, deviation)
            for deviation in deviations
        )
    weight = ((1 - wild) * usual + wild * wider) * norm.pdf(value, mean, np.sqrt(variance)) * step

    found = reading_evidence(
        np.array([lower]),
        np.array([upper]),
        one(mean),
        one(variance),
        np.array([noise]),
        np.array([wild]),
    )
    total, first, second = (float((value**power * weight).sum()) for power in range(3))
    assert_allclose(found.log_probability, np.log(total), rtol=1e-7)
    assert_allclose(mean + variance * found.slope, first / total, rtol=1e-6)
    assert_allclose(
        variance + variance**2 * found.curvature, second / total - (first / total) ** 2, rtol=1e-6
    )


@given(st.floats(-60.0, 60.0), st.floats(1e-3, 50.0), st.floats(-40.0, 40.0))
def test_an_interval_never_adds_doubt(lower, width, mean):
    found = normal_evidence(np.array([lower]), np.array([lower + width]), one(mean), one(1.0))
    assert np.isfinite(found.log_probability).all()
    assert found.log_probability <= 1e-12
    inside = mean + found.slope
    assert lower - 1e-6 <= inside <= lower + width + 1e-6
    # Variance of a truncated normal lies between nothing and the normal's own.
    assert -1.0 - 1e-6 <= found.curvature <= 1e-6
