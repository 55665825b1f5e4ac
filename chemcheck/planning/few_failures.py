"""What a few ends, or none, still say: a bound, never a point estimate."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gammaincinv

from chemcheck.errors import NotEnoughDataError
from chemcheck.planning.observations import Observations, observe

# Shapes looked at within a band.
SHAPES = 33


@dataclass(frozen=True, slots=True)
class FewFailures:
    """A one-sided bound on how fast lifetimes end.

    Parameters
    ----------
    failures : float
        Ends seen, weights counted.
    exposure : float
        Time surely survived by all together [h, km or d].
    rate_upper : float
        Upper bound of the rate of ends, taken as constant [1 / h, km or d].
    confidence : float
        Of the bound.
    shape_band : tuple of float
        Weibull shapes that `quantile_bound` allows for.
    """

    failures: float
    exposure: float
    rate_upper: float
    confidence: float
    shape_band: tuple[float, float]
    _seen: Observations

    def quantile_bound(self, probability: float) -> float:
        """Time before which the end comes with at most a probability.

        Parameters
        ----------
        probability : float
            Between 0 and 1.

        Returns
        -------
        float
            Lower confidence bound of the quantile [h, km or d]: the least over the shapes of the
            band.
        """
        shapes = np.linspace(*self.shape_band, SHAPES)
        # Times in units of the longest, so that no power overflows.
        unit = float(self._seen.lower.max())
        times = self._seen.lower / unit
        bounds = []
        for shape in shapes:
            exposure = float(self._seen.weights @ times**shape)
            scale = exposure / float(gammaincinv(self.failures + 1.0, self.confidence))
            bounds.append(unit * (-np.log1p(-probability) * scale) ** (1.0 / shape))
        return float(min(bounds))


def bound_from_few_failures(
    lower: ArrayLike,
    upper: ArrayLike,
    weights: ArrayLike | None = None,
    shape_band: tuple[float, float] = (1.0, 1.0),
    confidence: float = 0.95,
) -> FewFailures:
    """Bound the rate of ends where too few were seen for a fit.

    Parameters
    ----------
    lower, upper, weights : array-like, shape (n,)
        Lifetimes as for `fit_lifetime`.
    shape_band : tuple of float, default (1, 1)
        Least and greatest Weibull shape held possible; 1 is a constant hazard.
    confidence : float, default 0.95
        Of the one-sided bound.

    Returns
    -------
    FewFailures
        Bounds of rate and quantiles.

    Raises
    ------
    ValueError
        If an end or weight is not possible, or the band or the confidence is not.
    NotEnoughDataError
        If nothing was survived for any time.

    Notes
    -----
    With r ends in the exposure A at a constant hazard the bound of the rate is g / A, where g is
    the quantile of a gamma variable of r + 1 [1]_; without any end that is 3.0 / A at 95 %, the
    rule of three (from memory). With the shape held at b, t^b takes the place of t [1]_. An end
    known only as an interval counts with its lower end, which keeps the bound on the safe side.

    References
    ----------
    .. [1] Meeker, W. Q. and Escobar, L. A. (1998), Statistical Methods for Reliability Data,
       Wiley, sections 7.7 and 8.5 (from memory).

    Examples
    --------
    Ten fills survived 1,000 h each:

    >>> bound = bound_from_few_failures([1000] * 10, [np.inf] * 10)
    >>> round(10_000 * bound.rate_upper, 2)
    3.0
    """
    seen = observe(lower, upper, weights)
    if not 0.0 < shape_band[0] <= shape_band[1] < np.inf:
        message = f"shape band: {shape_band}: expected two shapes above 0, the lesser first"
        raise ValueError(message)
    if not 0.0 < confidence < 1.0:
        message = f"confidence: {confidence:g}: expected a probability between 0 and 1"
        raise ValueError(message)
    if seen.exposure == 0.0:
        message = "nothing was survived for any time: not even a bound can be given"
        raise NotEnoughDataError(message)
    most = float(gammaincinv(seen.failures + 1.0, confidence))
    rate = most / seen.exposure
    return FewFailures(seen.failures, seen.exposure, rate, confidence, shape_band, seen)
