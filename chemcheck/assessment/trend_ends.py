"""The ends of readings as trends take them."""

import numpy as np
import numpy.typing as npt

from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]


def trend_ends(
    readings: Readings, column: int, pooled: npt.NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """Return the ends of readings as a trend takes them.

    What ppm means is one unknown for the whole file: a trend keeps to one reading of it.

    Parameters
    ----------
    readings : Readings
        The samples.
    column : int
        Of the readings.
    pooled : ndarray of bool, shape (n_samples,)
        Samples wanted.

    Returns
    -------
    lower, upper : ndarray
        Equal where the reading is exact.
    """
    lower = readings.lower[pooled, column]
    upper = readings.upper[pooled, column] / readings.shared_factor[pooled, column]
    upper = np.where(np.isclose(upper, lower, rtol=1e-6, atol=0.0), lower, upper)
    return lower, np.maximum(upper, lower)
