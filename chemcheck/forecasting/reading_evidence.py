"""What one reading says about the value expected there, when it is not plain normal.

A reading may be an interval, and some readings err far more widely than the rest.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from chemcheck.forecasting.fill_rows import Floats
from chemcheck.forecasting.variances import WILD_FACTOR

LOG_ROOT_2PI = 0.5 * float(np.log(2.0 * np.pi))
# An interval narrower than this share of its scatter is its midpoint to all digits that count.
NARROW = 1e-4
# Share of the precision expected of a reading, wild or not, that its stand-in keeps at least.
KEPT_PRECISION = 0.3


@dataclass(frozen=True, slots=True)
class Evidence:
    """Log probability (density, where exact) of readings, and how it leans.

    Parameters
    ----------
    log_probability : numpy.ndarray, shape (k, m)
        Log of the probability that the reading lies in its interval.
    slope, curvature : numpy.ndarray, shape (k, m)
        First and second derivative of it by the expected value.
    least_precision : numpy.ndarray, shape (k, m)
        Precision that a normal reading in its place must have at least.
    """

    log_probability: Floats
    slope: Floats
    curvature: Floats
    least_precision: Floats


def reading_evidence(
    lower: Floats, upper: Floats, mean: Floats, variance: Floats, noise: Floats, wild: Floats
) -> Evidence:
    """Weigh readings whose errors are normal, a share of them `WILD_FACTOR` times as wide.

    Parameters
    ----------
    lower, upper : numpy.ndarray, shape (m,)
        Ends of the readings; equal where exact, infinite ends allowed.
    mean, variance : numpy.ndarray, shape (k, m)
        Expected true value and its variance.
    noise : numpy.ndarray, shape (k,)
        Variance of a reading's error.
    wild : numpy.ndarray, shape (k,)
        Share of wild readings.

    Returns
    -------
    Evidence
        Log probability and its derivatives, which give the true value's moments once the
        reading is known: mean + variance * slope, variance + variance ** 2 * curvature.

    Notes
    -----
    The error is Tukey's contaminated normal [1]_: (1 - w) N(0, s^2) + w N(0, (5 s)^2).

    References
    ----------
    .. [1] Tukey, J. W. (1960), A survey of sampling from contaminated distributions, in
       Contributions to Probability and Statistics, Stanford University Press, 448-485.

    Examples
    --------
    >>> one = np.ones((1, 1))
    >>> found = reading_evidence(
    ...     np.array([1.0]), np.array([1.0]), 0 * one, one, np.ones(1), np.zeros(1)
    ... )
    >>> (0.0 + 1.0 * found.slope).item()
    0.5
    """
    spread = variance + noise[:, None]
    usual = normal_evidence(lower, upper, mean, spread)
    if not wild.any():
        return usual
    wider = normal_evidence(lower, upper, mean, variance + WILD_FACTOR**2 * noise[:, None])
    share = wild[:, None]
    first = np.log1p(-share) + usual.log_probability
    second = np.log(share) + wider.log_probability
    total = np.logaddexp(first, second)
    is_wild = np.exp(second - total)
    slope = usual.slope + is_wild * (wider.slope - usual.slope)
    bend = usual.curvature + usual.slope**2
    bend = bend + is_wild * (wider.curvature + wider.slope**2 - bend)
    expected = ((1.0 - is_wild) + is_wild / WILD_FACTOR**2) / noise[:, None]
    least = np.where(lower < upper, 0.0, KEPT_PRECISION * expected)
    return Evidence(total, slope, bend - slope**2, least)


def normal_evidence(lower: Floats, upper: Floats, mean: Floats, variance: Floats) -> Evidence:
    """Weigh readings against a normal distribution of their own.

    Parameters
    ----------
    lower, upper : numpy.ndarray, shape (m,)
        Ends of the readings; equal where exact, infinite ends allowed.
    mean, variance : numpy.ndarray, shape (k, m)
        Expected reading and its variance.

    Returns
    -------
    Evidence
        Log probability or density, and its derivatives.

    Notes
    -----
    log P = log(Phi(b) - Phi(a)), a and b the ends in standard deviations; worked in the tail
    that lies nearer, so that far intervals keep their digits [1]_.

    References
    ----------
    .. [1] Johnson, N. L., Kotz, S. and Balakrishnan, N. (1994), Continuous Univariate
       Distributions 1, 2nd ed., Wiley, section 13.10.1 (moments of the doubly truncated normal).

    Examples
    --------
    A reading below its expected value: probability one half, and the mean of a half-normal.

    >>> found = normal_evidence(
    ...     np.array([-np.inf]), np.array([0.0]), np.zeros((1, 1)), np.ones((1, 1))
    ... )
    >>> found.log_probability.round(4).item(), found.slope.round(4).item()
    (-0.6931, -0.7979)
    """
    away = np.where(np.isfinite(lower + upper), 0.5 * (lower + upper), 0.0) - mean
    log_probability = -LOG_ROOT_2PI - 0.5 * (np.log(variance) + away * away / variance)
    slope, curvature = away / variance, -1.0 / variance
    interval = np.flatnonzero(lower < upper)
    if interval.size:
        low, high = lower[interval], upper[interval]
        some = _interval_evidence(low, high, mean[:, interval], variance[:, interval])
        width = np.where(np.isfinite(high - low), high - low, np.inf)
        narrow = width < NARROW * np.sqrt(variance[:, interval])
        log_width = np.log(width)
        log_probability[:, interval] = np.where(
            narrow, log_probability[:, interval] + log_width, some[0]
        )
        slope[:, interval] = np.where(narrow, slope[:, interval], some[1])
        curvature[:, interval] = np.where(narrow, curvature[:, interval], some[2])
    return Evidence(log_probability, slope, curvature, np.zeros_like(slope))


def _interval_evidence(
    lower: Floats, upper: Floats, mean: Floats, variance: Floats
) -> tuple[Floats, Floats, Floats]:
    """Log probability of intervals under normal readings, and its derivatives."""
    deviation = np.sqrt(variance)
    low, high = (lower - mean) / deviation, (upper - mean) / deviation
    # Mirror intervals below the mean, so that both ends count from the upper tail.
    mirrored = low + high < 0.0
    a, b = np.where(mirrored, -high, low), np.where(mirrored, -low, high)
    log_a, log_b = log_ndtr(-a), log_ndtr(-b)
    with np.errstate(divide="ignore"):
        log_probability = np.maximum(log_a + np.log1p(-np.exp(log_b - log_a)), -1e300)
    density_a = np.exp(np.minimum(-0.5 * a * a - LOG_ROOT_2PI - log_probability, 700.0))
    density_b = np.exp(np.minimum(-0.5 * b * b - LOG_ROOT_2PI - log_probability, 700.0))
    slope = (density_a - density_b) / deviation
    tilt = _times(a, density_a) - _times(b, density_b)
    curvature = tilt / variance - slope * slope
    return log_probability, np.where(mirrored, -slope, slope), curvature


def _times(end: Floats, density: Floats) -> Floats:
    """End times density, which is nothing at an infinite end."""
    return np.where(np.isfinite(end), end, 0.0) * density
