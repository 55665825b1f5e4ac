"""Stretches between samples of one fill: how long each ran, and what it released."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.planning.standard_forms import Floats, Mask

Integers = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Pairs:
    """Samples of a fill that follow each other, in order of fill and age.

    Parameters
    ----------
    first, last : ndarray of intp, shape (n,)
        Position of the samples in the order of fills and ages.
    unit : ndarray of intp, shape (n,)
        Running number of the unit.
    n_units : int
        How many there are, at least one.
    use : ndarray, shape (n,)
        Between the two [axis], above zero.
    value_lower, value_upper : ndarray, shape (2, n)
        Of the first and the last sample.
    age : ndarray, shape (n_samples,)
        Of every sample in order.
    released_lower, released_upper : ndarray, shape (n_samples,)
        Of every sample in order.
    """

    first: Integers
    last: Integers
    unit: Integers
    n_units: int
    use: Floats
    value_lower: Floats
    value_upper: Floats
    age: Floats
    released_lower: Floats
    released_upper: Floats


def pairs_of(
    fill: ArrayLike,
    unit: ArrayLike,
    age: ArrayLike,
    value: tuple[ArrayLike, ArrayLike],
    released: tuple[ArrayLike, ArrayLike],
) -> Pairs:
    """Pair each sample with the next one of its fill.

    Parameters
    ----------
    fill, unit : array-like of int, shape (n,)
        Of each sample.
    age : array-like, shape (n,)
        Of the fill [axis].
    value, released : pair of array-like, shape (n,)
        Lower and upper ends. A sample without both is passed over, so that its neighbours
        make the pair.

    Returns
    -------
    Pairs
        Two samples of one age make none.
    """
    floats = [np.asarray(each, dtype=np.float64) for each in (age, *value, *released)]
    finite = np.isfinite(np.stack([floats[0], floats[1], floats[3], floats[4]])).all(axis=0)
    known = np.flatnonzero(finite & ~np.isnan(floats[2]))
    fills, named = np.asarray(fill)[known], np.asarray(unit)[known]
    order = np.lexsort((floats[0][known], fills))
    ages, low, high, least, most = (each[known][order] for each in floats)
    fills = fills[order]
    codes = np.unique(named, return_inverse=True)[1][order]
    first = np.flatnonzero((np.diff(fills) == 0) & (np.diff(ages) > 0))
    last = first + 1
    return Pairs(
        first,
        last,
        codes[first],
        int(codes.max(initial=0)) + 1,
        ages[last] - ages[first],
        np.stack([low[first], low[last]]),
        np.stack([high[first], high[last]]),
        ages,
        least,
        most,
    )


def runs_of(pairs: Pairs, wanted: Mask) -> tuple[Integers, Floats, Floats, Floats]:
    """Join pairs that follow each other.

    Parameters
    ----------
    pairs : Pairs
        Of all samples.
    wanted : ndarray of bool, shape (n,)
        Pairs to join.

    Returns
    -------
    unit, use, least, most : ndarray
        Of each run: its unit, its length [axis], and the least and greatest release.
    """
    place = np.flatnonzero(wanted)
    if not place.size:
        none = np.empty(0)
        return place, none, none, none
    joined = pairs.first[place[1:]] == pairs.last[place[:-1]]
    starts, ends = place[np.r_[True, ~joined]], place[np.r_[~joined, True]]
    first, last = pairs.first[starts], pairs.last[ends]
    return (
        pairs.unit[starts],
        pairs.age[last] - pairs.age[first],
        pairs.released_lower[last] - pairs.released_upper[first],
        pairs.released_upper[last] - pairs.released_lower[first],
    )


def sums_of_units(runs: tuple[Integers, Floats, Floats, Floats], n_units: int) -> Floats:
    """Add the runs of each unit up.

    Parameters
    ----------
    runs : tuple of ndarray
        As `runs_of` gives them.
    n_units : int
        How many units there are.

    Returns
    -------
    ndarray, shape (3, n_units)
        Least and greatest release, and use.
    """
    unit, use, least, most = runs
    return np.stack(
        [np.bincount(unit, weights=each, minlength=n_units) for each in (least, most, use)]
    )
