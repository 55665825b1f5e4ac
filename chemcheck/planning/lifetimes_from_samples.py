"""Lifetimes from samples: a crossing is known only to lie between two of them."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.planning.standard_forms import Floats

KINDS = ("between two samples", "outside at first sample", "still inside", "planned change")
BETWEEN, FIRST, INSIDE, PLANNED = range(4)
PROBLEMS = (
    "no sample with an age and a state",
    "outside at age 0: when the fill began is not known",
)


@dataclass(frozen=True, slots=True)
class FillLifetimes:
    """Lifetime of each fill to its first crossing, as an interval.

    Parameters
    ----------
    fill : numpy.ndarray, shape (m,)
        The fills, sorted.
    lower, upper : numpy.ndarray, shape (m,)
        Ends of the interval [h, km or d]: last sample inside and first sample outside; 0 where
        the first sample was outside; infinite where none was.
    kind : numpy.ndarray of int8, shape (m,)
        Position in ``KINDS``.
    set_aside : numpy.ndarray, shape (k,)
        Fills that give no lifetime.
    problem : numpy.ndarray of int8, shape (k,)
        Why, as a position in ``PROBLEMS``.
    samples_not_used : int
        Samples without an age, below age 0, without a state, or after the planned change.
    """

    fill: NDArray[Any]
    lower: Floats
    upper: Floats
    kind: NDArray[np.int8]
    set_aside: NDArray[Any]
    problem: NDArray[np.int8]
    samples_not_used: int


def lifetimes_from_samples(
    age: ArrayLike,
    outside: ArrayLike,
    fill: ArrayLike,
    planned_change_age: ArrayLike | None = None,
) -> FillLifetimes:
    """Turn the samples of each fill into the interval in which it first crossed.

    Parameters
    ----------
    age : array-like, shape (n,)
        Age of the fill at each sample [h, km or d]; NaN where unknown.
    outside : array-like, shape (n,)
        1 or True where the sample is surely outside its bound, 0 or False where surely inside,
        NaN where that is undecided: such a sample only widens the interval.
    fill : array-like, shape (n,)
        Fill of each sample.
    planned_change_age : array-like, shape (n,), optional
        Age at which the sample's fill was changed as planned; NaN where it was not. Samples of
        later age are not of this fill.

    Returns
    -------
    FillLifetimes
        One interval a fill, and the fills that give none.

    Raises
    ------
    ValueError
        If the shapes differ or a state is none of 0, 1 and NaN.

    Notes
    -----
    A fill that was changed while inside is censored at its last sample, not at its change:
    nobody looked in between. Of several crossings the first counts. Where the age is counted from
    the first sample, for want of a logged change, the lifetime comes out too short.

    Examples
    --------
    >>> seen = lifetimes_from_samples(
    ...     age=[250, 500, 750, 250, 500, 250],
    ...     outside=[0, 0, 1, 0, 0, 1],
    ...     fill=[1, 1, 1, 2, 2, 3],
    ... )
    >>> seen.lower, seen.upper
    (array([500., 500.,   0.]), array([750.,  inf, 250.]))
    >>> [KINDS[kind] for kind in seen.kind]
    ['between two samples', 'still inside', 'outside at first sample']
    """
    ages, states, changed = _checked(age, outside, planned_change_age)
    labels, code = np.unique(np.asarray(fill), return_inverse=True)
    if code.shape != ages.shape:
        message = f"fill: {code.size} labels: expected one for each of {ages.size} samples"
        raise ValueError(message)
    m = labels.size
    change = np.full(m, -np.inf)
    planned = np.isfinite(changed)
    np.maximum.at(change, code[planned], changed[planned])
    was_changed = np.isfinite(change)
    change[~was_changed] = np.inf
    used = np.isfinite(ages) & (ages >= 0.0) & np.isfinite(states) & (ages <= change[code])
    first_outside = np.full(m, np.inf)
    is_outside = used & (states > 0.0)
    np.minimum.at(first_outside, code[is_outside], ages[is_outside])
    last_inside = np.full(m, -np.inf)
    is_inside = used & (states == 0.0) & (ages < first_outside[code])
    np.maximum.at(last_inside, code[is_inside], ages[is_inside])
    sampled = np.bincount(code[used], minlength=m) > 0
    at_once = first_outside == 0.0
    crossed, looked = np.isfinite(first_outside), np.isfinite(last_inside)
    kind = np.select([crossed & looked, crossed, was_changed], [BETWEEN, FIRST, PLANNED], INSIDE)
    kept = sampled & ~at_once
    return FillLifetimes(
        fill=labels[kept],
        lower=np.where(looked, last_inside, 0.0)[kept],
        upper=first_outside[kept],
        kind=kind.astype(np.int8)[kept],
        set_aside=labels[~kept],
        problem=at_once.astype(np.int8)[~kept],
        samples_not_used=int((~used).sum()),
    )


def _checked(
    age: ArrayLike, outside: ArrayLike, planned_change_age: ArrayLike | None
) -> tuple[Floats, Floats, Floats]:
    """Bring the columns to float arrays of one shape."""
    ages = np.asarray(age, dtype=np.float64)
    states = np.asarray(outside, dtype=np.float64)
    if planned_change_age is None:
        changed = np.full(ages.shape, np.nan)
    else:
        changed = np.asarray(planned_change_age, dtype=np.float64)
    if ages.ndim != 1 or states.shape != ages.shape or changed.shape != ages.shape:
        message = (
            "age, outside and planned change: expected one row each of equal length, "
            f"found shapes {ages.shape}, {states.shape} and {changed.shape}"
        )
        raise ValueError(message)
    wrong = ~np.isnan(states) & (states != 0.0) & (states != 1.0)
    if wrong.any():
        place = int(np.argmax(wrong))
        message = f"sample {place}: {states[place]:g}: expected 1 outside, 0 inside or NaN"
        raise ValueError(message)
    return ages, states, changed
