"""What to drain and to fill, so that a cooling system ends up at a wanted percent.

Volumes are taken as additive: glycol and water shrink by less than 1 % on mixing. All
percents are shares of the same kind, by volume: of glycol, or of coolant concentrate.
"""

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.remedies.estimate import Column

_ROUNDING = 1e-9


def percent_after(
    system: ArrayLike, drained: ArrayLike, now: ArrayLike, added: ArrayLike
) -> Column:
    """Percent after part of a well mixed system is drained and replaced.

    Parameters
    ----------
    system, drained : float or array-like
        Volume of the system, and volume drained and replaced [L].
    now, added : float or array-like
        Percent of what is inside, and of what replaces it [%].

    Returns
    -------
    numpy.ndarray
        c + (a - c) d / V [%]; a where more is drained than the system holds, as the ends of
        uncertain volumes may have it.

    Examples
    --------
    >>> round(float(percent_after(12.0, 5.0, 0.0, 100.0)), 1)
    41.7
    """
    inside = np.asarray(now, dtype=np.float64)
    share = np.minimum(np.divide(drained, system, dtype=np.float64), 1.0)
    return (inside + (np.asarray(added, dtype=np.float64) - inside) * share)[()]


def volume_to_replace(
    system: ArrayLike, now: ArrayLike, target: ArrayLike, added: ArrayLike
) -> Column:
    """Volume to drain and replace so that a full system reaches a percent.

    Parameters
    ----------
    system : float or array-like
        Volume of the system [L].
    now, target, added : float or array-like
        Percent inside, wanted, and of what is added [%].

    Returns
    -------
    numpy.ndarray
        V (t - c) / (a - c) [L]; NaN where what is added does not lead to the target.

    Examples
    --------
    >>> volume_to_replace(10.0, 35.0, 50.0, [100.0, 93.0]).round(2)
    array([2.31, 2.59])
    """
    inside, wanted, fresh = (np.asarray(x, dtype=np.float64) for x in (now, target, added))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (wanted - inside) / (fresh - inside)
    share = np.where(wanted == inside, 0.0, share)
    share = np.where((share >= 0.0) & (share <= 1.0), share, np.nan)
    return (np.asarray(system, dtype=np.float64) * share)[()]


def passes_needed(
    system: ArrayLike, drains: ArrayLike, now: ArrayLike, target: ArrayLike, added: ArrayLike
) -> Column:
    """How often all that drains must be replaced until a percent is reached.

    Parameters
    ----------
    system, drains : float or array-like
        Volume of the system, and of what drains [L].
    now, target, added : float or array-like
        Percent inside, wanted, and of what is added [%].

    Returns
    -------
    numpy.ndarray
        Whole number, the last pass perhaps in part; NaN where no number will do.

    Examples
    --------
    >>> float(passes_needed(12.0, 5.0, 0.0, 50.0, 100.0))
    2.0
    """
    inside, wanted, fresh = (np.asarray(x, dtype=np.float64) for x in (now, target, added))
    kept = 1.0 - np.divide(drains, system, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = (fresh - wanted) / (fresh - inside)
        passes = np.ceil(np.log(left) / np.log(kept) - _ROUNDING)
    passes = np.where((left > 0.0) & (left <= 1.0), np.maximum(passes, 0.0), np.nan)
    passes = np.where(wanted == inside, 0.0, passes)
    return np.where((left == 0.0) & (kept == 0.0), 1.0, passes)[()]


def last_pass(
    system: ArrayLike, drains: ArrayLike, now: ArrayLike, target: ArrayLike, added: ArrayLike
) -> Column:
    """Volume of the last of the passes, after all that drains was replaced in the others.

    Parameters
    ----------
    system, drains, now, target, added : float or array-like
        As for `passes_needed`.

    Returns
    -------
    numpy.ndarray
        [L]; NaN where no number of passes will do.

    Examples
    --------
    >>> round(float(last_pass(12.0, 5.0, 0.0, 50.0, 100.0)), 2)
    1.71
    """
    passes = np.asarray(passes_needed(system, drains, now, target, added))
    inside, fresh = np.asarray(now, dtype=np.float64), np.asarray(added, dtype=np.float64)
    kept = 1.0 - np.divide(drains, system, dtype=np.float64)
    before = fresh + (inside - fresh) * kept ** np.maximum(passes - 1.0, 0.0)
    return volume_to_replace(system, before, target, fresh)


def concentrate_needed(
    system: ArrayLike, drains: ArrayLike, held: ArrayLike, target: ArrayLike, strength: ArrayLike
) -> Column:
    """Volume of concentrate that brings a drained system to a percent, filled up with water.

    Parameters
    ----------
    system, drains : float or array-like
        Volume of the system, and of what drained [L].
    held : float or array-like
        Percent of what stayed inside: 0 after a rinse with water [%].
    target, strength : float or array-like
        Percent wanted, and of the concentrate [%].

    Returns
    -------
    numpy.ndarray
        (V t - H r) / s with H = V - D [L]; below zero or above D where the target cannot
        be reached.

    Examples
    --------
    >>> float(concentrate_needed(12.0, 8.0, 0.0, 50.0, 100.0))
    6.0
    """
    volume, out = np.asarray(system, dtype=np.float64), np.asarray(drains, dtype=np.float64)
    inside = np.maximum(volume - out, 0.0) * np.asarray(held, dtype=np.float64)
    missing = volume * np.asarray(target, dtype=np.float64) - inside
    return np.asarray(missing / np.asarray(strength, dtype=np.float64))[()]
