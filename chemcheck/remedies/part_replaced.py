"""Levels in a coolant of which a share is drained and replaced by something else."""

import math

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.remedies.estimate import Column, Estimate


def levels_after(
    lower: Column, upper: Column, fill_lower: Column, fill_upper: Column, share: Estimate
) -> tuple[Column, Column]:
    """Levels after a share of a well mixed system was replaced.

    Parameters
    ----------
    lower, upper : ndarray, shape (n,)
        Ends of the levels now [one unit each].
    fill_lower, fill_upper : ndarray, shape (n,)
        Ends of those of what is filled; NaN where not known [the same units].
    share : Estimate
        Of the system that is replaced [1].

    Returns
    -------
    lower, upper : ndarray, shape (n,)
        c (1 - s) + a s; NaN where either is not known.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> now, fill = np.array([100.0]), np.array([0.0])
    >>> [float(end[0]) for end in levels_after(now, now, fill, fill, exact(0.25))]
    [75.0, 75.0]
    """
    ends = [float(np.clip(end, 0.0, 1.0)) for end in (share.lower, share.upper)]
    low = [_mixed(lower, fill_lower, s) for s in ends]
    high = [_mixed(upper, fill_upper, s) for s in ends]
    return np.minimum(*low), np.maximum(*high)


def _mixed(now: Column, fill: Column, share: float) -> Column:
    # Nothing is left of an open end either once all is replaced.
    left = now * (1.0 - share) if share < 1.0 else np.where(np.isnan(now), np.nan, 0.0)
    return left + fill * share


def share_to_replace(
    lower: Column,
    upper: Column,
    fill_lower: Column,
    fill_upper: Column,
    least: Column,
    most: Column,
) -> Column:
    """Share of a system to replace until each level lies within its bounds.

    Parameters
    ----------
    lower, upper : ndarray, shape (n,)
        Ends of the levels now, method and reading together [one unit each].
    fill_lower, fill_upper : ndarray, shape (n,)
        Ends of those of what is filled; NaN where not known.
    least, most : ndarray, shape (n,)
        Bounds; infinite where there is none.

    Returns
    -------
    ndarray, shape (n,)
        From 0 to 1; infinite where what is filled does not lead there, or is not known.

    Examples
    --------
    >>> two = lambda *x: np.array(x)
    >>> share_to_replace(two(180.0, 50.0), two(180.0, 50.0), two(0.0, 0.0), two(20.0, 10.0),
    ...                  two(-np.inf, -np.inf), two(100.0, 100.0))
    array([0.5, 0. ])
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        down = np.where(upper > most, (upper - most) / (upper - fill_upper), 0.0)
        up = np.where(lower < least, (least - lower) / (fill_lower - lower), 0.0)
    answer = np.zeros(lower.shape)
    for part, needed in ((down, upper > most), (up, lower < least)):
        possible = needed & (part > 0.0) & (part <= 1.0)
        answer = np.where(needed, np.maximum(answer, np.where(possible, part, np.inf)), answer)
    return np.asarray(answer)


def fill_percent(now: float, target: float, share: float) -> float:
    """Percent of what is filled so that the system ends up at a percent.

    Parameters
    ----------
    now, target : float
        Percent inside, and wanted [%].
    share : float
        Of the system that is replaced, above zero [1].

    Returns
    -------
    float
        (t - c (1 - s)) / s [%]; outside 0 to 100 where no filling does it.

    Examples
    --------
    >>> round(fill_percent(40.0, 50.0, 0.5), 6)
    60.0
    """
    return (target - now * (1.0 - share)) / share


def passes_and_last(share: ArrayLike, drainable: float) -> tuple[int, float]:
    """How often what drains is replaced until a share is, and how much the last time.

    Parameters
    ----------
    share : float
        Of the system to replace, below 1 [1].
    drainable : float
        Share of the system that drains [1].

    Returns
    -------
    passes : int
        Each but the last replaces all that drains.
    last : float
        Share of the system that the last replaces [1].

    Examples
    --------
    Of 12 L 5 drain; to replace 60 % takes two, the last of 3.8 L:

    >>> passes, last = passes_and_last(0.6, 5 / 12)
    >>> passes, round(12 * last, 1)
    (2, 3.8)
    """
    wanted = float(np.asarray(share))
    if wanted <= drainable:
        return 1, wanted
    passes = math.ceil(math.log1p(-wanted) / math.log1p(-drainable) - 1e-9)
    left = (1.0 - drainable) ** (passes - 1)
    return passes, 1.0 - (1.0 - wanted) / left
