"""The normal distribution on arrays, and how likely a reading's true value breaks a bound."""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, ndtri


def cdf(z: ArrayLike) -> NDArray[np.float64]:
    """Probability that a standard normal variable is at most z.

    Parameters
    ----------
    z : float or array-like
        Standard deviations from the mean.

    Returns
    -------
    numpy.ndarray
        From 0 to 1; NaN stays NaN.

    Examples
    --------
    >>> round(float(cdf(1.959964)), 6)
    0.975
    """
    return np.asarray(ndtr(np.asarray(z, dtype=np.float64)))[()]


def quantile(probability: ArrayLike) -> NDArray[np.float64]:
    """Value that a standard normal variable stays below with the given probability.

    Parameters
    ----------
    probability : float or array-like
        From 0 to 1.

    Returns
    -------
    numpy.ndarray
        Standard deviations from the mean; infinite at 0 and 1; NaN outside them.

    Examples
    --------
    >>> round(float(quantile(0.95)), 4)
    1.6449
    """
    return np.asarray(ndtri(np.asarray(probability, dtype=np.float64)))[()]


def interval_probability_outside(
    lower: ArrayLike,
    upper: ArrayLike,
    u: ArrayLike,
    bound_lower: ArrayLike,
    bound_upper: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Least and greatest probability that the true value lies outside its bounds.

    Parameters
    ----------
    lower, upper : float or array-like
        Ends of the reading: its central value may lie anywhere between them; an end may be
        infinite.
    u : float or array-like
        Standard uncertainty of the method about the central value, in the reading's unit; 0
        makes the probability a step.
    bound_lower, bound_upper : float or array-like
        The bounds; -inf and inf where there is none. A value on a bound is inside.

    Returns
    -------
    least, greatest : numpy.ndarray
        Probabilities from 0 to 1; NaN where an argument is NaN.

    Raises
    ------
    ValueError
        If a standard uncertainty is negative.

    Notes
    -----
    For a central value c the probability is Phi((bl - c) / u) + Phi((c - bu) / u), as in the
    conformance probability of JCGM 106 [1]_. It falls towards the middle of the bounds and rises
    away from it on both sides, so that the least stands at the point of the reading nearest that
    middle and the greatest at one of its ends.

    References
    ----------
    .. [1] JCGM 106:2012, Evaluation of measurement data: the role of measurement uncertainty in
       conformity assessment, section 7.

    Examples
    --------
    A reading of 60 to 120 with standard uncertainty 5 against an upper bound of 100:

    >>> least, greatest = interval_probability_outside(60.0, 120.0, 5.0, -np.inf, 100.0)
    >>> round(float(least), 4), round(float(greatest), 4)
    (0.0, 1.0)
    """
    low, high, spread, floor, ceiling = np.broadcast_arrays(
        *(np.asarray(a, dtype=np.float64) for a in (lower, upper, u, bound_lower, bound_upper))
    )
    if np.any(spread < 0.0):
        msg = "a standard uncertainty is negative"
        raise ValueError(msg)
    unbounded = np.isneginf(floor) & np.isposinf(ceiling)
    middle = 0.5 * np.where(unbounded, 0.0, floor) + 0.5 * np.where(unbounded, 0.0, ceiling)
    nearest = np.clip(middle, low, high)
    least = _probability_outside(nearest, spread, floor, ceiling)
    greatest = np.maximum(
        _probability_outside(low, spread, floor, ceiling),
        _probability_outside(high, spread, floor, ceiling),
    )
    missing = (
        np.isnan(low) | np.isnan(high) | np.isnan(spread) | np.isnan(floor) | np.isnan(ceiling)
    )
    return np.where(missing, np.nan, least)[()], np.where(missing, np.nan, greatest)[()]


def _probability_outside(
    center: NDArray[np.float64],
    spread: NDArray[np.float64],
    floor: NDArray[np.float64],
    ceiling: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Probability beyond either bound for one central value."""
    return _tail(floor, center, spread) + _tail(center, ceiling, spread)


def _tail(
    from_value: NDArray[np.float64], to_value: NDArray[np.float64], spread: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Phi((from - to) / u), a step at u = 0, and 0 where both are the same infinity."""
    same = from_value == to_value
    distance = np.where(same, 0.0, from_value) - np.where(same, 0.0, to_value)
    exact = spread == 0.0
    with np.errstate(over="ignore"):  # so many deviations away that the tail is 0 or 1 exactly
        smooth = ndtr(distance / np.where(exact, 1.0, spread))
    step = np.where(distance > 0.0, 1.0, 0.0)
    return np.where(same & np.isinf(from_value), 0.0, np.where(exact, step, smooth))
