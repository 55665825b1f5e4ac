"""Bounds that move as the axis goes on: what a bound on the coolant is on a corrected series.

A series corrected for dilution follows the chemistry alone. The value that a limit speaks of is
the corrected one times the dilution, so that on the corrected scale the bound moves away from
where it stands at the last sample, as fast as the coolant is diluted.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from chemcheck.forecasting.curves import EXPONENTIAL, Curve
from chemcheck.forecasting.fill_rows import Floats, Integers

DRIFT_COLUMNS = ("rate", "variance", "walk")
# A bound that moved by more than this factor's logarithm is out of reach or at nothing.
FARTHEST = 50.0
# So many times the longest axis seen is as good as never.
ENDLESS = 1e6


@dataclass(frozen=True, slots=True)
class MovingBound:
    """Bounds of n fills that grow or shrink in proportion, on the scale of the arithmetic.

    Parameters
    ----------
    curve : Curve
        The trend's curve.
    unit, reading : float
        Axis and reading that count as 1.
    sign : float
        1 where passing means rising above the bound, else -1.
    bound : numpy.ndarray, shape (n,)
        At the last sample, in the user's unit.
    last : numpy.ndarray, shape (n,)
        Axis of the last sample, in the user's unit.
    rate, variance : numpy.ndarray, shape (n,)
        Rate of the bound's logarithm [1 / axis unit], and how sure it is.
    walk : numpy.ndarray, shape (n,)
        Variance that the bound's logarithm gains over one unit of the axis.
    """

    curve: Curve
    unit: float
    reading: float
    sign: float
    bound: Floats
    last: Floats
    rate: Floats
    variance: Floats
    walk: Floats

    def take(self, which: Integers) -> "MovingBound":
        """Keep some of the fills, in the order given; a fill may come more than once."""
        return MovingBound(
            self.curve,
            self.unit,
            self.reading,
            self.sign,
            self.bound[which],
            self.last[which],
            self.rate[which],
            self.variance[which],
            self.walk[which],
        )

    def moved(self, travelled: Floats) -> tuple[Floats, Floats]:
        """Return by how much the distance to the bound grew, and the variance of that, (n,).

        Parameters
        ----------
        travelled : numpy.ndarray, shape (n,)
            Since the last sample, on the scaled axis; below 0 before it.
        """
        along = self.curve.axis_back(self.curve.axis(self.last) + self.unit * travelled)
        along = np.clip(along - self.last, -ENDLESS * self.unit, ENDLESS * self.unit)
        grown = np.clip(self.rate * along, -FARTHEST, FARTHEST)
        if self.curve.name == EXPONENTIAL:
            shift, size = grown, np.ones_like(grown)
        else:
            shift, size = self.bound * np.expm1(grown), self.bound * np.exp(grown)
        spread = (size / self.reading) ** 2
        spread = spread * (self.variance * along**2 + self.walk * np.abs(along))
        return self.sign * shift / self.reading, spread


@dataclass(frozen=True, slots=True)
class MovingBounds:
    """The same bounds on the scales of several curves, each in so many ways.

    Parameters
    ----------
    bounds : tuple of MovingBound
        On the scale of each curve.
    ways : tuple of int
        How many ways the fleet's variances may be on each.
    """

    bounds: tuple[MovingBound, ...]
    ways: tuple[int, ...]

    def take(self, which: Integers) -> "MovingBounds":
        """Keep some of the fills."""
        return MovingBounds(tuple(one.take(which) for one in self.bounds), self.ways)

    def moved(self, travelled: Floats) -> tuple[Floats, Floats]:
        """Return shift and variance as `MovingBound.moved`, in all ways, (ways, n)."""
        moved = np.array([one.moved(travelled) for one in self.bounds])
        shift, spread = np.repeat(moved, self.ways, axis=0).swapaxes(0, 1)
        return shift, spread


def check_drift(drift: pd.DataFrame, labels: NDArray[np.object_]) -> pd.DataFrame:
    """Return the drift of every fill in order; a fill without an entry has a bound that stays.

    Parameters
    ----------
    drift : DataFrame
        Indexed by fill, with ``DRIFT_COLUMNS``.
    labels : numpy.ndarray, shape (fills,)
        The fills.

    Raises
    ------
    ValueError
        If a column is missing, or a variance is below 0.
    """
    missing = [name for name in DRIFT_COLUMNS if name not in drift]
    if missing:
        message = f"drift: no column {missing[0]!r}; expected {', '.join(DRIFT_COLUMNS)}"
        raise ValueError(message)
    known = drift[list(DRIFT_COLUMNS)].astype(np.float64).reindex(labels).fillna(0.0)
    if (known[["variance", "walk"]] < 0.0).any(axis=None):
        message = "drift: a variance is below 0"
        raise ValueError(message)
    return known
