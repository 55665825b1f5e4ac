"""Stated lifetimes: ranges, refusals, limits."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from chemcheck.planning import Lifetime


def test_a_stated_lifetime_is_its_own_limits():
    life = Lifetime.stated("weibull", 100.0, 2.0)
    assert life.scale_limits() == (100.0, 100.0)
    assert life.shape_limits() == (2.0, 2.0)
    assert life.quantile_limits(0.5) == pytest.approx((life.quantile(0.5),) * 2)
    assert life.survival_limits(50.0) == pytest.approx((life.survival(50.0),) * 2)


@pytest.mark.parametrize(
    ("shape", "expected"), [(2.0, 0.0), (1.0, 0.01)], ids=["rising", "constant"]
)
def test_hazard_at_age_zero(shape, expected):
    # Weibull hazard: (b / s) (t / s)^(b - 1).
    assert Lifetime.stated("weibull", 100.0, shape).hazard(0.0) == pytest.approx(expected)


def test_age_zero_and_below_and_never():
    life = Lifetime.stated("lognormal", 100.0, 1.0)
    assert_allclose(life.survival([-1.0, 0.0, np.inf]), [np.nan, 1.0, 0.0])
    assert_allclose(life.failure([0.0, np.inf]), [0.0, 1.0])
    assert_allclose(life.quantile([0.0, 1.0, 1.5]), [0.0, np.inf, np.nan])
    assert life.restricted_mean(0.0) == 0.0


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("weibull", -1.0, 2.0), "scale: -1: expected a finite number above 0"),
        (("weibull", 1.0, np.inf), "shape: inf: expected a finite number above 0"),
        (("exponential", 1.0, 2.0), "shape: 2: expected 1"),
        (("normal", 1.0, 2.0), "'normal' is no family"),
    ],
)
def test_impossible_lifetimes_are_refused(arguments, message):
    with pytest.raises(ValueError, match=message):
        Lifetime.stated(*arguments)
