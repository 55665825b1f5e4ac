"""Softening by ion exchange: calcium and magnesium go, an equal charge of sodium comes."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.ions import CALCIUM_CARBONATE_MOLAR_MASS, IONS

# Two sodium ions for each calcium or magnesium ion [mg per mg of CaCO3].
SODIUM_PER_HARDNESS = 2.0 * IONS["sodium"].molar_mass / CALCIUM_CARBONATE_MOLAR_MASS
# What that adds to the dissolved solids, all hardness being calcium or all magnesium [the same].
SOLIDS_PER_HARDNESS = tuple(
    SODIUM_PER_HARDNESS - IONS[key].molar_mass / CALCIUM_CARBONATE_MOLAR_MASS
    for key in ("calcium", "magnesium")
)


def sodium_of_softening(hardness: ArrayLike) -> NDArray[np.float64]:
    """Sodium that comes for hardness taken out.

    Parameters
    ----------
    hardness : float or array-like
        Taken out [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        [mg/L of the ion].

    Notes
    -----
    Charges stay equal: 2 x 22.990 / 100.09 mg of sodium for each mg of hardness (atomic weights
    of IUPAC 2021).

    Examples
    --------
    >>> round(float(sodium_of_softening(100.0)), 1)
    45.9
    """
    return np.asarray(np.multiply(hardness, SODIUM_PER_HARDNESS, dtype=np.float64))[()]


def solids_of_softening(
    least: ArrayLike, most: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Dissolved solids that come with the exchange.

    Parameters
    ----------
    least, most : float or array-like
        Ends of the hardness taken out [mg/L as CaCO3].

    Returns
    -------
    lower, upper : numpy.ndarray
        As if all of it were calcium, and all magnesium [mg/L].

    Examples
    --------
    >>> lower, upper = solids_of_softening(100.0, 100.0)
    >>> round(float(lower), 1), round(float(upper), 1)
    (5.9, 21.7)
    """
    low, high = SOLIDS_PER_HARDNESS
    return (
        np.asarray(np.multiply(least, low, dtype=np.float64))[()],
        np.asarray(np.multiply(most, high, dtype=np.float64))[()],
    )


def saturation_change(calcium: ArrayLike, left: ArrayLike) -> NDArray[np.float64]:
    """Change of the saturation indices of calcium's salts when calcium is taken out.

    Parameters
    ----------
    calcium, left : float or array-like
        Before and after [one unit]; NaN where unknown.

    Returns
    -------
    numpy.ndarray
        log10 of the ratio, below zero; -inf where nothing is left, NaN where there was none.

    Notes
    -----
    Index = log10 of the ion activity product over the solubility product, and calcium stands in
    the product once. pH and alkalinity do not change on exchange; the activity coefficient and
    the pairs with sulfate move the index by a few hundredths more.

    Examples
    --------
    >>> float(saturation_change(100.0, 1.0))
    -2.0
    """
    before, after = (np.asarray(values, dtype=np.float64) for values in (calcium, left))
    with np.errstate(divide="ignore", invalid="ignore"):
        change = np.log10(np.minimum(after, before) / before)
    return np.asarray(np.where(before > 0.0, change, np.nan))[()]
