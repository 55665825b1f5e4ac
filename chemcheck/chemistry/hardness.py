"""Hardness as calcium carbonate, from calcium and magnesium and back."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.ions import CALCIUM_CARBONATE_MOLAR_MASS, IONS

# 2.4973 and 4.1179: mg of CaCO3 with the same moles as 1 mg of the ion (IUPAC 2021 weights).
CACO3_PER_CALCIUM = CALCIUM_CARBONATE_MOLAR_MASS / IONS["calcium"].molar_mass
CACO3_PER_MAGNESIUM = CALCIUM_CARBONATE_MOLAR_MASS / IONS["magnesium"].molar_mass


def hardness_as_caco3(calcium: ArrayLike, magnesium: ArrayLike) -> NDArray[np.float64]:
    """Total hardness of calcium and magnesium.

    Parameters
    ----------
    calcium, magnesium : float or array-like
        [mg/L of the ion].

    Returns
    -------
    numpy.ndarray
        [mg/L as CaCO3]; NaN where either is NaN.

    Notes
    -----
    2.4973 Ca + 4.1179 Mg [1]_. Strontium, barium and iron, which a titration also finds, are
    left out.

    References
    ----------
    .. [1] Hem, J. D., US Geological Survey Water-Supply Paper 2254 (1985), hardness; factors from
       the IUPAC 2021 atomic weights.

    Examples
    --------
    >>> hardness_as_caco3([40.0, 0.0], [10.0, 5.0]).round(2)
    array([141.07,  20.59])
    """
    return calcium_hardness(calcium) + magnesium_hardness(magnesium)


def calcium_hardness(calcium: ArrayLike) -> NDArray[np.float64]:
    """Hardness of the calcium alone.

    Parameters
    ----------
    calcium : float or array-like
        [mg/L of the ion].

    Returns
    -------
    numpy.ndarray
        [mg/L as CaCO3].

    Examples
    --------
    >>> round(float(calcium_hardness(40.078)), 3)
    100.086
    """
    return np.asarray(calcium, dtype=np.float64) * CACO3_PER_CALCIUM


def magnesium_hardness(magnesium: ArrayLike) -> NDArray[np.float64]:
    """Hardness of the magnesium alone.

    Parameters
    ----------
    magnesium : float or array-like
        [mg/L of the ion].

    Returns
    -------
    numpy.ndarray
        [mg/L as CaCO3].

    Examples
    --------
    >>> round(float(magnesium_hardness(24.305)), 3)
    100.086
    """
    return np.asarray(magnesium, dtype=np.float64) * CACO3_PER_MAGNESIUM


def calcium_from_hardness(hardness: ArrayLike) -> NDArray[np.float64]:
    """Calcium that a calcium hardness stands for.

    Parameters
    ----------
    hardness : float or array-like
        Calcium hardness [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        [mg/L of the ion].

    Examples
    --------
    >>> round(float(calcium_from_hardness(100.086)), 3)
    40.078
    """
    return np.asarray(hardness, dtype=np.float64) / CACO3_PER_CALCIUM


def magnesium_from_hardness(hardness: ArrayLike) -> NDArray[np.float64]:
    """Magnesium that a magnesium hardness stands for.

    Parameters
    ----------
    hardness : float or array-like
        Magnesium hardness [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        [mg/L of the ion].

    Examples
    --------
    >>> round(float(magnesium_from_hardness(100.086)), 3)
    24.305
    """
    return np.asarray(hardness, dtype=np.float64) / CACO3_PER_MAGNESIUM
