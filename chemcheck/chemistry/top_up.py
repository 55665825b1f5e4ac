"""What topping up does to a coolant: a leak and evaporation, told from the same log.

Volumes are litres, the system is full and well mixed, and every top-up fills it up again.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# Chlorine, and sodium chloride: IUPAC 2021, abridged.
_CHLORINE, _SALT = 35.45, 58.44  # [g/mol]
# Chloride of standard seawater of salinity 35 (memory).
SEAWATER_CHLORIDE = 19_400.0  # [mg/L]


def after_leak(
    now: ArrayLike, water: ArrayLike, top_up: ArrayLike, system: ArrayLike, times: ArrayLike = 1
) -> NDArray[np.float64]:
    """Concentration after what leaked was topped up with water.

    Parameters
    ----------
    now, water : float or array-like
        In the coolant and in the water [one unit of concentration].
    top_up, system : float or array-like
        Volume of each top-up, and of the system [L].
    times : int or array-like
        How many top-ups.

    Returns
    -------
    numpy.ndarray
        c_w + (c - c_w) (1 - v/V)^n [the same unit].

    Examples
    --------
    >>> round(float(after_leak(5.0, 85.0, 1.0, 12.0, 10)), 1)
    51.5
    """
    kept = (1.0 - np.divide(top_up, system, dtype=np.float64)) ** np.asarray(times, dtype=float)
    over = np.subtract(now, water, dtype=np.float64)
    return np.asarray(np.asarray(water, dtype=np.float64) + over * kept)[()]


def after_evaporation(
    now: ArrayLike, water: ArrayLike, top_up: ArrayLike, system: ArrayLike, times: ArrayLike = 1
) -> NDArray[np.float64]:
    """Concentration after what evaporated was topped up with water.

    Parameters
    ----------
    now, water, top_up, system, times
        As for `after_leak`.

    Returns
    -------
    numpy.ndarray
        c + n c_w v/V [the same unit]: what the water brings stays and adds up.

    Examples
    --------
    >>> round(float(after_evaporation(5.0, 85.0, 1.0, 12.0, 10)), 1)
    75.8
    """
    brought = np.multiply(water, top_up, dtype=np.float64) / np.asarray(system, dtype=np.float64)
    return np.asarray(np.asarray(now) + brought * np.asarray(times))[()]


def after_logged_leaks(now: ArrayLike, shares: ArrayLike, levels: ArrayLike) -> Floats:
    """Concentration after leaks of several sizes, each topped up with something of its own.

    Parameters
    ----------
    now : float or array-like, shape (...)
        Before the first [one unit of concentration].
    shares : array-like, shape (..., n)
        Top-up over system, in the order of time [1].
    levels : array-like, shape (..., n)
        In what was topped up [the same unit].

    Returns
    -------
    numpy.ndarray, shape (...)
        c0 prod(1 - s_i) + sum s_i c_i prod(1 - s_j), j after i [the same unit].

    Examples
    --------
    >>> round(float(after_logged_leaks(5.0, [1 / 12] * 10, [85.0] * 10)), 1)
    51.5
    """
    part = np.asarray(shares, dtype=np.float64)
    # What is left, at the end, of what was there before each top-up.
    left = np.cumprod((1.0 - part)[..., ::-1], axis=-1)[..., ::-1]
    left = np.concatenate([left, np.ones((*left.shape[:-1], 1))], axis=-1)
    let_in = (part * np.asarray(levels, dtype=np.float64) * left[..., 1:]).sum(axis=-1)
    return np.asarray(np.asarray(now, dtype=np.float64) * left[..., 0] + let_in)[()]


def after_logged_evaporation(now: ArrayLike, shares: ArrayLike, levels: ArrayLike) -> Floats:
    """Concentration after water evaporated and was topped up with something of its own.

    Parameters
    ----------
    now, shares, levels
        As for `after_logged_leaks`.

    Returns
    -------
    numpy.ndarray, shape (...)
        c0 + sum s_i c_i [the same unit].

    Examples
    --------
    >>> round(float(after_logged_evaporation(5.0, [1 / 12] * 10, [85.0] * 10)), 1)
    75.8
    """
    brought = np.multiply(shares, levels, dtype=np.float64).sum(axis=-1)
    return np.asarray(np.asarray(now, dtype=np.float64) + brought)[()]


def salt_of_chloride(chloride: ArrayLike, system: ArrayLike) -> NDArray[np.float64]:
    """Return the common salt that holds the chloride of a system.

    Parameters
    ----------
    chloride : float or array-like
        Not explained otherwise [mg/L].
    system : float or array-like
        Volume [L].

    Returns
    -------
    numpy.ndarray
        [g].

    Examples
    --------
    >>> round(float(salt_of_chloride(37.8, 12.0)), 2)
    0.75
    """
    return np.asarray(np.multiply(chloride, system, dtype=np.float64) / 1e3 * _SALT / _CHLORINE)[()]


def seawater_of_chloride(
    chloride: ArrayLike, system: ArrayLike, seawater: ArrayLike = SEAWATER_CHLORIDE
) -> NDArray[np.float64]:
    """Sea water that holds the chloride of a system.

    Parameters
    ----------
    chloride : float or array-like
        Not explained otherwise [mg/L].
    system : float or array-like
        Volume [L].
    seawater : float or array-like
        Chloride of the sea water [mg/L].

    Returns
    -------
    numpy.ndarray
        [mL].

    Examples
    --------
    >>> round(float(seawater_of_chloride(37.8, 12.0)))
    23
    """
    held = np.multiply(chloride, system, dtype=np.float64)
    return np.asarray(1e3 * held / np.asarray(seawater, dtype=np.float64))[()]
