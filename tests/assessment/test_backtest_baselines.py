"""The plain ways of foreseeing, held against NumPy's least squares."""

import numpy as np
import pytest

from chemcheck.assessment.backtest_baselines import (
    BASELINES,
    FIXED_INTERVAL,
    HUBER,
    LAST_VALUE,
    OWN_LINE,
    baseline_forecasts,
    in_order,
)


@pytest.fixture
def fleet():
    random = np.random.default_rng(4)
    fill = np.repeat(np.arange(12), 5)
    age = np.sort(random.uniform(0, 1000, (12, 5)), axis=1).ravel()
    reading = random.normal(10, 1, 12)[fill] - 0.004 * age + random.normal(0, 0.1, 60)
    return fill, age, reading


def test_own_and_common_lines_are_those_of_least_squares(fleet):
    fill, age, reading = fleet
    shuffled = np.random.default_rng(1).permutation(60)
    seen = in_order(fill[shuffled], age[shuffled], reading[shuffled])
    asked = np.full(12, 1500.0)
    foreseen = baseline_forecasts(seen, np.arange(12), asked)
    assert set(foreseen) == set(BASELINES)
    own = [np.polyval(np.polyfit(age[fill == k], reading[fill == k], 1), 1500.0) for k in range(12)]
    assert foreseen[OWN_LINE][0] == pytest.approx(own)
    alike = np.polyval(np.polyfit(age, reading, 1), 1500.0)
    assert foreseen[FIXED_INTERVAL][0] == pytest.approx(np.full(12, alike))
    assert foreseen[LAST_VALUE][0] == pytest.approx(reading[4::5])
    # The common rate of loss is 0.004 by construction.
    drawn = (foreseen[HUBER][0] - reading[4::5]) / (1500.0 - age[4::5])
    assert drawn == pytest.approx(np.full(12, -0.004), rel=0.05)


def test_a_fill_with_two_readings_has_no_line_of_its_own():
    seen = in_order(np.array([0, 0, 1]), np.array([0.0, 10.0, 0.0]), np.array([5.0, 4.0, 7.0]))
    mean, deviation = baseline_forecasts(seen, np.array([0, 1]), np.array([20.0, 20.0]))[OWN_LINE]
    assert mean.tolist() == [4.0, 7.0]
    assert np.isfinite(deviation).all()


def test_the_huber_line_is_not_led_by_one_wild_reading(fleet):
    fill, age, reading = fleet
    reading = reading.copy()
    reading[7] += 50.0
    foreseen = baseline_forecasts(in_order(fill, age, reading), np.array([0]), np.array([2000.0]))
    rate = (foreseen[HUBER][0][0] - reading[4]) / (2000.0 - age[4])
    assert rate == pytest.approx(-0.004, rel=0.2)
