"""Whether metal is released faster once a bound is passed, and where the rate changes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.planning.release_runs import Pairs, pairs_of, runs_of, sums_of_units
from chemcheck.planning.release_threshold import Threshold, find_threshold
from chemcheck.planning.standard_forms import Floats

# Resampling fewer units than these says little of the spread between units.
LEAST_UNITS = 5
REPLICATES = 2000
TOO_FEW = "fewer than {} units were followed {} the bound"


@dataclass(frozen=True, slots=True)
class ReleaseRate:
    """Metal released by an amount of use on one side of a bound.

    Parameters
    ----------
    rate : float
        Middle of what the readings allow [unit of the release per unit of the axis];
        NaN without exposure.
    low, high : float
        Interval at the confidence asked: unit-to-unit spread by resampling whole units, and
        the width of readings such as non-detects; NaN with fewer than `LEAST_UNITS` units.
    units : int
        Units followed there.
    exposure : float
        Use that they were followed for [axis].
    """

    rate: float
    low: float
    high: float
    units: int
    exposure: float


@dataclass(frozen=True, slots=True)
class ReleaseComparison:
    """Release before and after a bound is passed.

    Parameters
    ----------
    inside, outside : ReleaseRate
        While the value lay within the bound, and beyond it.
    difference_low, difference_high : float
        Interval of outside less inside; NaN where either has no interval.
    left_out : int
        Stretches between two samples that lie on both sides, or cannot be told.
    threshold : Threshold
        The value at which the rate changes, if the readings show one.
    reason : str or None
        Why there is no difference.
    """

    inside: ReleaseRate
    outside: ReleaseRate
    difference_low: float
    difference_high: float
    left_out: int
    threshold: Threshold
    reason: str | None


def compare_release(
    fill: ArrayLike,
    unit: ArrayLike,
    age: ArrayLike,
    value: tuple[ArrayLike, ArrayLike],
    released: tuple[ArrayLike, ArrayLike],
    bound: float,
    side: str,
    *,
    confidence: float = 0.9,
    seed: int = 0,
) -> ReleaseComparison:
    """Compare how fast metal is released within a bound and beyond it.

    Parameters
    ----------
    fill, unit : array-like of int, shape (n,)
        Of each sample. Units are resampled whole.
    age : array-like, shape (n,)
        Of the fill [axis].
    value : pair of array-like, shape (n,)
        Lower and upper end of the analyte that has the bound, as the metal sees it; NaN
        where it was not read.
    released : pair of array-like, shape (n,)
        Lower and upper end of what the metal has lost up to each sample: dissolved metal,
        dilution taken out.
    bound : float
        [unit of the value]
    side : {"lower", "upper"}
        Whether the bound is passed by falling or by rising.
    confidence : float, default 0.9
        Of the intervals.
    seed : int, default 0
        Of the resampling.

    Returns
    -------
    ReleaseComparison
        With a reason in place of an interval where the units are too few.

    Raises
    ------
    ValueError
        If the side is neither lower nor upper.

    Notes
    -----
    Between the first and the last sample of a stretch on one side of the bound what was
    released in between adds up to the difference of the two ends, so that a stretch carries
    the error of two readings only. A rate is the sum of all releases over the sum of all
    use: the ratio estimator [1]_, with whole units resampled for its interval [2]_. Time
    goes on while a value falls: a rate that rises with age alone looks the same.

    References
    ----------
    .. [1] Cochran, W. G. (1977) Sampling Techniques, 3rd ed., section 6.3 (memory).
    .. [2] Davison, A. C., Hinkley, D. V. (1997) Bootstrap Methods and their Application,
       section 3.8, resampling of clusters (memory).

    Examples
    --------
    Six units lose 1 mg/L in 100 h while the value is above 50, and 5 mg/L below:

    >>> age = np.tile([0.0, 100.0, 200.0, 300.0], 6)
    >>> unit = np.repeat(np.arange(6), 4)
    >>> value = np.tile([80.0, 60.0, 40.0, 20.0], 6)
    >>> metal = np.tile([0.0, 1.0, 4.0, 9.0], 6)
    >>> found = compare_release(
    ...     unit, unit, age, (value, value), (metal, metal), 50.0, "lower")
    >>> round(100 * found.inside.rate, 6), round(100 * found.outside.rate, 6), found.left_out
    (1.0, 5.0, 6)
    """
    if side not in ("lower", "upper"):
        problem = f"the side is {side!r}, expected lower or upper"
        raise ValueError(problem)
    pairs = pairs_of(fill, unit, age, value, released)
    state = _states(pairs, bound, side)
    sums = [sums_of_units(runs_of(pairs, state == code), pairs.n_units) for code in (0, 1)]
    rng = np.random.default_rng(seed)
    chosen = rng.multinomial(
        pairs.n_units, np.full(pairs.n_units, 1 / pairs.n_units), REPLICATES
    ).astype(np.float64)
    tails = ((1 - confidence) / 2, (1 + confidence) / 2)
    replicates = [_rates(each, chosen) for each in sums]
    inside, outside = (
        _summary(each, drawn, tails) for each, drawn in zip(sums, replicates, strict=True)
    )
    reason = _too_few(inside, outside)
    low = high = np.nan
    if reason is None:
        (least_in, most_in), (least_out, most_out) = replicates
        low = float(np.nanquantile(least_out - most_in, tails[0]))
        high = float(np.nanquantile(most_out - least_in, tails[1]))
    return ReleaseComparison(
        inside,
        outside,
        low,
        high,
        int((state < 0).sum()),
        find_threshold(pairs, side, LEAST_UNITS, rng, tails),
        reason,
    )


def _states(pairs: Pairs, bound: float, side: str) -> NDArray[np.int8]:
    """Return 0 for a pair of samples within the bound, 1 beyond it, -1 where neither is sure."""
    lower, upper = pairs.value_lower, pairs.value_upper
    if side == "lower":
        within, beyond = lower >= bound, upper < bound
    else:
        within, beyond = upper <= bound, lower > bound
    state = np.full(len(pairs.unit), -1, dtype=np.int8)
    state[within.all(axis=0)] = 0
    state[beyond.all(axis=0)] = 1
    return state


def _rates(sums: Floats, chosen: Floats) -> tuple[Floats, Floats]:
    """Return the least and the greatest rate of every resampling."""
    use = chosen @ sums[2]
    safe = np.where(use > 0, use, np.nan)
    return (chosen @ sums[0]) / safe, (chosen @ sums[1]) / safe


def _summary(
    sums: Floats, replicates: tuple[Floats, Floats], tails: tuple[float, float]
) -> ReleaseRate:
    use = float(sums[2].sum())
    units = int(np.count_nonzero(sums[2]))
    if not units:
        return ReleaseRate(np.nan, np.nan, np.nan, 0, 0.0)
    rate = float(sums[:2].sum() / 2 / use)
    if units < LEAST_UNITS:
        return ReleaseRate(rate, np.nan, np.nan, units, use)
    low = float(np.nanquantile(replicates[0], tails[0]))
    high = float(np.nanquantile(replicates[1], tails[1]))
    return ReleaseRate(rate, low, high, units, use)


def _too_few(inside: ReleaseRate, outside: ReleaseRate) -> str | None:
    for rate, where in ((inside, "within"), (outside, "beyond")):
        if rate.units < LEAST_UNITS:
            return TOO_FEW.format(LEAST_UNITS, where)
    return None
