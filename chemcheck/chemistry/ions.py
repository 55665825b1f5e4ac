"""The major ions of natural water, and sums over them: equivalents, balance, ionic strength."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

# Atomic weights, abridged to five figures [g/mol]: IUPAC 2021 (Prohaska et al., Standard atomic
# weights of the elements 2021, Pure Appl. Chem. 94 (2022) 573-600).
ATOMIC_WEIGHTS: Mapping[str, float] = MappingProxyType(
    {
        "H": 1.0080,
        "C": 12.011,
        "N": 14.007,
        "O": 15.999,
        "F": 18.998,
        "Na": 22.990,
        "Mg": 24.305,
        "Si": 28.085,
        "P": 30.974,
        "S": 32.06,
        "Cl": 35.45,
        "K": 39.098,
        "Ca": 40.078,
        "Fe": 55.845,
        "Mn": 54.938,
    }
)

_H, _C, _N, _O = (ATOMIC_WEIGHTS[symbol] for symbol in ("H", "C", "N", "O"))
CALCIUM_CARBONATE_MOLAR_MASS = ATOMIC_WEIGHTS["Ca"] + _C + 3 * _O


@dataclass(frozen=True, slots=True)
class Ion:
    """One ion as an analysis reports it.

    Parameters
    ----------
    key : str
        The analyte's key.
    formula : str
        Chemical formula without the charge.
    molar_mass : float
        [g/mol].
    charge : int
        Signed charge number.
    """

    key: str
    formula: str
    molar_mass: float
    charge: int


IONS: Mapping[str, Ion] = MappingProxyType(
    {
        ion.key: ion
        for ion in (
            Ion("calcium", "Ca", ATOMIC_WEIGHTS["Ca"], 2),
            Ion("magnesium", "Mg", ATOMIC_WEIGHTS["Mg"], 2),
            Ion("sodium", "Na", ATOMIC_WEIGHTS["Na"], 1),
            Ion("potassium", "K", ATOMIC_WEIGHTS["K"], 1),
            Ion("ammonium", "NH4", _N + 4 * _H, 1),
            Ion("chloride", "Cl", ATOMIC_WEIGHTS["Cl"], -1),
            Ion("sulfate", "SO4", ATOMIC_WEIGHTS["S"] + 4 * _O, -2),
            Ion("bicarbonate", "HCO3", _H + _C + 3 * _O, -1),
            Ion("carbonate", "CO3", _C + 3 * _O, -2),
            Ion("nitrate", "NO3", _N + 3 * _O, -1),
            Ion("nitrite", "NO2", _N + 2 * _O, -1),
            Ion("fluoride", "F", ATOMIC_WEIGHTS["F"], -1),
        )
    }
)


def equivalents(mg_per_l: ArrayLike, molar_mass: float, charge: int) -> NDArray[np.float64]:
    """Milliequivalents of charge per litre.

    Parameters
    ----------
    mg_per_l : float or array-like
        Mass concentration [mg/L].
    molar_mass : float
        [g/mol].
    charge : int
        Charge number; its sign is not used.

    Returns
    -------
    numpy.ndarray
        [meq/L]; NaN stays NaN.

    Notes
    -----
    mg/L divided by the molar mass and multiplied by the charge number: a definition, valid for
    any concentration.

    Examples
    --------
    >>> float(equivalents(40.078, 40.078, 2))
    2.0
    """
    return np.asarray(mg_per_l, dtype=np.float64) * (abs(charge) / molar_mass)


def alkalinity_equivalents(alkalinity: ArrayLike) -> NDArray[np.float64]:
    """Milliequivalents of alkalinity per litre.

    Parameters
    ----------
    alkalinity : float or array-like
        [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        [meq/L].

    Examples
    --------
    >>> round(float(alkalinity_equivalents(50.043)), 6)
    1.0
    """
    return equivalents(alkalinity, CALCIUM_CARBONATE_MOLAR_MASS, 2)


def charge_sums(
    mg_per_l: Mapping[str, ArrayLike], alkalinity: ArrayLike | None = None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Sum the charges of an analysis, cations and anions apart.

    Parameters
    ----------
    mg_per_l : mapping of str to float or array-like
        Mass concentrations by ion key (see `IONS`) [mg/L of the ion].
    alkalinity : float or array-like, optional
        Counted with the anions; leave out when bicarbonate and carbonate are among the ions
        [mg/L as CaCO3].

    Returns
    -------
    cations, anions : numpy.ndarray
        [meq/L]. NaN wherever an ion is NaN: nothing missing is taken as zero.

    Raises
    ------
    KeyError
        If a key is no ion of `IONS`.
    ValueError
        If alkalinity and bicarbonate or carbonate are both given: they are the same charges.

    Notes
    -----
    Alkalinity stands for the charge of bicarbonate, carbonate and hydroxide [1]_.

    References
    ----------
    .. [1] Hem, J. D., Study and interpretation of the chemical characteristics of natural water,
       US Geological Survey Water-Supply Paper 2254 (1985).

    Examples
    --------
    >>> cations, anions = charge_sums({"calcium": 40.078, "chloride": 35.45}, alkalinity=50.043)
    >>> round(float(cations), 6), round(float(anions), 6)
    (2.0, 2.0)
    """
    if alkalinity is not None and {"bicarbonate", "carbonate"} & set(mg_per_l):
        msg = "alkalinity and bicarbonate or carbonate are the same charges: give one of them"
        raise ValueError(msg)
    cations: NDArray[np.float64] = np.zeros(())
    anions: NDArray[np.float64] = np.zeros(())
    for key, values in mg_per_l.items():
        ion = IONS[key]
        charges = equivalents(values, ion.molar_mass, ion.charge)
        if ion.charge > 0:
            cations = cations + charges
        else:
            anions = anions + charges
    if alkalinity is not None:
        anions = anions + alkalinity_equivalents(alkalinity)
    return cations, anions


def charge_balance_percent(cations: ArrayLike, anions: ArrayLike) -> NDArray[np.float64]:
    """Difference between the charges of cations and anions, in percent of their sum.

    Parameters
    ----------
    cations, anions : float or array-like
        Sums of charge [meq/L].

    Returns
    -------
    numpy.ndarray
        100 (C - A) / (C + A) [%]; NaN where both are zero.

    Notes
    -----
    The sign and the divisor are those of the US Geological Survey [1]_: the sum, not the mean,
    is the divisor, so that the figure is half of the one other laboratories print.

    References
    ----------
    .. [1] Hem, J. D., US Geological Survey Water-Supply Paper 2254 (1985); the same convention in
       the ion-balance example of the USGS water-quality data set smwrData.

    Examples
    --------
    >>> round(float(charge_balance_percent(7.365, 7.323)), 2)
    0.29
    """
    positive = np.asarray(cations, dtype=np.float64)
    negative = np.asarray(anions, dtype=np.float64)
    total = positive + negative
    return 100.0 * (positive - negative) / np.where(total == 0.0, np.nan, total)


def ionic_strength(mg_per_l: Mapping[str, ArrayLike]) -> NDArray[np.float64]:
    """Ionic strength of an analysis, every ion taken as free.

    Parameters
    ----------
    mg_per_l : mapping of str to float or array-like
        Mass concentrations by ion key (see `IONS`) [mg/L of the ion].

    Returns
    -------
    numpy.ndarray
        Half the sum of concentration times charge squared [mol/L]; NaN wherever an ion is NaN.

    Raises
    ------
    KeyError
        If a key is no ion of `IONS`.

    Notes
    -----
    Lewis and Randall's definition [1]_. Ion pairs lower the true figure: a speciation gives it.

    References
    ----------
    .. [1] Lewis, G. N. and Randall, M., The activity coefficient of strong electrolytes,
       J. Am. Chem. Soc. 43 (1921) 1112-1154.

    Examples
    --------
    >>> round(float(ionic_strength({"sodium": 229.90, "chloride": 354.5})), 6)
    0.01
    """
    total: NDArray[np.float64] = np.zeros(())
    for key, values in mg_per_l.items():
        ion = IONS[key]
        weight = 0.5e-3 * ion.charge**2 / ion.molar_mass
        total = total + np.asarray(values, dtype=np.float64) * weight
    return total
