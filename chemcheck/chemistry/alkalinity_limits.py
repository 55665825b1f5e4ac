"""The alkalinities that a pH allows: what lies outside is a slip in one of the two."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.constants import (
    BICARBONATE,
    CARBON_DIOXIDE,
    CARBON_DIOXIDE_GAS,
    WATER,
    log_k,
)
from chemcheck.chemistry.ions import CALCIUM_CARBONATE_MOLAR_MASS

_MG_PER_EQUIVALENT = CALCIUM_CARBONATE_MOLAR_MASS / 2.0 * 1e3
# Activity coefficients of ions with one charge are hardly ever less in water up to 0.5 mol/kg
# (Davies).
_LEAST_ACTIVITY_COEFFICIENT = 0.7
_MOST_CARBON_DIOXIDE = 1.0  # [atm], of a sample at rest in air


def least_alkalinity(ph: ArrayLike, temperature: ArrayLike) -> NDArray[np.float64]:
    """Alkalinity of the hydroxide that a pH stands for, and nothing else.

    Parameters
    ----------
    ph : float or array-like
        At the temperature.
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        [mg/L as CaCO3]; a water of this pH has at least so much.

    Notes
    -----
    Kw / a(H+), every activity coefficient taken as one, which gives the least; a kilogram of
    water is taken as a litre. Constants of `chemcheck.chemistry.constants`.

    Examples
    --------
    >>> least_alkalinity([7.0, 10.0, 11.0], 25.0).round(2).tolist()
    [0.01, 5.07, 50.65]
    """
    acid = np.asarray(ph, dtype=np.float64)
    return np.asarray(_MG_PER_EQUIVALENT * 10.0 ** (log_k(WATER, temperature) + acid))


def most_alkalinity(ph: ArrayLike, temperature: ArrayLike) -> NDArray[np.float64]:
    """Alkalinity that a water at rest in air can have at a pH.

    Parameters
    ----------
    ph : float or array-like
        At the temperature; meant for pH below 8, where bicarbonate is all of it.
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        [mg/L as CaCO3]; with more, carbon dioxide would leave the water in bubbles.

    Notes
    -----
    Bicarbonate beside carbon dioxide at 1 atm, its activity coefficient at least 0.7.

    Examples
    --------
    >>> most_alkalinity([4.3, 5.0, 6.0], 15.0).round().tolist()
    [25.0, 124.0, 1243.0]
    """
    acid = np.asarray(ph, dtype=np.float64)
    logs = (
        log_k(CARBON_DIOXIDE_GAS, temperature)
        + log_k(BICARBONATE, temperature)
        - log_k(CARBON_DIOXIDE, temperature)
        + acid
    )
    dissolved = _MOST_CARBON_DIOXIDE * 10.0**logs / _LEAST_ACTIVITY_COEFFICIENT
    return np.asarray(_MG_PER_EQUIVALENT * dissolved)
