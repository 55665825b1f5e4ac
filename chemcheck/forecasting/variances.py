"""The variances of a fleet: one set, or several ways they may be."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.forecasting.fill_rows import Floats, Integers

# How many times wider the error of a wild reading is.
WILD_FACTOR = 5.0


@dataclass(frozen=True, slots=True)
class Variances:
    """Variances of the model, in k ways, on the scale of the readings and axis they belong to.

    Parameters
    ----------
    noise : numpy.ndarray, shape (k,)
        Variance of a reading's error.
    walk : numpy.ndarray, shape (k,)
        Variance that the walk gains over one unit of the axis; all zero or all above zero.
    factor : numpy.ndarray, shape (3, k)
        Entries 11, 21, 22 of L, where L L' is the covariance of start and rate between fills.
    wild : numpy.ndarray, shape (k,)
        Share of readings whose error is `WILD_FACTOR` times as wide.
    """

    noise: Floats
    walk: Floats
    factor: Floats
    wild: Floats

    @property
    def ways(self) -> int:
        """How many ways, k."""
        return self.noise.size

    def take(self, which: Integers) -> "Variances":
        """Keep some of the ways."""
        return Variances(
            self.noise[which], self.walk[which], self.factor[:, which], self.wild[which]
        )

    def error_variance(self) -> Floats:
        """Return the variance of a reading's error, wild readings included, shape (k,)."""
        whole: Floats = self.noise * (1.0 + self.wild * (WILD_FACTOR**2 - 1.0))
        return whole

    def rescaled(self, reading: float, axis: float) -> "Variances":
        """Return the same variances where readings and axis are counted in other units.

        Parameters
        ----------
        reading : float
            New number of a reading that is 1 now.
        axis : float
            Present number of an axis that is 1 then.
        """
        turn = np.array([[1.0], [axis], [axis]])
        return Variances(
            self.noise * reading**2,
            self.walk * reading**2 * axis,
            self.factor * reading * turn,
            self.wild,
        )

    def spread(self) -> Floats:
        """Return the covariance of start and rate between fills, shape (k, 2, 2)."""
        a, b, c = self.factor
        return np.moveaxis(np.array([[a * a, a * b], [a * b, b * b + c * c]]), -1, 0)


def one_way(noise: float, walk: float, factor: ArrayLike, wild: float = 0.0) -> Variances:
    """Build a single set of variances."""
    column = np.asarray(factor, dtype=np.float64).reshape(3, 1)
    return Variances(np.array([noise]), np.array([walk]), column, np.array([wild]))


def lower_of_root(root: Floats) -> Floats:
    """Turn entries 11, 12, 22 of R into entries 11, 21, 22 of L, where L L' = R R.

    Parameters
    ----------
    root : numpy.ndarray, shape (3,) or (3, k)
        Entries of R.

    Examples
    --------
    >>> lower_of_root(np.array([3.0, 0.0, 2.0])).tolist()
    [3.0, 0.0, 2.0]
    """
    a, b, c = root
    first = np.hypot(a, b)
    # Without a spread of the start there is none to share with the rate.
    some = np.maximum(first, np.finfo(float).tiny)
    second = np.where(first > 0.0, b * (a + c) / some, 0.0)
    third = np.where(first > 0.0, np.abs(a * c - b * b) / some, np.abs(c))
    return np.array([first, second, third])


def root_of_lower(factor: Floats) -> Floats:
    """Turn entries 11, 21, 22 of L into entries 11, 12, 22 of R, where L L' = R R.

    Parameters
    ----------
    factor : numpy.ndarray, shape (3,) or (3, k)
        Entries of L.

    Examples
    --------
    >>> lower_of_root(root_of_lower(np.array([1.0, -2.0, 0.5]))).round(9).tolist()
    [1.0, -2.0, 0.5]
    """
    a, b, c = factor
    size = np.abs(a * c)
    total = np.sqrt(a * a + b * b + c * c + 2.0 * size)
    root: Floats = np.array([a * a + size, a * b, b * b + c * c + size])
    root /= np.maximum(total, np.finfo(float).tiny)
    return root
