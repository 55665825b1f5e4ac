"""Moments of the true value behind a reading that is only known to lie in an interval."""

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from chemcheck.forecasting.fill_rows import Floats

LOG_ROOT_2PI = 0.5 * float(np.log(2.0 * np.pi))
# An interval narrower than this share of its scatter is its midpoint to all digits that count.
NARROW = 1e-4


@dataclass(frozen=True, slots=True)
class IntervalEvidence:
    """What an interval says about the expected reading.

    Parameters
    ----------
    log_probability : numpy.ndarray
        Log of the probability that the reading lies in the interval.
    slope, curvature : numpy.ndarray
        First and second derivative of it by the expected reading.
    """

    log_probability: Floats
    slope: Floats
    curvature: Floats


def interval_evidence(
    lower: Floats, upper: Floats, mean: Floats, variance: Floats
) -> IntervalEvidence:
    """Weigh intervals against normal readings.

    Parameters
    ----------
    lower, upper : numpy.ndarray
        Ends of the intervals; infinite ends allowed, `lower` below `upper`.
    mean, variance : numpy.ndarray
        Expected reading and its variance.

    Returns
    -------
    IntervalEvidence
        Log probability, and its derivatives, which give the truncated normal's moments:
        mean + variance * slope and variance + variance ** 2 * curvature.

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

    >>> found = interval_evidence(
    ...     np.array([-np.inf]), np.array([0.0]), np.array([0.0]), np.array([1.0])
    ... )
    >>> found.log_probability.round(4).item(), found.slope.round(4).item()
    (-0.6931, -0.7979)
    """
    deviation = np.sqrt(variance)
    low, high = (lower - mean) / deviation, (upper - mean) / deviation
    # Mirror intervals below the mean, so that both ends count from the upper tail.
    mirrored = low + high < 0.0
    a, b = np.where(mirrored, -high, low), np.where(mirrored, -low, high)
    log_a, log_b = log_ndtr(-a), log_ndtr(-b)
    with np.errstate(divide="ignore"):
        log_probability = log_a + np.log1p(-np.exp(log_b - log_a))
    density_a = np.exp(-0.5 * a * a - LOG_ROOT_2PI - log_probability)
    density_b = np.exp(-0.5 * b * b - LOG_ROOT_2PI - log_probability)
    slope = (density_a - density_b) / deviation
    tilt = _times(a, density_a) - _times(b, density_b)
    curvature = tilt / variance - slope * slope
    slope = np.where(mirrored, -slope, slope)
    narrow = high - low < NARROW
    if narrow.any():
        away = (0.5 * (lower[narrow] + upper[narrow]) - mean[narrow]) / variance[narrow]
        slope[narrow] = away
        curvature[narrow] = -1.0 / variance[narrow]
        log_probability[narrow] = (
            np.log(high[narrow] - low[narrow]) - LOG_ROOT_2PI - 0.5 * away * away * variance[narrow]
        )
    return IntervalEvidence(log_probability, slope, curvature)


def _times(end: Floats, density: Floats) -> Floats:
    """End times density, which is nothing at an infinite end."""
    return np.where(np.isfinite(end), end, 0.0) * density
