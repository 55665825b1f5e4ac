"""Age replacement against worked examples, the defining integral and what must always hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from chemcheck.planning import (
    DamageLifetime,
    Lifetime,
    best_interval,
    best_interval_before_damage,
    fit_lifetime,
)

INF = np.inf


def cost_by_integral(life, planned, failure, age):
    used, _ = quad(lambda t: float(life.survival(t)), 0.0, age, epsabs=0.0, epsrel=1e-12)
    survived = float(life.survival(age))
    return (planned * survived + failure * (1.0 - survived)) / used


@pytest.mark.parametrize(
    ("ratio", "interval", "saving"), [(4, 3350, 31), (8, 2350, 52), (15, 1800, 67)]
)
def test_worked_example(ratio, interval, saving):
    # Shape 2.5, scale 6000 h, computed from the formula of open library documentation and
    # rounded to 50 h and whole per cent; common practice, no source.
    best = best_interval(Lifetime.stated("weibull", 6000.0, 2.5), 1.0, ratio)
    assert best.interval == pytest.approx(interval, abs=25)
    assert 100 * best.saving == pytest.approx(saving, abs=0.5)
    assert best.reason is None


@pytest.mark.parametrize(
    "life",
    [
        Lifetime.stated("weibull", 6000.0, 2.5),
        Lifetime.stated("weibull", 12.0, 1.4),
        Lifetime.stated("lognormal", 4000.0, 0.4),
    ],
)
@pytest.mark.parametrize("ratio", [5.0, 1000.0])
def test_least_of_the_defining_integral(life, ratio):
    best = best_interval(life, 1.0, ratio)
    for age in (0.5 * best.interval, best.interval, 1.7 * best.interval):
        place = np.argmin(np.abs(best.curve_age - age))
        at = best.curve_age[place]
        assert best.curve_cost_rate[place] == pytest.approx(
            cost_by_integral(life, 1.0, ratio, at), rel=1e-9
        )
    found = minimize_scalar(
        lambda age: cost_by_integral(life, 1.0, ratio, age),
        bounds=(0.3 * best.interval, 3.0 * best.interval),
        method="bounded",
        options={"xatol": 1e-6 * best.interval},
    )
    assert best.cost_rate == pytest.approx(found.fun, rel=1e-10)
    assert best.interval == pytest.approx(found.x, rel=1e-4)
    assert best.run_to_failure_rate == pytest.approx(ratio / life.mean)
    low, high = best.flat_range
    for end in (low, high):
        if np.isfinite(end):
            cost = cost_by_integral(life, 1.0, ratio, end)
            assert cost == pytest.approx(1.05 * best.cost_rate, rel=1e-6)
    assert low < best.interval < high


def test_flat_range_is_open_where_running_to_failure_costs_little_more():
    best = best_interval(Lifetime.stated("weibull", 1000.0, 1.6), 1.0, 2.8)
    assert 0.001 < best.saving < 0.0476
    assert best.flat_range[1] == INF


@pytest.mark.parametrize(
    ("life", "costs", "reason"),
    [
        (Lifetime.stated("exponential", 1000.0), (1, 5), "the hazard does not rise"),
        (Lifetime.stated("weibull", 1000.0, 1.0), (1, 5), "the hazard does not rise"),
        (Lifetime.stated("weibull", 1000.0, 0.7), (1, 50), "the hazard does not rise"),
        (Lifetime.stated("weibull", 1000.0, 3.0), (5, 5), "costs no more than a planned change"),
        (Lifetime.stated("weibull", 1000.0, 3.0), (5, 4), "costs no more than a planned change"),
        (Lifetime.stated("weibull", 1000.0, 1.02), (1, 3), "saves less than 0.1 %"),
        (Lifetime.stated("lognormal", 1000.0, 1.5), (1, 3), "saves less than 0.1 %"),
    ],
)
def test_where_no_age_helps(life, costs, reason):
    best = best_interval(life, *costs)
    assert best.interval is None
    assert reason in best.reason
    assert best.flat_range is None
    assert best.interval_limits is None
    assert best.saving == 0.0
    assert best.cost_rate == pytest.approx(costs[1] / life.mean)
    assert np.isfinite(best.curve_cost_rate).all()


def test_constant_hazard_costs_more_at_every_age():
    # Exponential: (Cp R + Cf (1 - R)) / (m (1 - R)) = Cf / m + Cp R / (m (1 - R)).
    best = best_interval(Lifetime.stated("exponential", 1000.0), 1.0, 5.0)
    survived = np.exp(-best.curve_age / 1000.0)
    expected = 5.0 / 1000.0 + survived / (1000.0 * (1.0 - survived))
    assert_allclose(best.curve_cost_rate, expected, rtol=1e-9)
    assert (best.curve_cost_rate > best.run_to_failure_rate).all()


def test_a_shape_that_may_be_one_gives_no_interval():
    times = np.array([180.0, 420.0, 610.0, 900.0, 1500.0])
    life = fit_lifetime(times, times)
    assert life.shape > 1.2
    best = best_interval(life, 1.0, 8.0)
    low, high = life.shape_limits()
    assert best.interval is None
    assert best.reason == (
        "no evidence that changing by age helps: the 95 % interval of the shape, "
        f"{low:.2f} to {high:.2f}, includes 1"
    )
    # At less confidence the shape is known to be above 1.
    assert best_interval(life, 1.0, 8.0, confidence=0.5).interval is not None


def test_a_lognormal_shape_that_may_not_help_gives_no_interval():
    times = np.array([180.0, 420.0, 610.0, 1500.0])
    best = best_interval(fit_lifetime(times, times, family="lognormal"), 1.0, 6.0)
    assert best.interval is None
    assert "at the 95 % limit of the shape it does not" in best.reason


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_limits_of_the_interval_are_best_at_the_limits_of_the_shape(family):
    rng = np.random.default_rng(7)
    times = 5000.0 * rng.weibull(3.0, 60)
    life = fit_lifetime(times, times, family=family)
    best = best_interval(life, 1.0, 10.0)
    others = [best_interval(other, 1.0, 10.0).interval for other in life.at_shape_limits()]
    assert best.interval_limits == pytest.approx((min(others), max(others)), rel=1e-6)
    assert best.interval_limits[0] < best.interval_limits[1]


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
@pytest.mark.parametrize("shape", [0.02, 0.2, 1.0, 5.0, 60.0])
@pytest.mark.parametrize("ratio", [1.001, 1e7])
def test_extreme_lifetimes_and_costs(family, shape, ratio):
    best = best_interval(Lifetime.stated(family, 1000.0, shape), 1.0, ratio)
    assert (best.interval is None) == (best.reason is not None)
    if best.interval is not None:
        assert best.cost_rate < best.run_to_failure_rate
        assert best.flat_range[0] < best.interval < best.flat_range[1]


def test_costs_scale_and_time_scales():
    one = best_interval(Lifetime.stated("weibull", 6000.0, 2.0), 1.0, 7.0)
    other = best_interval(Lifetime.stated("weibull", 6.0, 2.0), 300.0, 2100.0)
    assert other.interval == pytest.approx(one.interval / 1000.0, rel=1e-6)
    assert other.cost_rate == pytest.approx(300_000.0 * one.cost_rate)


@given(
    st.floats(1.05, 8.0),
    st.floats(1.1, 500.0),
    st.floats(1.01, 10.0),
    st.sampled_from(["weibull", "lognormal"]),
)
@settings(max_examples=60, deadline=None)
def test_a_dearer_failure_never_gives_a_longer_interval(steepness, ratio, dearer, family):
    shape = steepness if family == "weibull" else 1.0 / steepness
    life = Lifetime.stated(family, 1000.0, shape)
    cheap = best_interval(life, 1.0, ratio).interval
    dear = best_interval(life, 1.0, ratio * dearer).interval
    if cheap is not None:
        assert dear is not None
        assert dear <= cheap * (1.0 + 1e-6)


@pytest.mark.parametrize("cost", [0.0, -5.0, INF, np.nan])
def test_impossible_costs_are_one_line(cost):
    life = Lifetime.stated("weibull", 1000.0, 2.0)
    with pytest.raises(ValueError, match=rf"^planned cost: {cost:g}: expected a finite number"):
        best_interval(life, cost, 10.0)
    with pytest.raises(ValueError, match=rf"^failure cost: {cost:g}: expected a finite number"):
        best_interval_before_damage(life, None, 10.0, cost)


def test_without_a_delay_no_cost_is_told():
    best = best_interval_before_damage(Lifetime.stated("weibull", 1000.0, 2.0), None, 1.0, 8.0)
    assert best.interval is None
    assert best.reason == "cost needs the delay from crossing to damage"
    assert np.isnan(best.cost_rate)
    assert best.curve_age.size == 0


def test_two_constant_hazards_in_a_row_make_one_that_rises():
    # Gamma of shape 2: R = (1 + t) e^-t, mean used 2 - (2 + t) e^-t, in units of a stage.
    stage = Lifetime.stated("exponential", 1000.0)
    best = best_interval_before_damage(stage, stage, 1.0, 20.0)

    def cost(t):
        survived = (1.0 + t) * np.exp(-t)
        return (survived + 20.0 * (1.0 - survived)) / (2.0 - (2.0 + t) * np.exp(-t))

    found = minimize_scalar(cost, bounds=(0.05, 5.0), method="bounded", options={"xatol": 1e-10})
    assert best.interval == pytest.approx(1000.0 * found.x, rel=1e-4)
    assert best.cost_rate == pytest.approx(found.fun / 1000.0, rel=1e-8)


def test_a_longer_delay_never_costs_more():
    crossing = Lifetime.stated("weibull", 3000.0, 3.0)
    rates = [
        best_interval_before_damage(
            crossing, Lifetime.stated("weibull", delay, 2.0), 1.0, 8.0
        ).cost_rate
        for delay in (1.0, 100.0, 1000.0, 4000.0)
    ]
    assert (np.diff(rates) < 0.0).all()
    # Damage at once is failure at the crossing.
    at_once = best_interval(crossing, 1.0, 8.0)
    assert rates[0] == pytest.approx(at_once.cost_rate, rel=1e-3)


def test_doubt_about_the_crossing_is_doubt_about_the_interval():
    times = np.array([180.0, 420.0, 610.0, 900.0, 1500.0])
    crossing = fit_lifetime(times, times)
    short = Lifetime.stated("exponential", 5.0)
    best = best_interval(DamageLifetime(crossing, short), 1.0, 5.0)
    assert best.interval is None
    assert "no evidence" in best.reason
