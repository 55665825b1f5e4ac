"""Pressure of the air by altitude, in the standard atmosphere."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.validity import keep_valid

# ISO 2533:1975 / ICAO Doc 7488, troposphere (rounded as commonly printed; memory).
SEA_LEVEL_PRESSURE = 101.325  # [kPa]
_LAPSE = 2.25577e-5  # lapse rate over the temperature at sea level [1/m]
_EXPONENT = 5.25588
# The standard's table begins at -2000 m; its troposphere ends at 11,000 m.
ALTITUDE_RANGE = (-2000.0, 11000.0)  # [m]


def air_pressure(altitude: ArrayLike) -> NDArray[np.float64]:
    """Pressure of the standard atmosphere.

    Parameters
    ----------
    altitude : float or array-like
        Height above sea level [m].

    Returns
    -------
    numpy.ndarray
        Absolute pressure [kPa]; NaN outside the troposphere, with a warning.

    Warns
    -----
    OutsideValidityWarning
        Below -2000 m or above 11,000 m.

    Notes
    -----
    p = 101.325 (1 - 2.25577e-5 h)^5.25588 [1]_. Weather moves the true pressure by about
    3 kPa either way (memory).

    References
    ----------
    .. [1] ISO 2533:1975, Standard atmosphere; ICAO Doc 7488 (constants from memory).

    Examples
    --------
    >>> air_pressure([0.0, 2500.0]).round(2)
    array([101.32,  74.68])
    """
    height = np.asarray(altitude, dtype=np.float64)
    valid = (height >= ALTITUDE_RANGE[0]) & (height <= ALTITUDE_RANGE[1])
    base = 1.0 - _LAPSE * np.where(valid, height, 0.0)
    return keep_valid(
        SEA_LEVEL_PRESSURE * base**_EXPONENT,
        valid,
        np.isnan(height),
        "standard atmosphere",
        "-2000 to 11,000 m",
    )
