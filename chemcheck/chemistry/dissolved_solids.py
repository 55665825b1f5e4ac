"""Dissolved solids from conductivity: an interval, because the factor depends on the salts."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True)
class ConductivityFactor:
    """Range of dissolved solids per conductivity, with its source.

    Parameters
    ----------
    lower, upper : float
        Ends of the range [mg/L per uS/cm at 25 C].
    source : str
        Where the range comes from.
    evidence : str
        ``published``, ``library``, ``common practice`` or ``memory``.
    """

    lower: float
    upper: float
    source: str
    evidence: str


NATURAL_WATER_FACTOR = ConductivityFactor(
    lower=0.5,
    upper=0.9,
    source="natural waters 0.5 to 0.9; meters print 0.5 (sodium chloride scale), 0.65 or 0.7",
    evidence="memory",
)


def dissolved_solids_from_conductivity(
    lower: ArrayLike, upper: ArrayLike, factor: ConductivityFactor = NATURAL_WATER_FACTOR
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Dissolved solids that a conductivity allows.

    Parameters
    ----------
    lower, upper : float or array-like
        Ends of the conductivity reading [uS/cm at 25 C].
    factor : ConductivityFactor
        Range of the factor.

    Returns
    -------
    lower, upper : numpy.ndarray
        Ends of the dissolved solids [mg/L]; NaN stays NaN, an infinite end stays infinite.

    Notes
    -----
    Dissolved solids = factor x conductivity, the factor 0.5 to 0.9 for natural water (memory).
    Not for glycol, in which ions move more slowly, nor for treated boiler water.

    Examples
    --------
    A limit of 340 mg/L cannot be decided between about 380 and 680 uS/cm:

    >>> low, high = dissolved_solids_from_conductivity([378.0, 680.0], [378.0, 680.0])
    >>> low.round(1), high.round(1)
    (array([189., 340.]), array([340.2, 612. ]))
    """
    return (
        np.asarray(lower, dtype=np.float64) * factor.lower,
        np.asarray(upper, dtype=np.float64) * factor.upper,
    )


def conductivity_from_dissolved_solids(
    lower: ArrayLike, upper: ArrayLike, factor: ConductivityFactor = NATURAL_WATER_FACTOR
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Conductivity that dissolved solids allow.

    Parameters
    ----------
    lower, upper : float or array-like
        Ends of the dissolved solids [mg/L].
    factor : ConductivityFactor
        Range of the factor.

    Returns
    -------
    lower, upper : numpy.ndarray
        Ends of the conductivity [uS/cm at 25 C].

    Examples
    --------
    >>> low, high = conductivity_from_dissolved_solids(340.0, 340.0)
    >>> round(float(low), 1), round(float(high), 1)
    (377.8, 680.0)
    """
    return (
        np.asarray(lower, dtype=np.float64) / factor.upper,
        np.asarray(upper, dtype=np.float64) / factor.lower,
    )
