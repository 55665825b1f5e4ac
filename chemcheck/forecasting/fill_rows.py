"""Readings in the order the arithmetic wants: fill by fill, each along its axis.

Every sum over a fill and every walk along it then runs over all fills at once.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.intp]
Bools = NDArray[np.bool_]

# Two readings at one point of the axis: the walk has no room to move between them. A step of
# this size stands for none, so that its inverse stays a number; the longest axis counts as 1.
SMALLEST_STEP = 1e-7


@dataclass(frozen=True, slots=True)
class FillRows:
    """Design columns of readings sorted by fill, then along the axis.

    Parameters
    ----------
    design : numpy.ndarray, shape (p, n)
        Columns of the fixed part: ones, the axis, covariates. The first two also carry the
        random start and rate of each fill.
    steps : numpy.ndarray, shape (n,)
        Axis travelled since the row before in the same fill (since the fill, for its first).
    starts : numpy.ndarray, shape (fills,)
        First row of each fill.
    fill : numpy.ndarray, shape (n,)
        Fill of each row, as a position in `starts`.
    breaks : numpy.ndarray of bool, shape (n,), optional
        Rows before which the level moved by an amount that nobody knows: a dose. None: nowhere.
    """

    design: Floats
    steps: Floats
    starts: Integers
    fill: Integers
    breaks: Bools | None = None

    @property
    def last(self) -> Integers:
        """Last row of each fill, shape (fills,)."""
        return np.append(self.starts[1:], self.fill.size) - 1

    def merge_places(self, kept: NDArray[np.bool_]) -> tuple["FillRows", Integers]:
        """Drop rows at the place of an earlier row, but those to be kept.

        Returns the remaining rows, and for every row the remaining one that stands for it.
        """
        same = np.zeros(self.fill.size, dtype=bool)
        same[1:] = (self.fill[1:] == self.fill[:-1]) & (self.design[1, 1:] == self.design[1, :-1])
        stays = ~same | kept
        stand_in = np.cumsum(stays) - 1
        starts = stand_in[self.starts]
        return (
            FillRows(
                self.design[:, stays],
                self.steps[stays],
                starts,
                self.fill[stays],
                None if self.breaks is None else self.breaks[stays],
            ),
            stand_in,
        )

    def select(self, fills: Integers) -> tuple["FillRows", Integers]:
        """Keep some fills, in the order given; also returns the rows kept."""
        counts = self.last[fills] - self.starts[fills] + 1
        starts = np.concatenate(([0], np.cumsum(counts)[:-1]))
        fill = np.repeat(np.arange(fills.size), counts)
        rows = np.arange(fill.size) + (self.starts[fills] - starts)[fill]
        breaks = None if self.breaks is None else self.breaks[rows]
        return FillRows(self.design[:, rows], self.steps[rows], starts, fill, breaks), rows

    def after_breaks(self) -> Bools:
        """Return which rows no later row of their fill is separated from by a break, (n,)."""
        if self.breaks is None:
            return np.ones(self.fill.size, dtype=bool)
        passed = np.cumsum(self.breaks)
        latest: Bools = passed == passed[self.last][self.fill]
        return latest


def fill_codes(groups: ArrayLike | None, rows: int) -> tuple[Integers, NDArray[np.object_]]:
    """Give each fill a number, in the order of their labels.

    Parameters
    ----------
    groups : array-like, shape (rows,), or None
        Fill of each row; None means that all rows are one fill.
    rows : int
        Number of readings.

    Returns
    -------
    codes : numpy.ndarray, shape (rows,)
        Position of each row's fill in `labels`.
    labels : numpy.ndarray, shape (fills,)
        The fills, sorted, numbers before texts; as they first appear if they cannot be sorted.

    Raises
    ------
    ValueError
        If a row has no fill, or if there are not as many fills as rows.

    Examples
    --------
    >>> codes, labels = fill_codes(["b", "a", "b"], 3)
    >>> codes.tolist(), labels.tolist()
    ([1, 0, 1], ['a', 'b'])
    """
    if groups is None:
        return np.zeros(rows, dtype=np.intp), np.array([0], dtype=object)
    series = pd.Series(groups)
    if len(series) != rows:
        message = f"groups has {len(series)} labels for {rows} readings; expected one a reading"
        raise ValueError(message)
    if series.isna().any():
        row = int(np.flatnonzero(series.isna())[0])
        message = f"groups: reading {row} has no fill; expected a label"
        raise ValueError(message)
    try:
        codes, labels = pd.factorize(series, sort=True)
    except TypeError:
        codes, labels = pd.factorize(series, sort=False)
    return codes, np.asarray(labels, dtype=object)


def order_rows(
    codes: Integers,
    axis: Floats,
    covariates: Floats,
    origin: float,
    breaks: Bools | None = None,
) -> tuple[FillRows, Integers]:
    """Sort readings by fill, then along the axis.

    Parameters
    ----------
    codes : numpy.ndarray, shape (n,)
        Fill of each reading; every number from 0 to the largest occurs.
    axis : numpy.ndarray, shape (n,)
        Axis since the fill, of about 1 at most.
    covariates : numpy.ndarray, shape (k, n)
        Further columns of the fixed part.
    origin : float
        Where the walk starts on the axis: the fill itself.
    breaks : numpy.ndarray of bool, shape (n,), optional
        Readings before which the level moved by an unknown amount.

    Returns
    -------
    rows : FillRows
        The readings in order.
    order : numpy.ndarray, shape (n,)
        The caller's row that each sorted row came from.

    Examples
    --------
    >>> rows, order = order_rows(
    ...     np.array([1, 0, 1]), np.array([1.0, 0.5, 0.25]), np.empty((0, 3)), 0.0
    ... )
    >>> order.tolist(), rows.steps.tolist(), rows.starts.tolist()
    ([1, 2, 0], [0.5, 0.25, 0.75], [0, 1])
    """
    in_order = (codes[1:] > codes[:-1]) | ((codes[1:] == codes[:-1]) & (axis[1:] >= axis[:-1]))
    order = np.arange(codes.size) if in_order.all() else np.lexsort((axis, codes))
    fill, along = codes[order], axis[order]
    first = np.ones(fill.size, dtype=bool)
    first[1:] = fill[1:] != fill[:-1]
    before = np.concatenate(([origin], along[:-1]))
    before[first] = origin
    steps = np.maximum(along - before, SMALLEST_STEP)
    design = np.vstack((np.ones_like(along), along, covariates[:, order]))
    broken = breaks[order] if breaks is not None and breaks.any() else None
    return FillRows(design, steps, np.flatnonzero(first), fill, broken), order


def sum_by_fill(values: Floats, starts: Integers) -> Floats:
    """Sum the last axis of `values` over the rows of each fill."""
    return np.add.reduceat(values, starts, axis=-1)
