"""Probability plot: points at the middle of their steps, the line through the fit."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from chemcheck.planning import fit_lifetime, fit_plot, turnbull

TIMES = np.array([100.0, 180.0, 260.0, 300.0, 420.0, 500.0, 640.0, 900.0])


@pytest.mark.parametrize("family", ["weibull", "lognormal", "exponential"])
def test_points_line_and_band(family):
    life = fit_lifetime(TIMES, TIMES, family=family)
    plot = fit_plot(life, turnbull(TIMES, TIMES))
    # Exact lifetimes: (i - 1/2) / n.
    assert_allclose(plot.point_probability, (np.arange(8) + 0.5) / 8)
    assert_allclose(plot.point_lower, TIMES)
    assert_allclose(plot.point_upper, TIMES)
    assert_allclose(life.failure(plot.time), plot.probability, rtol=1e-9)
    # On the plot's axes the family is a line.
    slopes = np.diff(plot.score) / np.diff(np.log(plot.time))
    assert_allclose(slopes, life.steepness, rtol=1e-6)
    assert (plot.band_lower < plot.time).all()
    assert (plot.time < plot.band_upper).all()
    # For eight lifetimes delta and profile limits agree to a fifth of the width.
    middle = int(np.argmin(np.abs(plot.probability - 0.5)))
    low, high = life.quantile_limits(float(plot.probability[middle]))
    width = np.log(high / low)
    assert np.log(plot.band_lower[middle]) == pytest.approx(np.log(low), abs=0.2 * width)
    assert np.log(plot.band_upper[middle]) == pytest.approx(np.log(high), abs=0.2 * width)


def test_lognormal_band_is_the_normal_one():
    # Variance of the estimated quantile of a normal sample: s^2 / n (1 + z^2 / 2).
    life = fit_lifetime(TIMES, TIMES, family="lognormal")
    plot = fit_plot(life, turnbull(TIMES, TIMES))
    error = life.shape * np.sqrt((1 + plot.score**2 / 2) / 8)
    assert_allclose(np.log(plot.band_upper / plot.time), 1.959964 * error, rtol=1e-5)


def test_what_comes_after_the_last_look_has_no_point():
    lower, upper = [0.0, 100.0, 300.0, 400.0], [100.0, 300.0, 400.0, np.inf]
    plot = fit_plot(fit_lifetime(lower, upper), turnbull(lower, upper))
    assert_allclose(plot.point_probability, [0.125, 0.375, 0.625])
    assert_allclose(plot.point_upper, [100.0, 300.0, 400.0])
    assert plot.point_lower[0] == 0.0
