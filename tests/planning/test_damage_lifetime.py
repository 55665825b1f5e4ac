"""Crossing and delay together, against known convolutions and plain integration."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import quad
from scipy.stats import gamma

from chemcheck.planning import DamageLifetime, Lifetime

EXPONENTIAL = Lifetime.stated("exponential", 100.0)


def test_two_equal_exponential_stages_are_a_gamma():
    both, known = DamageLifetime(EXPONENTIAL, EXPONENTIAL), gamma(2.0, scale=100.0)
    times = np.array([0.01, 1.0, 50.0, 200.0, 900.0])
    assert_allclose(both.failure(times), known.cdf(times), rtol=1e-7)
    assert_allclose(both.survival(times), known.sf(times), rtol=1e-6)
    assert both.mean == pytest.approx(200.0)
    assert both.quantile(0.3) == pytest.approx(known.ppf(0.3), rel=1e-8)
    used, _ = quad(known.sf, 0.0, 250.0)
    assert both.restricted_mean(250.0) == pytest.approx(used)


@pytest.mark.parametrize(
    ("crossing", "delay"),
    [
        (Lifetime.stated("weibull", 3000.0, 3.0), Lifetime.stated("weibull", 800.0, 0.7)),
        (Lifetime.stated("weibull", 3000.0, 0.8), Lifetime.stated("lognormal", 300.0, 1.0)),
        (Lifetime.stated("lognormal", 2000.0, 0.5), Lifetime.stated("exponential", 20.0)),
    ],
)
@pytest.mark.parametrize("time", [150.0, 2500.0, 6000.0])
def test_failure_is_the_convolution(crossing, delay, time):
    both = DamageLifetime(crossing, delay)

    def integrand(log_left):
        left = np.exp(log_left)
        return float(crossing.failure(max(time - left, 0.0)) * delay.density(left) * left)

    expected, _ = quad(integrand, np.log(time) - 40.0, np.log(time), epsabs=1e-13, limit=400)
    assert both.failure(time) == pytest.approx(expected, rel=2e-5)
    assert both.survival(time) == pytest.approx(1.0 - expected, abs=1e-7)


def test_limits_of_the_shape_are_those_of_the_crossing():
    both = DamageLifetime(EXPONENTIAL, Lifetime.stated("weibull", 5.0, 2.0))
    for other in both.at_shape_limits():
        assert other == both
