"""The ends of waters' readings as a blend needs them, dissolved solids by conductivity too."""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from chemcheck.judging import Judged
from chemcheck.judging.water_cross_checks import (
    Interval,
    reading_of,
    solids_from_conductivity,
)
from chemcheck.readings.record import Readings

SOLIDS = "total_dissolved_solids"


def estimated_solids(readings: Readings) -> Interval:
    """Return the dissolved solids by conductivity where none were read.

    Parameters
    ----------
    readings : Readings
        Of water.

    Returns
    -------
    Interval
        shape (n_samples,) [mg/L]; NaN where dissolved solids were read, or nothing is known.
    """
    read, estimated = reading_of(readings, SOLIDS), solids_from_conductivity(readings)
    has = ~np.isnan(read.lower)
    return Interval(np.where(has, np.nan, estimated.lower), np.where(has, np.nan, estimated.upper))


def reading_ends(
    judged: Judged, estimated: Interval, rows: npt.NDArray[np.intp], widened: float
) -> Callable[[str, str | None], tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]]:
    """Return what gives an analyte's ends, each moved out by so many standard uncertainties.

    Parameters
    ----------
    judged : Judged
        Readings with the uncertainty of their methods.
    estimated : Interval
        Dissolved solids where none were read.
    rows : ndarray of int, shape (m,)
        Positions of the waters among the samples.
    widened : float
        How many standard uncertainties; 0 gives the readings as reported.

    Returns
    -------
    callable
        Of an analyte and a basis (None: any); gives lower and upper ends, shape (m,), not
        below zero [canonical unit].
    """
    readings = judged.readings

    def ends(key: str, basis: str | None) -> tuple[np.ndarray, np.ndarray]:
        lower, upper = np.full((2, rows.size), np.nan)
        for place, column in enumerate(readings.columns):
            if column.analyte != key or basis not in (None, column.basis):
                continue
            u = widened * judged.uncertainty[rows, place] if widened else 0.0
            missing = np.isnan(lower)
            lower = np.where(missing, readings.lower[rows, place] - u, lower)
            upper = np.where(missing, readings.upper[rows, place] + u, upper)
        if key == SOLIDS:
            missing = np.isnan(lower)
            lower = np.where(missing, estimated.lower[rows], lower)
            upper = np.where(missing, estimated.upper[rows], upper)
        return np.maximum(lower, 0.0), upper

    return ends
