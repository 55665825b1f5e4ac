"""Readings of a fleet, and which laboratory or method each is of."""

from dataclasses import dataclass

import numpy as np

from chemcheck.forecasting.fill_rows import Bools, Floats, Integers

DRAW_SEED = 20_260_108


@dataclass(frozen=True, slots=True)
class LevelReadings:
    """Readings of a fleet, and who measured each.

    Parameters
    ----------
    axis : ndarray, shape (n,)
        Axis since the fill.
    fill : ndarray of intp, shape (n,)
        Fill of each reading; every number from 0 to the largest occurs.
    lower, upper : ndarray, shape (n,)
        Ends of each reading; equal where exact. A lower end of 0 below an upper end is 'below'.
    level : ndarray of intp, shape (n,)
        Who measured it, 0 to L; level 0 is the one that the others are brought to.
    gain : ndarray, shape (n,), or None
        By how much an offset of 1 raises a reading. None: offsets are logarithms of factors.
    breaks : ndarray of bool, shape (n,), or None
        As `FleetTrend.fit` takes them.
    """

    axis: Floats
    fill: Integers
    lower: Floats
    upper: Floats
    level: Integers
    gain: Floats | None = None
    breaks: Bools | None = None

    def corrected(self, offset: Floats) -> tuple[Floats, Floats]:
        """Bring readings to level 0; both ends move, and what is only 'below' stays so.

        Parameters
        ----------
        offset : ndarray, shape (L,)
            Of levels 1 to L.

        Examples
        --------
        A reading of 10.5, and a non-detect below 2, by a laboratory that reads 5 % high:

        >>> two = np.zeros(2)
        >>> read = LevelReadings(
        ...     two, two.astype(int), np.array([10.5, 0.0]), np.array([10.5, 2.0]), np.array([1, 1])
        ... )
        >>> [end.round(2).tolist() for end in read.corrected(np.log([1.05]))]
        [[10.0, 0.0], [10.0, 1.9]]
        """
        own = np.append(0.0, offset)[self.level]
        if self.gain is None:
            factor = np.exp(-own)
            return self.lower * factor, self.upper * factor
        below = (self.lower == 0.0) & (self.upper > 0.0)
        lower = np.where(below, 0.0, self.lower - own * self.gain)
        upper = self.upper - own * self.gain
        # A limit of detection does not move to nothing: half of it is left at least.
        return lower, np.where(below, np.maximum(upper, 0.5 * self.upper), upper)

    def draw(self, fills: int) -> Bools:
        """Return the readings of some fills, drawn at random; of all if there are not more."""
        count = int(self.fill.max()) + 1
        chosen = np.zeros(count, dtype=bool)
        most = min(fills, count)
        chosen[np.random.default_rng(DRAW_SEED).choice(count, most, replace=False)] = True
        return np.asarray(chosen[self.fill])

    def take(self, which: Integers | Bools) -> "LevelReadings":
        """Keep some readings, in the order given; their fills are numbered anew."""
        return LevelReadings(
            self.axis[which],
            np.unique(self.fill[which], return_inverse=True)[1],
            self.lower[which],
            self.upper[which],
            self.level[which],
            None if self.gain is None else self.gain[which],
            None if self.breaks is None else self.breaks[which],
        )
