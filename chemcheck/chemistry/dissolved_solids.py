"""Dissolved solids, conductivity and the ions behind them: checks of one by the other.

From conductivity they are an interval, because the factor depends on the salts.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.ions import CALCIUM_CARBONATE_MOLAR_MASS, IONS


@dataclass(frozen=True, slots=True)
class ConductivityFactor:
    """Range of a factor between conductivity and what dissolved, with its source.

    Parameters
    ----------
    lower, upper : float
        Ends of the range [mg/L per uS/cm at 25 C, or uS/cm per meq/L].
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


def dissolved_solids_from_ions(
    mg_per_l: Mapping[str, ArrayLike], alkalinity: ArrayLike, silica: ArrayLike = 0.0
) -> NDArray[np.float64]:
    """Dissolved solids that an analysis adds up to, as the residue on evaporation.

    Parameters
    ----------
    mg_per_l : mapping of str to float or array-like
        Mass concentrations by ion key, without bicarbonate and carbonate [mg/L of the ion].
    alkalinity : float or array-like
        [mg/L as CaCO3].
    silica : float or array-like
        [mg/L as SiO2].

    Returns
    -------
    numpy.ndarray
        [mg/L]; NaN wherever an ion is NaN.

    Raises
    ------
    ValueError
        If bicarbonate or carbonate is among the ions: the alkalinity stands for them.

    Notes
    -----
    Bicarbonate loses carbon dioxide and water on drying, so that the alkalinity counts as
    carbonate: 0.5996 mg of CO3 per mg as CaCO3 (0.4917 per mg of bicarbonate) [1]_.

    References
    ----------
    .. [1] Hem, J. D., US Geological Survey Water-Supply Paper 2254 (1985), dissolved solids.

    Examples
    --------
    >>> ions = {"calcium": 43.0, "magnesium": 20.0, "sodium": 28.0, "chloride": 28.0}
    >>> round(float(dissolved_solids_from_ions(ions, 208.0)), 1)
    243.7
    """
    if {"bicarbonate", "carbonate"} & set(mg_per_l):
        msg = "bicarbonate and carbonate are in the alkalinity: leave them out of the ions"
        raise ValueError(msg)
    carbonate = IONS["carbonate"].molar_mass / CALCIUM_CARBONATE_MOLAR_MASS
    total = np.asarray(alkalinity, dtype=np.float64) * carbonate
    total = total + np.asarray(silica, dtype=np.float64)
    for values in mg_per_l.values():
        total = total + np.asarray(values, dtype=np.float64)
    return total


# Standard Methods 1030 E: 100 times the sum of cations or anions lies within a tenth of the
# conductivity (memory).
CONDUCTIVITY_PER_CHARGE = ConductivityFactor(
    lower=90.0,
    upper=110.0,
    source="Standard Methods 1030 E, check of an analysis by its conductivity",
    evidence="memory",
)


def conductivity_from_charges(
    charges: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Conductivity that the sum of an analysis' cations, or of its anions, lets expect.

    Parameters
    ----------
    charges : float or array-like
        Sum of charges of one sign [meq/L].

    Returns
    -------
    lower, upper : numpy.ndarray
        [uS/cm at 25 C].

    Notes
    -----
    90 to 110 uS/cm per meq/L, for fresh water (memory). Sulfate waters and brackish ones conduct
    less per charge, as their ions pair.

    Examples
    --------
    >>> low, high = conductivity_from_charges(5.0)
    >>> float(low), float(high)
    (450.0, 550.0)
    """
    sums = np.asarray(charges, dtype=np.float64)
    return sums * CONDUCTIVITY_PER_CHARGE.lower, sums * CONDUCTIVITY_PER_CHARGE.upper
