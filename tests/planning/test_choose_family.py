"""Choice of a family: known truth found with many lifetimes, doubt with few."""

import numpy as np
import pytest

from chemcheck.errors import NotEnoughDataError
from chemcheck.planning import choose_family, fit_lifetime


@pytest.mark.parametrize(
    ("family", "draw"),
    [
        ("weibull", lambda rng: rng.weibull(3.0, 1500)),
        ("lognormal", lambda rng: rng.lognormal(0.0, 0.5, 1500)),
    ],
)
def test_many_lifetimes_tell(family, draw):
    times = 1000.0 * draw(np.random.default_rng(6))
    before = 100.0 * np.floor(times / 100.0)
    choice = choose_family(before, before + 100.0)
    assert choice.lifetime.family == family
    assert choice.decided
    assert choice.close == (choice.lifetime,)
    assert choice.reason.startswith(f"{family} is ahead of ")


def test_exponential_lifetimes_do_not_need_a_shape():
    times = 1000.0 * np.random.default_rng(1).exponential(size=400)
    choice = choose_family(times, times)
    assert choice.lifetime.family == "exponential"
    # The Weibull family holds the exponential one, and costs one parameter more.
    assert {life.family for life in choice.close} == {"exponential", "weibull"}
    assert choice.reason == "the data cannot tell exponential from weibull"


def test_order_is_that_of_akaike():
    times = np.array([100.0, 150.0, 220.0, 400.0, 450.0, 1520.0])
    choice = choose_family(times, times)
    # AIC = 2 k - 2 log L.
    criteria = [
        2 * parameters - 2 * fit_lifetime(times, times, family=family).log_likelihood
        for family, parameters in (("weibull", 2), ("lognormal", 2), ("exponential", 1))
    ]
    assert [life.aic for life in choice.lifetimes] == pytest.approx(sorted(criteria))
    assert not choice.decided
    assert choice.reason.startswith("the data cannot tell")


def test_a_family_that_cannot_be_fitted_is_left_out():
    choice = choose_family([100.0, 120.0, 90.0], [200.0, 180.0, 300.0])
    assert [life.family for life in choice.lifetimes] == ["exponential"]
    assert not choice.decided
    assert choice.reason.startswith("only exponential can be fitted: all lifetimes may have")


def test_none_can_be_fitted():
    with pytest.raises(NotEnoughDataError, match="0 ends seen"):
        choose_family([100.0], [np.inf])
