"""What stays inside a system that was drained, measured by how far it dilutes."""

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.remedies.estimate import Column, Estimate, between

# Standard uncertainties either side of a value: 95 % of a normal distribution.
_COVERAGE = 1.96


def held_volume(drained: ArrayLike, before: ArrayLike, after: ArrayLike) -> Column:
    """Volume that stays inside, measured by the dilution of what stayed.

    Parameters
    ----------
    drained : float or array-like
        Volume drained, and replaced by as much water [L].
    before, after : float or array-like
        Percent before draining, and mixed again after [%].

    Returns
    -------
    numpy.ndarray
        D g1 / (g0 - g1) [L]; NaN where nothing was diluted.

    Examples
    --------
    >>> round(float(held_volume(8.0, 50.0, 16.7)), 1)
    4.0
    """
    first, second = np.asarray(before, dtype=np.float64), np.asarray(after, dtype=np.float64)
    fall = np.where(first > second, first - second, np.nan)
    return (np.asarray(drained, dtype=np.float64) * second / fall)[()]


def held_volume_uncertainty(
    drained: ArrayLike, before: ArrayLike, after: ArrayLike, uncertainty: ArrayLike
) -> Column:
    """Return the standard uncertainty of `held_volume` from that of its two readings.

    Parameters
    ----------
    drained, before, after : float or array-like
        As for `held_volume`.
    uncertainty : float or array-like
        Standard uncertainty of a reading, independent between the two [%].

    Returns
    -------
    numpy.ndarray
        D u sqrt(g0^2 + g1^2) / (g0 - g1)^2 [L].

    Notes
    -----
    First order [1]_. A scale that reads everything by the same factor too high does no harm:
    the factor cancels.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> round(float(held_volume_uncertainty(8.0, 50.0, 16.7, 1.5)), 2)
    0.57
    """
    first, second = np.asarray(before, dtype=np.float64), np.asarray(after, dtype=np.float64)
    fall = np.where(first > second, first - second, np.nan)
    spread = np.asarray(uncertainty, dtype=np.float64) * np.hypot(first, second)
    return np.asarray(np.asarray(drained, dtype=np.float64) * spread / fall**2)[()]


def measured_held_volume(
    drained: Estimate, before: Estimate, after: Estimate, uncertainty: ArrayLike
) -> Estimate:
    """Volume that stays inside, with the interval it lies in with 95 % confidence.

    Parameters
    ----------
    drained : Estimate
        Volume drained, and replaced by as much water [L].
    before, after : Estimate
        Percent before draining, and mixed again after [%].
    uncertainty : float or array-like
        Standard uncertainty of a reading [%].

    Returns
    -------
    Estimate
        [L]; NaN where nothing was diluted, and no upper end (infinite) where the two
        readings may be the same.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> found = measured_held_volume(exact(8.0), exact(50.0), exact(16.7), 1.5)
    >>> float(found.lower.round(1)), float(found.upper.round(1))
    (2.9, 5.1)
    """
    value = held_volume(drained.value, before.value, after.value)
    spread = _COVERAGE * held_volume_uncertainty(
        drained.value, before.value, after.value, uncertainty
    )
    low = held_volume(drained.lower, before.upper, after.lower) - spread
    high = held_volume(drained.upper, before.lower, after.upper) + spread
    high = np.where(np.isnan(high) & ~np.isnan(value), np.inf, high)
    low = np.where(np.isnan(value), np.nan, np.maximum(low, 0.0))
    return between(low, np.where(np.isnan(value), np.nan, high), value)


def measured_held_share(before: Estimate, after: Estimate, uncertainty: ArrayLike) -> Estimate:
    """Share of a system that stays inside, with the interval it lies in with 95 % confidence.

    Parameters
    ----------
    before, after : Estimate
        Percent before draining, and mixed again after what drained was replaced by water [%].
    uncertainty : float or array-like
        Standard uncertainty of a reading, independent between the two [%].

    Returns
    -------
    Estimate
        g1 / g0 [1], from 0 to 1.

    Notes
    -----
    First order, u sqrt(g0^2 + g1^2) / g0^2 [1]_.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> found = measured_held_share(exact(50.0), exact(16.7), 1.5)
    >>> float(found.value.round(3)), float(found.lower.round(3)), float(found.upper.round(3))
    (0.334, 0.272, 0.396)
    """
    share = after.value / before.value
    spread = _COVERAGE * np.asarray(uncertainty) * np.hypot(before.value, after.value)
    spread = spread / before.value**2
    low = np.clip(after.lower / before.upper - spread, 0.0, 1.0)
    high = np.clip(after.upper / before.lower + spread, 0.0, 1.0)
    return between(low, high, np.minimum(share, 1.0))
