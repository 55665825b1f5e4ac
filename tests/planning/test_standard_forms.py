"""Every family against scipy's own distributions."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy import stats
from scipy.integrate import quad

from chemcheck.planning import Lifetime
from chemcheck.planning.standard_forms import FAMILIES, family_named

CASES = [
    (Lifetime.stated("weibull", 6000.0, 2.5), stats.weibull_min(2.5, scale=6000.0)),
    (Lifetime.stated("weibull", 3.0, 0.6), stats.weibull_min(0.6, scale=3.0)),
    (Lifetime.stated("lognormal", 4000.0, 0.5), stats.lognorm(0.5, scale=4000.0)),
    (Lifetime.stated("lognormal", 20.0, 2.0), stats.lognorm(2.0, scale=20.0)),
    (Lifetime.stated("exponential", 700.0), stats.expon(scale=700.0)),
]


@pytest.mark.parametrize(("life", "known"), CASES)
def test_distributions_are_those_of_scipy(life, known):
    p = np.array([1e-9, 1e-3, 0.1, 0.5, 0.9, 1 - 1e-6])
    times = known.ppf(p)
    assert_allclose(life.quantile(p), times, rtol=1e-9)
    assert_allclose(life.survival(times), known.sf(times), rtol=1e-9)
    assert_allclose(life.failure(times), known.cdf(times), rtol=1e-9)
    assert_allclose(life.density(times), known.pdf(times), rtol=1e-9)
    assert_allclose(life.hazard(times), known.pdf(times) / known.sf(times), rtol=1e-8)
    assert life.mean == pytest.approx(known.mean())


@pytest.mark.parametrize(("life", "known"), CASES)
@pytest.mark.parametrize("p", [1e-4, 0.3, 0.99])
def test_restricted_mean_is_the_integral_of_survival(life, known, p):
    end = known.ppf(p)
    expected, _ = quad(known.sf, 0.0, end, epsabs=0.0, epsrel=1e-11)
    assert life.restricted_mean(end) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("family", FAMILIES.values(), ids=lambda family: family.name)
def test_probability_between_keeps_its_digits_in_the_tails(family):
    # A tiny interval's probability is density times width, wherever it lies.
    for z in (-20.0, -3.0, 0.0, 2.0, 5.0):
        at, gap = np.array([z]), np.array([1e-4])
        expected = family.log_density(at + 0.5e-4) + np.log(gap)
        assert_allclose(family.between(at, gap).value, expected, rtol=1e-7, atol=1e-6)


@pytest.mark.parametrize("family", FAMILIES.values(), ids=lambda family: family.name)
def test_slope_and_bend_are_derivatives(family):
    z, h = np.linspace(-4.0, 2.0, 7), 1e-5
    rise = (family.log_density(z + h) - family.log_density(z - h)) / (2.0 * h)
    turn = (family.slope(z + h) - family.slope(z - h)) / (2.0 * h)
    assert_allclose(family.slope(z), rise, rtol=1e-6, atol=1e-8)
    assert_allclose(family.bend(z), turn, rtol=1e-6, atol=1e-8)


def test_unknown_family_is_refused():
    with pytest.raises(ValueError, match=r"'weibul' is no family .* nearest: weibull"):
        family_named("weibul")
