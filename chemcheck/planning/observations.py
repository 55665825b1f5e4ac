"""Observed lifetimes: each an interval in which the end lies."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.planning.standard_forms import Floats, Mask


@dataclass(frozen=True, slots=True)
class Observations:
    """Lifetimes as intervals, checked.

    Parameters
    ----------
    lower, upper : numpy.ndarray, shape (n,)
        Ends [h, km or d]: equal where exact, ``upper`` infinite where the end was not seen
        (right-censored), ``lower`` 0 where it came before the first look (left-censored).
    weights : numpy.ndarray, shape (n,)
        How often each counts; above 0.
    """

    lower: Floats
    upper: Floats
    weights: Floats

    @property
    def failures(self) -> float:
        """How many ends were seen, weights counted."""
        return float(self.weights[np.isfinite(self.upper)].sum())

    @property
    def censored(self) -> float:
        """How many ends were not seen, weights counted."""
        return float(self.weights[np.isinf(self.upper)].sum())

    @property
    def exposure(self) -> float:
        """Time that was surely survived [h, km or d], weights counted."""
        return float(self.weights @ self.lower)


def observe(lower: ArrayLike, upper: ArrayLike, weights: ArrayLike | None = None) -> Observations:
    """Check lifetimes given as intervals.

    Parameters
    ----------
    lower, upper : array-like, shape (n,)
        Ends [h, km or d], as in `Observations`.
    weights : array-like, shape (n,), optional
        How often each counts, at least 0; an observation of weight 0 is left out. None: once.

    Returns
    -------
    Observations
        The same as float arrays.

    Raises
    ------
    ValueError
        If the shapes differ, or an end or a weight is not possible; the message names the first.

    Examples
    --------
    >>> seen = observe([500, 0, 1000], [750, 250, np.inf])
    >>> seen.failures, seen.censored, seen.exposure
    (2.0, 1.0, 1500.0)
    >>> observe([500], [250])
    Traceback (most recent call last):
    ...
    ValueError: lifetime 0: 500 to 250: expected a lower end not above the upper
    """
    low, high = (np.asarray(end, dtype=np.float64) for end in (lower, upper))
    weight = np.asarray(np.ones(low.shape) if weights is None else weights, dtype=np.float64)
    if low.ndim != 1 or low.shape != high.shape or low.shape != weight.shape:
        message = (
            "lower, upper and weights: expected one row each of equal length, "
            f"found shapes {low.shape}, {high.shape} and {weight.shape}"
        )
        raise ValueError(message)
    _refuse(~np.isfinite(low) | (low < 0.0), low, high, "a finite lower end, 0 or more")
    _refuse(np.isnan(high) | (high <= 0.0), low, high, "an upper end above 0")
    _refuse(low > high, low, high, "a lower end not above the upper")
    wrong = ~np.isfinite(weight) | (weight < 0.0)
    if wrong.any():
        place = int(np.argmax(wrong))
        message = f"weight {place}: {weight[place]:g}: expected a finite number, 0 or more"
        raise ValueError(message)
    kept = weight > 0.0
    return Observations(low[kept], high[kept], weight[kept])


def _refuse(wrong: Mask, low: Floats, high: Floats, expected: str) -> None:
    """Name the first observation that is wrong."""
    if wrong.any():
        place = int(np.argmax(wrong))
        message = f"lifetime {place}: {low[place]:g} to {high[place]:g}: expected {expected}"
        raise ValueError(message)
