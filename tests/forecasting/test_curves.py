"""Curves: the certified exponential fit, recovery of known shapes, choice between them."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from chemcheck.errors import NotEnoughDataError
from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.curves import Curve

FILLS, SAMPLES = 60, 6
CURVES_OF_THE_AXIS = [
    Curve("straight"),
    Curve("power", 0.4),
    Curve("power", 2.5),
    Curve("asymptotic", 0.004),
]


def fleet_of(kind, *, seed=0, fills=FILLS):
    """A fleet over 1,000 h whose fills share a shape; returns X, y, groups."""
    random = np.random.default_rng(seed)
    hours = np.sort(random.uniform(0.0, 1000.0, (fills, SAMPLES)), axis=1)
    start = np.exp(random.normal(0.0, 0.05, (fills, 1)))
    rate = np.exp(random.normal(0.0, 0.15, (fills, 1)))
    error = random.normal(size=hours.shape)
    if kind == "exponential":
        y = 1200.0 * start * np.exp(-rate * hours / 900.0) * np.exp(0.03 * error)
    elif kind == "asymptotic":
        y = 10.0 * start - 6.0 * rate * (1.0 - np.exp(-hours / 300.0)) + 0.1 * error
    elif kind == "straight":
        y = 10.0 * start - 4.0 * rate * hours / 1000.0 + 0.1 * error
    else:
        y = 5.0 * start + 20.0 * rate * (hours / 1000.0) ** float(kind) + 0.5 * error
    return hours.reshape(-1, 1), y.ravel(), np.repeat(np.arange(fills), SAMPLES)


@pytest.mark.parametrize("kind", ["straight", "exponential"])
def test_the_shape_of_the_fleet_is_chosen(kind):
    X, y, groups = fleet_of(kind)
    trend = FleetTrend().fit(X, y, groups=groups)
    assert trend.curve_ == kind
    best = trend.candidates_.iloc[0]
    assert best["curve"] == kind
    others = trend.candidates_.query("curve != @kind")
    assert (others["log_likelihood"] < best["log_likelihood"]).all()


@pytest.mark.parametrize("power", [0.5, 2.0])
def test_the_power_of_usage_is_found(power):
    X, y, groups = fleet_of(str(power))
    trend = FleetTrend().fit(X, y, groups=groups)
    assert trend.curve_ == "power"
    assert trend.shape_ == pytest.approx(power, rel=0.1)


def test_first_order_depletion_has_its_published_life():
    # First order: t = ln(c0 / L) / k. 1200 mg/L, 900 after 1000 h, bound 800: 1409 h.
    hours = np.array([[0.0], [250.0], [500.0], [750.0], [1000.0]])
    y = 1200.0 * (900.0 / 1200.0) ** (hours[:, 0] / 1000.0)
    trend = FleetTrend(curve="exponential", errors="independent").fit(hours, y)
    crossing = trend.first_crossing(800.0, "below").iloc[0]
    assert crossing["p50"] == pytest.approx(1409.4, abs=0.5)
    assert trend.slope_ == pytest.approx(-2.877e-4, rel=1e-3)
    # At the last sample the slope is -k c.
    assert crossing["slope"] == pytest.approx(-2.877e-4 * 900.0, rel=1e-3)


def test_zero_order_depletion_has_its_life():
    # Zero order: t = (c0 - L) / k0 = 400 / 0.3 h.
    hours = np.array([[0.0], [250.0], [500.0], [750.0], [1000.0]])
    trend = FleetTrend(curve="straight", errors="independent").fit(
        hours, 1200.0 - 0.3 * hours[:, 0]
    )
    assert trend.first_crossing(800.0, "below")["p50"].iloc[0] == pytest.approx(1333.3, abs=0.5)


def test_log_likelihoods_of_curves_are_in_the_same_units():
    # Two readings' logarithms: density of y is that of log y over y.
    X, y, groups = fleet_of("exponential", seed=3)
    one = FleetTrend(curve="exponential", errors="independent").fit(X, y, groups=groups)
    other = FleetTrend(curve="straight", errors="independent").fit(X, np.log(y), groups=groups)
    assert_allclose(
        one.restricted_log_likelihood_,
        other.restricted_log_likelihood_ - np.log(y).sum(),
        rtol=1e-9,
    )


def test_exponential_prediction_is_the_middle_value_in_the_readings_unit():
    X, y, groups = fleet_of("exponential", seed=4)
    last = np.tile(np.arange(SAMPLES) == SAMPLES - 1, FILLS)
    trend = FleetTrend(curve="exponential").fit(X[~last], y[~last], groups=groups[~last])
    mean, std = trend.predict(X[last], groups=groups[last], return_std=True)
    score = (y[last] - mean) / std
    assert np.mean(score) == pytest.approx(0.0, abs=0.4)
    assert np.std(score) == pytest.approx(1.0, abs=0.35)


def test_a_bound_that_an_exponential_never_meets():
    X, y, groups = fleet_of("exponential", seed=5)
    trend = FleetTrend(curve="exponential").fit(X, y, groups=groups)
    never = trend.first_crossing(0.0, "below")
    assert (never["status"] == "not at this rate").all()
    assert np.isinf(never["p50"]).all()
    always = trend.first_crossing(0.0, "above")
    assert (always["status"] == "outside now").all()
    assert (always["p50"] == 0.0).all()


def test_curves_that_the_readings_cannot_have():
    hours = np.array([[0.0], [1.0], [2.0], [3.0]])
    with pytest.raises(NotEnoughDataError, match="curve 'exponential' needs readings above 0"):
        FleetTrend(curve="exponential").fit(hours, [3.0, 2.0, 0.0, 1.0])
    with pytest.raises(NotEnoughDataError, match="curve 'power' needs an axis from 0 upwards"):
        FleetTrend(curve="power").fit(hours - 2.0, [3.0, 2.0, 0.5, 1.0])
    assert FleetTrend().fit(hours, [3.0, 2.0, 0.0, 1.0]).curve_ == "straight"


@pytest.mark.parametrize("curve", CURVES_OF_THE_AXIS)
def test_the_axis_comes_back(curve):
    x = np.array([0.0, 0.3, 1.0, 700.0])
    assert_allclose(curve.axis_back(curve.axis(x)), x, rtol=1e-10)


def test_certified_exponential_class(open_data):
    # NIST StRD, data set Misra1a: y = b1 (1 - exp(-b2 x)), certified values in the file's header.
    # It has no start of its own; with the readings mirrored at the origin ours can only be 0.
    lines = (open_data / "strd" / "Misra1a.dat").read_text().splitlines()
    y, x = np.array([line.split() for line in lines[60:74]], dtype=float).T
    trend = FleetTrend(curve="asymptotic", errors="independent").fit(
        np.concatenate((-x, x))[:, None], np.concatenate((-y, y))
    )
    assert trend.intercept_ == pytest.approx(0.0, abs=1e-9)
    assert trend.shape_ == pytest.approx(5.5015643181e-04, rel=2e-3)
    assert trend.slope_ / trend.shape_ == pytest.approx(2.3894212918e02, rel=2e-3)
    residual = trend.noise_variance_ * (2 * y.size - 2)
    assert residual / 2.0 == pytest.approx(1.2455138894e-01, rel=1e-3)


def test_a_fleet_that_levels_off_is_found_and_may_never_arrive():
    X, y, groups = fleet_of("asymptotic", seed=6)
    trend = FleetTrend().fit(X, y, groups=groups)
    assert trend.curve_ == "asymptotic"
    assert trend.shape_ == pytest.approx(1.0 / 300.0, rel=0.1)
    # It levels off at 4 on average.
    assert (trend.first_crossing(2.0, "below")["status"] == "not at this rate").mean() > 0.9
    assert (trend.first_crossing(6.0, "below")["status"] != "not at this rate").mean() > 0.9
