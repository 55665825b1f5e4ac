"""What a chart counts from left to right, and where it is marked: dates, or use."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from chemcheck.reports.numbers import number

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Of a year or part of a year, in months.
_STEPS = (1, 2, 3, 6, 12, 24, 60, 120)
MOST_MARKS = 6


@dataclass(frozen=True, slots=True)
class Axis:
    """What is counted from left to right.

    Parameters
    ----------
    title : str
        What stands under it.
    dated : bool, default False
        Whether a place is a day since 1970-01-01.
    """

    title: str
    dated: bool = False

    def words(self, place: float) -> str:
        """Return a place in words.

        Examples
        --------
        >>> Axis("date", dated=True).words(20000.0), Axis("use [h]").words(math.inf)
        ('2024-10-04', 'later')
        """
        if not math.isfinite(place):
            return "later"
        return str(np.datetime64(math.floor(place), "D")) if self.dated else number(place)

    def mark(self, axes: "Axes", first: float, last: float, most: int = MOST_MARKS) -> None:
        """Put marks, at most so many, and the title on the axis of a chart."""
        if self.dated:
            days, names = date_marks(first, last, most)
            axes.set_xticks(days, names)
        else:
            axes.locator_params(axis="x", nbins=most)
        axes.set_xlabel(self.title, labelpad=2)
        axes.locator_params(axis="y", nbins=4)


def date_marks(first: float, last: float, most: int = MOST_MARKS) -> tuple[list[float], list[str]]:
    """Return first days of months between two days, few enough to be read.

    Parameters
    ----------
    first, last : float
        Days since 1970-01-01.
    most : int
        Marks at most.

    Returns
    -------
    tuple of list of float and list of str
        Days and their names; whole days where there is no month's beginning.

    Examples
    --------
    >>> date_marks(20000.0, 20100.0)
    ([20028.0, 20058.0, 20089.0], ['2024-11', '2024-12', '2025-01'])
    """
    begin = np.datetime64(math.floor(first), "D").astype("datetime64[M]").astype(int) + 1
    end = np.datetime64(math.floor(last), "D").astype("datetime64[M]").astype(int)
    if end < begin:
        middle = [float(math.ceil(first)), float(math.floor(last))]
        days = sorted({day for day in middle if first <= day <= last})
        return days, [str(np.datetime64(int(day), "D")) for day in days]
    fits = (step for step in _STEPS if (end - begin) // step < most)
    step = next(fits, math.ceil((end - begin + 1) / most))
    months = np.arange(begin + -begin % step, end + 1, step).astype("datetime64[M]")
    if not months.size:
        months = np.array([begin], dtype="datetime64[M]")
    days = [float(day) for day in months.astype("datetime64[D]").astype(int)]
    return days, [str(month) for month in months]
