"""Confidence limits by the profile likelihood: where it has fallen as far as a test allows.

Holding a quantile or a probability ties shift and steepness to a line, so that each profile is a
climb along a line, and the limit a root.
"""

from collections.abc import Callable
from functools import cache

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtri

from chemcheck.planning.interval_likelihood import IntervalLikelihood
from chemcheck.planning.standard_forms import Floats
from chemcheck.planning.summit import Summit, climb

# Further from the estimate than this no limit is looked for: there is none. In spreads of the
# logarithm of the data, or in the logarithm of the steepness.
FARTHEST = 200.0
FARTHEST_LOG_STEEPNESS = 25.0
# Limits are found to this share of a standard error; a profile to this much likelihood.
LIMIT_CLOSE, PROFILE_CLOSE = 1e-6, 1e-8
ALONG_SHIFT = np.array([[1.0, 0.0]])
NOWHERE_TO_GO = np.empty((0, 2))


def log_quantile_limits(
    likelihood: IntervalLikelihood, summit: Summit, z: float, confidence: float
) -> tuple[float, float]:
    """Find confidence limits of a quantile.

    Parameters
    ----------
    likelihood : IntervalLikelihood
        The data.
    summit : Summit
        Where the likelihood is greatest.
    z : float
        The quantile in the family's standard form.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    tuple of float
        Logarithm of the lower and the upper limit; -inf and inf where there is none.
    """

    def profile(y: float) -> float:
        return _through(likelihood, summit, y, z)

    estimate = (summit.shift + z) / summit.steepness
    width = _width(likelihood, summit, np.array([1.0, -estimate]) / summit.steepness)
    low, high = _limits(profile, summit.hill.value, estimate, width, confidence, FARTHEST)
    return (
        likelihood.centre + likelihood.spread * low,
        likelihood.centre + likelihood.spread * high,
    )


def failure_limits(
    likelihood: IntervalLikelihood, summit: Summit, log_time: float, confidence: float
) -> tuple[float, float]:
    """Find confidence limits of the probability of an end by a time.

    Parameters
    ----------
    likelihood : IntervalLikelihood
        The data.
    summit : Summit
        Where the likelihood is greatest.
    log_time : float
        Logarithm of the time.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    tuple of float
        Lower and upper limit in the family's standard form.
    """
    y = (log_time - likelihood.centre) / likelihood.spread

    def profile(z: float) -> float:
        return _through(likelihood, summit, y, z)

    estimate = summit.steepness * y - summit.shift
    width = _width(likelihood, summit, np.array([-1.0, y]))
    return _limits(profile, summit.hill.value, estimate, width, confidence, FARTHEST)


def log_steepness_limits(
    likelihood: IntervalLikelihood, summit: Summit, confidence: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Find confidence limits of the steepness, and the scales that go with them.

    Parameters
    ----------
    likelihood : IntervalLikelihood
        The data.
    summit : Summit
        Where the likelihood is greatest.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    tuple of (float, float)
        Logarithms of scale and steepness at the lower and at the upper limit.
    """

    def top(log_steepness: float) -> Summit:
        steepness = float(np.exp(log_steepness))
        middle = summit.shift / summit.steepness
        start = np.array([_finite_shift(likelihood, middle, steepness), steepness])
        return climb(likelihood.at, start, ALONG_SHIFT, PROFILE_CLOSE)

    def profile(log_steepness: float) -> float:
        return top(log_steepness).hill.value

    estimate = float(np.log(summit.steepness))
    width = _width(likelihood, summit, np.array([0.0, 1.0 / summit.steepness]))
    limits = _limits(
        profile, summit.hill.value, estimate, width, confidence, FARTHEST_LOG_STEEPNESS
    )
    ends = []
    for limit in limits:
        at = top(limit) if np.isfinite(limit) else summit
        log_scale = likelihood.centre + likelihood.spread * at.shift / at.steepness
        ends.append((log_scale, limit - float(np.log(likelihood.spread))))
    return ends[0], ends[1]


def covariance(likelihood: IntervalLikelihood, summit: Summit) -> Floats:
    """Invert the curvature at the summit.

    Parameters
    ----------
    likelihood : IntervalLikelihood
        The data.
    summit : Summit
        Where the likelihood is greatest.

    Returns
    -------
    numpy.ndarray, shape (2, 2)
        Covariance of shift and steepness; of the shift alone where the shape is not free.
    """
    curvature = -summit.hill.hessian
    if likelihood.family.shape_is_free:
        return np.asarray(np.linalg.inv(curvature))
    return np.array([[1.0 / curvature[0, 0], 0.0], [0.0, 0.0]])


def _width(likelihood: IntervalLikelihood, summit: Summit, gradient: Floats) -> float:
    """Return the standard error of a function of shift and steepness."""
    return float(np.sqrt(gradient @ covariance(likelihood, summit) @ gradient))


def _through(likelihood: IntervalLikelihood, summit: Summit, y: float, z: float) -> float:
    """Return the greatest likelihood of the distributions whose standard form is z at y."""
    if not likelihood.family.shape_is_free:
        steepness = summit.steepness
        return likelihood.at(steepness * y - z, steepness).value
    # Turn about the given point as steeply as at the summit, or so that the middle of the data
    # keeps its height: far out only the second is anywhere near.
    steepness = summit.steepness
    turned = (z + summit.shift) / y if y != 0.0 else -1.0
    if turned > 0.0 and not (
        likelihood.at(turned * y - z, turned).value
        < likelihood.at(steepness * y - z, steepness).value
    ):
        steepness = turned
    start = np.array([steepness * y - z, steepness])
    return climb(likelihood.at, start, np.array([[y, 1.0]]), PROFILE_CLOSE).hill.value


def _finite_shift(likelihood: IntervalLikelihood, middle: float, steepness: float) -> float:
    """Return a shift near a middle at which the likelihood is finite: later ends first."""
    for later in (0.0, 0.5, 1.0, 2.0, 4.0, 8.0):
        shift = steepness * (middle + later)
        if np.isfinite(likelihood.at(shift, steepness).value):
            return shift
    return steepness * middle


def _limits(
    profile: Callable[[float], float],
    greatest: float,
    estimate: float,
    width: float,
    confidence: float,
    farthest: float,
) -> tuple[float, float]:
    """Find where the signed root of twice the fall passes the normal quantile, on both sides."""
    if not 0.0 < confidence < 1.0:
        message = f"confidence: {confidence:g}: expected a probability between 0 and 1"
        raise ValueError(message)
    allowed = float(ndtri(0.5 + 0.5 * confidence))

    @cache
    def excess(at: float) -> float:
        # The root of the fall is almost a straight line, which makes it easy to solve.
        return float(np.sqrt(max(2.0 * (greatest - profile(at)), 0.0))) - allowed

    def limit(side: float) -> float:
        near, reach = estimate, min(1.05 * allowed * width, farthest)
        while True:
            far = estimate + side * reach
            if not excess(far) < 0.0:
                break
            if reach >= farthest:
                return side * np.inf
            near, reach = far, min(2.0 * reach, farthest)
        while np.isinf(excess(far)):
            middle = 0.5 * (near + far)
            near, far = (middle, far) if excess(middle) < 0.0 else (near, middle)
        return float(brentq(excess, near, far, xtol=LIMIT_CLOSE * width + 1e-14))

    return limit(-1.0), limit(1.0)
