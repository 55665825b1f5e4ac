"""How long an inhibitor lasts, by two laws that few readings cannot tell apart."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def first_order_rate(start: ArrayLike, later: ArrayLike, elapsed: ArrayLike) -> NDArray[np.float64]:
    """Rate of a loss that slows down as the inhibitor gets less.

    Parameters
    ----------
    start, later : float or array-like
        Concentrations [one unit].
    elapsed : float or array-like
        Between them [h].

    Returns
    -------
    numpy.ndarray
        ln(c0/c) / t [1/h].

    Examples
    --------
    >>> round(1e4 * float(first_order_rate(1200.0, 900.0, 1000.0)), 2)
    2.88
    """
    ratio = np.divide(start, later, dtype=np.float64)
    return np.asarray(np.log(ratio) / np.asarray(elapsed, dtype=np.float64))[()]


def first_order_time(start: ArrayLike, bound: ArrayLike, rate: ArrayLike) -> NDArray[np.float64]:
    """Time until a bound, if the loss is of first order.

    Parameters
    ----------
    start, bound : float or array-like
        Concentrations [one unit].
    rate : float or array-like
        [1/h].

    Returns
    -------
    numpy.ndarray
        ln(c0/L) / k [h]; NaN where the rate does not lead to the bound.

    Examples
    --------
    >>> round(float(first_order_time(1200.0, 800.0, 2.877e-4)))
    1409
    """
    speed = np.asarray(rate, dtype=np.float64)
    way = np.log(np.divide(start, bound, dtype=np.float64))
    with np.errstate(divide="ignore", invalid="ignore"):
        time = way / speed
    return np.where(time >= 0.0, time, np.nan)[()]


def zero_order_time(
    start: ArrayLike, later: ArrayLike, elapsed: ArrayLike, bound: ArrayLike
) -> NDArray[np.float64]:
    """Time until a bound, if the loss is as fast all along.

    Parameters
    ----------
    start, later, bound : float or array-like
        Concentrations [one unit].
    elapsed : float or array-like
        Between the first two [h].

    Returns
    -------
    numpy.ndarray
        (c0 - L) t / (c0 - c) [h]; NaN where the loss does not lead to the bound.

    Examples
    --------
    >>> round(float(zero_order_time(1200.0, 900.0, 1000.0, 800.0)))
    1333
    """
    way = np.subtract(start, bound, dtype=np.float64)
    fall = np.subtract(start, later, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        time = np.multiply(way, elapsed, dtype=np.float64) / fall
    return np.where(time >= 0.0, time, np.nan)[()]


def dilution_corrected(
    concentration: ArrayLike, tracer_start: ArrayLike, tracer_later: ArrayLike
) -> NDArray[np.float64]:
    """Concentration as it would be if no water had been added.

    Parameters
    ----------
    concentration : float or array-like
        Later one [one unit].
    tracer_start, tracer_later : float or array-like
        Of what only dilution changes and the top-up does not hold [one unit]: glycol, if
        all top-ups were water.

    Returns
    -------
    numpy.ndarray
        c G0/G [the same unit].

    Examples
    --------
    >>> float(dilution_corrected(900.0, 50.0, 45.0))
    1000.0
    """
    factor = np.divide(tracer_start, tracer_later, dtype=np.float64)
    return np.asarray(np.asarray(concentration, dtype=np.float64) * factor)[()]


def share_of_chemistry(
    start: ArrayLike, later: ArrayLike, tracer_start: ArrayLike, tracer_later: ArrayLike
) -> NDArray[np.float64]:
    """Share of a loss that chemistry took, the rest being dilution.

    Parameters
    ----------
    start, later : float or array-like
        Of the inhibitor [one unit].
    tracer_start, tracer_later : float or array-like
        As for `dilution_corrected`.

    Returns
    -------
    numpy.ndarray
        Of the fall from the start [1]; NaN where there is no fall.

    Examples
    --------
    >>> round(float(share_of_chemistry(1200.0, 900.0, 50.0, 45.0)), 2)
    0.67
    """
    begin = np.asarray(start, dtype=np.float64)
    fall = begin - np.asarray(later, dtype=np.float64)
    chemical = begin - dilution_corrected(later, tracer_start, tracer_later)
    return np.asarray(chemical / np.where(fall > 0.0, fall, np.nan))[()]
