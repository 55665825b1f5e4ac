"""A value with the interval it lies in, and arithmetic that keeps the interval honest."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.errors import QuantityError

Column = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value and the ends of the interval it lies in; all three equal where it is exact.

    Parameters
    ----------
    value, lower, upper : ndarray
        Of one shape: one number, or a column of them; NaN in all where there is none.
    """

    value: Column
    lower: Column
    upper: Column

    @property
    def is_exact(self) -> bool:
        """Whether every interval is a point."""
        return bool(np.all((self.lower == self.upper) | np.isnan(self.value)))


def exact(value: ArrayLike) -> Estimate:
    """Return a value, or a column, that is known.

    Examples
    --------
    >>> exact(8.0).is_exact
    True
    """
    known = np.asarray(value, dtype=np.float64)
    return Estimate(known, known, known)


def between(lower: ArrayLike, upper: ArrayLike, value: ArrayLike | None = None) -> Estimate:
    """Return what lies between two ends; its value is the middle unless stated.

    Raises
    ------
    QuantityError
        If an upper end is below its lower end.

    Examples
    --------
    >>> float(between(8.0, 9.0).value)
    8.5
    """
    low, high = np.broadcast_arrays(
        np.asarray(lower, dtype=np.float64), np.asarray(upper, dtype=np.float64)
    )
    if np.any(low > high):
        message = "the upper end of an interval is below its lower end"
        raise QuantityError(message)
    middle = 0.5 * (low + high) if value is None else np.asarray(value, dtype=np.float64)
    return Estimate(np.asarray(middle), low, high)


def hull(function: Callable[..., ArrayLike], *inputs: Estimate) -> Estimate:
    """Compute a function of estimates, with the interval that its result lies in.

    Parameters
    ----------
    function : callable
        Takes as many arrays as there are inputs.
    *inputs : Estimate
        Of shapes that broadcast.

    Returns
    -------
    Estimate
        The function at the values; the ends are its least and greatest at all
        combinations of the inputs' ends. They hold where the function rises or falls
        in each input by itself; a combination without a result (NaN) is left out.

    Notes
    -----
    Inputs are taken to vary independently of each other. The interval never excludes the
    value.

    Examples
    --------
    >>> area = hull(lambda a, b: a * b, between(1.0, 2.0), between(3.0, 5.0))
    >>> float(area.value), float(area.lower), float(area.upper)
    (6.0, 3.0, 10.0)
    """
    value = np.asarray(function(*(one.value for one in inputs)), dtype=np.float64)
    ends = [
        (one.lower,) if one.lower is one.upper or one.is_exact else (one.lower, one.upper)
        for one in inputs
    ]
    corners = np.stack(
        [np.broadcast_to(np.asarray(function(*corner)), value.shape) for corner in product(*ends)]
        + [value]
    )
    lower = np.fmin.reduce(corners, axis=0)
    upper = np.fmax.reduce(corners, axis=0)
    return Estimate(value, np.asarray(lower), np.asarray(upper))


def joined(parts: Sequence[Estimate]) -> Estimate:
    """Join what several sources say of one thing: the value of the first, the interval of all.

    Examples
    --------
    >>> both = joined([exact(-37.1), exact(-39.8)])
    >>> float(both.value), float(both.lower), float(both.upper)
    (-37.1, -39.8, -37.1)
    """
    return Estimate(
        parts[0].value,
        np.fmin.reduce(np.stack([one.lower for one in parts])),
        np.fmax.reduce(np.stack([one.upper for one in parts])),
    )


def choose(mask: ArrayLike, yes: Estimate, no: Estimate) -> Estimate:
    """Take one estimate where a condition holds, the other elsewhere.

    Examples
    --------
    >>> choose([True, False], exact(1.0), exact(2.0)).value
    array([1., 2.])
    """
    return Estimate(
        np.where(mask, yes.value, no.value),
        np.where(mask, yes.lower, no.lower),
        np.where(mask, yes.upper, no.upper),
    )


def cut(estimate: Estimate, most: Estimate) -> Estimate:
    """Cut an estimate to what is not below zero and not above another.

    Examples
    --------
    >>> float(cut(between(-1.0, 9.0), exact(8.0)).upper)
    8.0
    """
    return Estimate(
        np.clip(estimate.value, 0.0, most.value),
        np.clip(estimate.lower, 0.0, most.upper),
        np.clip(estimate.upper, 0.0, most.upper),
    )


def refuse_where(wrong: ArrayLike, said: str) -> None:
    """Refuse quantities that cannot be what they say.

    Parameters
    ----------
    wrong : bool or array-like
        Where.
    said : str
        What is wrong, as one clear line.

    Raises
    ------
    QuantityError
        If any is; in a column with how many.

    Examples
    --------
    >>> refuse_where([False, True], "more is drained than the system holds")
    Traceback (most recent call last):
        ...
    chemcheck.errors.QuantityError: more is drained than the system holds (1 of 2 rows)
    """
    mask = np.asarray(wrong, dtype=bool)
    if mask.any():
        more = f" ({int(mask.sum())} of {mask.size} rows)" if mask.ndim else ""
        raise QuantityError(said + more)
