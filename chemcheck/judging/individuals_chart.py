"""The control chart for single results, one after the other."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.typing import ArrayLike

from chemcheck.errors import NotEnoughDataError
from chemcheck.limit_library.settings import check_settings


@dataclass(frozen=True, slots=True)
class IndividualsChart:
    """Centre and limits of an individuals chart, and what lies beyond them.

    Parameters
    ----------
    centre, lower, upper : float
        Mean of the results, and the limits either side of it [unit of the results].
    moving_range : float
        Mean difference of neighbours.
    outside : ndarray of bool, shape (n,)
        Results beyond the limits.
    """

    centre: float
    lower: float
    upper: float
    moving_range: float
    outside: npt.NDArray[np.bool_]


def individuals_chart(values: ArrayLike, *, revise: bool = False) -> IndividualsChart:
    """Draw up an individuals chart.

    Parameters
    ----------
    values : array-like, shape (n,)
        Results in the order in which they were made; no NaN.
    revise : bool
        Whether results beyond the limits are left out and the limits drawn up again, until
        none is: so that a failure does not widen the limits that should show it.

    Returns
    -------
    IndividualsChart
        ``outside`` is of all results, those left out included.

    Raises
    ------
    NotEnoughDataError
        If there are fewer than two results.

    Notes
    -----
    The rule is the one of the NIST/SEMATECH e-Handbook [1]_: mean plus and minus three times
    the mean moving range of two over 1.128; a result beyond is out of control. A neighbour
    left out takes its two ranges with it.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, What are variables control
       charts: individuals control charts (section number from memory).

    Examples
    --------
    >>> chart = individuals_chart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> round(chart.centre, 2), round(chart.lower, 4), round(chart.upper, 4)
    (50.81, 45.8159, 55.8041)
    """
    results = np.asarray(values, dtype=np.float64)
    if results.size < 2:
        problem = f"a control chart needs two results at least, found {results.size}"
        raise NotEnoughDataError(problem)
    settings = check_settings("control")
    width = settings["chart_width"].value / settings["moving_range_divisor"].value
    inside = np.ones(results.shape, dtype=np.bool_)
    while True:
        kept = results[inside]
        centre = float(kept.mean())
        neighbours = inside[1:] & inside[:-1]
        ranges = np.abs(np.diff(results))[neighbours]
        moving = float(ranges.mean()) if ranges.size else float(np.abs(np.diff(kept)).mean())
        lower, upper = centre - width * moving, centre + width * moving
        outside = (results < lower) | (results > upper)
        left = inside & ~outside
        if not revise or left.sum() == inside.sum() or left.sum() < 2:
            return IndividualsChart(centre, lower, upper, moving, outside)
        inside = left
