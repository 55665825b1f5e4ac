"""Interval by risk: its definition, its limits, its refusals."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.planning import (
    Lifetime,
    bound_from_few_failures,
    fit_lifetime,
    interval_by_risk,
)

TIMES = np.array([500.0, 800.0, 950.0, 1300.0, 1700.0, 2100.0])
RISK = st.floats(0.001, 0.9)


def test_chance_of_a_crossing_by_interval_and_lead_time_is_the_risk():
    life = Lifetime.stated("weibull", 6000.0, 2.5)
    found = interval_by_risk(life, 0.1, lead_time=150.0)
    # 1 - exp(-(t / 6000)^2.5) = 0.1 at t = 6000 (-log 0.9)^(1 / 2.5).
    assert found.interval == pytest.approx(6000.0 * (-np.log(0.9)) ** 0.4 - 150.0)
    assert life.failure(found.interval + 150.0) == pytest.approx(0.1)


def test_limits_are_those_of_the_quantile():
    life = fit_lifetime(TIMES, TIMES)
    low, high = life.quantile_limits(0.2, 0.9)
    found = interval_by_risk(life, 0.2, lead_time=100.0, confidence=0.9)
    assert (found.lower, found.upper) == pytest.approx((max(low - 100.0, 0.0), high - 100.0))
    assert found.lower < found.interval < found.upper


@given(RISK, RISK, st.sampled_from(["weibull", "lognormal", "exponential"]))
@settings(max_examples=40, deadline=None)
def test_more_risk_never_gives_a_shorter_interval(one, other, family):
    life = fit_lifetime(TIMES, TIMES, family=family)
    less, more = (interval_by_risk(life, risk) for risk in sorted((one, other)))
    assert less.interval <= more.interval * (1 + 1e-12)
    assert less.lower <= more.lower * (1 + 1e-5)


def test_lead_time_longer_than_the_risk_allows():
    found = interval_by_risk(Lifetime.stated("weibull", 1000.0, 3.0), 0.01, lead_time=500.0)
    assert found.interval is None
    assert found.reason == "the lead time is longer than the risk allows"
    assert found.lower == 0.0


def test_few_crossings_give_a_lower_bound_only():
    bound = bound_from_few_failures([1000.0] * 20, [1000.0] + [np.inf] * 19)
    found = interval_by_risk(bound, 0.1, lead_time=20.0)
    assert found.interval is None
    assert found.reason == "too few crossings (1 seen): a lower bound only"
    assert found.lower == pytest.approx(bound.quantile_bound(0.1) - 20.0)
    assert found.upper == np.inf


@pytest.mark.parametrize("risk", [0.0, 1.0, -0.1, np.nan])
def test_impossible_risks(risk):
    with pytest.raises(ValueError, match=rf"risk: {risk:g}: expected a probability"):
        interval_by_risk(Lifetime.stated("weibull", 1000.0, 3.0), risk)


@pytest.mark.parametrize("lead", [-1.0, np.inf, np.nan])
def test_impossible_lead_times(lead):
    with pytest.raises(ValueError, match=f"lead time: {lead:g}: expected"):
        interval_by_risk(Lifetime.stated("weibull", 1000.0, 3.0), 0.1, lead)
