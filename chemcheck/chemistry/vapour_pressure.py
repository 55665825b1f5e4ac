"""Vapour pressure and boiling point of water, of glycols and of their mixtures.

Water follows IAPWS-IF97, region 4. A mixture is taken as ideal (Raoult's law). For ethylene
glycol that stays within 1.5 C of the published boiling points up to 60 % by volume; for
propylene glycol models of the mixture lie several degrees apart, and no measured table is at
hand.
"""

import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.standard_atmosphere import SEA_LEVEL_PRESSURE
from chemcheck.chemistry.validity import keep_valid
from chemcheck.errors import ConvergenceWarning

KELVIN = 273.15
# IUPAC 2021, abridged: H 1.008, O 15.999.
WATER_MOLAR_MASS = 18.015  # [g/mol]
# Water at 20 C and 1 atm (library: CoolProp 8.0.0, IAPWS-95).
WATER_DENSITY = 998.21  # [kg/m3]

# IAPWS R7-97(2012), table 34: n1 to n10 (coefficients from memory; checked against table 35 of
# the release and against a library in the tests).
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
WATER_RANGE = (0.0, 373.946)  # [deg C], 273.15 K to the critical point
_WATER_PRESSURES = (0.611213, 22064.0)  # [kPa]
_MIXTURE_RANGE = (0.0, 220.0)  # [deg C]
_MEGAPASCAL = 1e3  # [kPa]

_STEPS = 40
_TOLERANCE = 1e-9  # of the logarithm of the pressure


@dataclass(frozen=True, slots=True)
class PureGlycol:
    """What is known of a glycol free of water.

    Parameters
    ----------
    key, title : str
        ``ethylene_glycol``, and the words a person reads.
    molar_mass : float
        [g/mol].
    density : float
        At 20 C [kg/m3].
    vapour : tuple of five float
        C1 to C5 of ln(p / Pa) = C1 + C2/T + C3 ln T + C4 T^C5, T in K.
    vapour_range : tuple of float
        Where those hold [deg C].
    source : str
        Who says so.
    evidence : str
        How well it is known.
    """

    key: str
    title: str
    molar_mass: float
    density: float
    vapour: tuple[float, float, float, float, float]
    vapour_range: tuple[float, float]
    source: str
    evidence: str


def water_vapour_pressure(temperature: ArrayLike) -> NDArray[np.float64]:
    """Vapour pressure of water.

    Parameters
    ----------
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        Absolute pressure [kPa]; NaN outside 0 to 373.946 C, with a warning.

    Warns
    -----
    OutsideValidityWarning
        Outside that range.

    References
    ----------
    .. [1] IAPWS R7-97(2012), Revised release on the IAPWS industrial formulation 1997,
       equation 30.

    Examples
    --------
    >>> water_vapour_pressure([20.0, 100.0]).round(3)
    array([  2.339, 101.418])
    """
    heat = np.asarray(temperature, dtype=np.float64)
    valid = (heat >= WATER_RANGE[0]) & (heat <= WATER_RANGE[1])
    return keep_valid(
        _water(np.where(valid, heat, 100.0)),
        valid,
        np.isnan(heat),
        "vapour pressure of water",
        "0 to 373.946 C",
    )


def water_boiling_point(pressure: ArrayLike) -> NDArray[np.float64]:
    """Temperature at which water boils.

    Parameters
    ----------
    pressure : float or array-like
        Absolute pressure [kPa].

    Returns
    -------
    numpy.ndarray
        [deg C]; NaN outside 0.611 to 22,064 kPa, with a warning.

    Warns
    -----
    OutsideValidityWarning
        Outside that range.

    References
    ----------
    .. [1] IAPWS R7-97(2012), equation 31.

    Examples
    --------
    >>> water_boiling_point([101.325, 74.68]).round(2)
    array([99.97, 91.64])
    """
    given = np.asarray(pressure, dtype=np.float64)
    valid = (given >= _WATER_PRESSURES[0]) & (given <= _WATER_PRESSURES[1])
    beta = (np.where(valid, given, SEA_LEVEL_PRESSURE) / _MEGAPASCAL) ** 0.25
    e = beta**2 + _N[2] * beta + _N[5]
    f = _N[0] * beta**2 + _N[3] * beta + _N[6]
    g = _N[1] * beta**2 + _N[4] * beta + _N[7]
    d = 2.0 * g / (-f - np.sqrt(f**2 - 4.0 * e * g))
    absolute = 0.5 * (_N[9] + d - np.sqrt((_N[9] + d) ** 2 - 4.0 * (_N[8] + _N[9] * d)))
    return keep_valid(
        absolute - KELVIN, valid, np.isnan(given), "boiling point of water", "0.611 to 22,064 kPa"
    )


def glycol_vapour_pressure(temperature: ArrayLike, glycol: PureGlycol) -> NDArray[np.float64]:
    """Vapour pressure of a glycol free of water.

    Parameters
    ----------
    temperature : float or array-like
        [deg C].
    glycol : PureGlycol
        Which; its source is that of its coefficients.

    Returns
    -------
    numpy.ndarray
        Absolute pressure [kPa]; NaN outside the range of the coefficients, with a warning.

    Warns
    -----
    OutsideValidityWarning
        Outside that range.
    """
    heat = np.asarray(temperature, dtype=np.float64)
    low, high = glycol.vapour_range
    valid = (heat >= low) & (heat <= high)
    return keep_valid(
        _glycol(np.where(valid, heat, 100.0), glycol),
        valid,
        np.isnan(heat),
        f"vapour pressure of {glycol.title}",
        f"{low:g} to {high:g} C",
    )


def glycol_mole_fraction(volume_percent: ArrayLike, glycol: PureGlycol) -> NDArray[np.float64]:
    """Share of a mixture's molecules that are glycol.

    Parameters
    ----------
    volume_percent : float or array-like
        Volume of glycol before mixing, of the volumes of glycol and water together, at
        20 C [vol%]; NaN outside 0 to 100.
    glycol : PureGlycol
        Which.

    Returns
    -------
    numpy.ndarray
        From 0 to 1.

    Examples
    --------
    >>> meg = PureGlycol("g", "g", 62.07, 1113.39, (1, 1, 1, 1, 1), (0, 1), "", "memory")
    >>> round(float(glycol_mole_fraction(50.0, meg)), 4)
    0.2446
    """
    share = np.asarray(volume_percent, dtype=np.float64) / 100.0
    share = np.where((share >= 0.0) & (share <= 1.0), share, np.nan)
    of_glycol = share * glycol.density / glycol.molar_mass
    of_water = (1.0 - share) * WATER_DENSITY / WATER_MOLAR_MASS
    return (of_glycol / (of_glycol + of_water))[()]


def mixture_vapour_pressure(
    temperature: ArrayLike, volume_percent: ArrayLike, glycol: PureGlycol
) -> NDArray[np.float64]:
    """Vapour pressure of a mixture of glycol and water by Raoult's law.

    Parameters
    ----------
    temperature : float or array-like
        [deg C].
    volume_percent : float or array-like
        Of glycol [vol%].
    glycol : PureGlycol
        Which.

    Returns
    -------
    numpy.ndarray
        x_w p_w + x_g p_g, absolute [kPa]; NaN outside 0 to 220 C or 0 to 100 vol%, with a
        warning.

    Warns
    -----
    OutsideValidityWarning
        Outside those ranges.

    Notes
    -----
    Ideal: activity coefficients are taken as one [1]_.

    References
    ----------
    .. [1] Raoult's law, as in any text of physical chemistry.
    """
    heat = np.asarray(temperature, dtype=np.float64)
    percent = np.asarray(volume_percent, dtype=np.float64)
    valid = (
        (heat >= _MIXTURE_RANGE[0])
        & (heat <= _MIXTURE_RANGE[1])
        & (percent >= 0.0)
        & (percent <= 100.0)
    )
    fraction = glycol_mole_fraction(np.where(valid, percent, 0.0), glycol)
    return keep_valid(
        _mixture(np.where(valid, heat, 100.0), fraction, glycol),
        valid,
        np.isnan(heat + percent),
        f"vapour pressure of {glycol.title} with water",
        "0 to 220 C, 0 to 100 vol%",
    )


def boiling_point(
    pressure: ArrayLike, volume_percent: ArrayLike, glycol: PureGlycol
) -> NDArray[np.float64]:
    """Temperature at which a mixture of glycol and water begins to boil.

    Parameters
    ----------
    pressure : float or array-like
        Absolute pressure [kPa].
    volume_percent : float or array-like
        Of glycol [vol%].
    glycol : PureGlycol
        Which.

    Returns
    -------
    numpy.ndarray
        Bubble point by Raoult's law [deg C]; NaN outside 5 to 1000 kPa or 0 to 95 vol%, with
        a warning.

    Warns
    -----
    OutsideValidityWarning
        Outside those ranges.
    ConvergenceWarning
        Where the solution was not found; NaN there.

    Notes
    -----
    Newton's method on ln p against 1/T, which is nearly a straight line.
    """
    given, percent = np.broadcast_arrays(
        np.asarray(pressure, dtype=np.float64), np.asarray(volume_percent, dtype=np.float64)
    )
    valid = (given >= 5.0) & (given <= 1000.0) & (percent >= 0.0) & (percent <= 95.0)
    target = np.where(valid, given, SEA_LEVEL_PRESSURE)
    fraction = glycol_mole_fraction(np.where(valid, percent, 0.0), glycol)
    inverse = 1.0 / (np.asarray(water_boiling_point(target)) + KELVIN)
    gap = np.full(target.shape, np.inf)
    for _ in range(_STEPS):
        here = np.log(_mixture(1.0 / inverse - KELVIN, fraction, glycol))
        gap = here - np.log(target)
        if np.all(np.abs(gap) < _TOLERANCE):
            break
        there = np.log(_mixture(1.0 / (inverse * 1.0001) - KELVIN, fraction, glycol))
        inverse = inverse - gap * inverse * 1e-4 / (there - here)
    found = np.abs(gap) < _TOLERANCE
    if not np.all(found):
        lost = int(np.count_nonzero(~found))
        message = f"boiling point of {glycol.title}: {lost} not found: left empty"
        warnings.warn(message, ConvergenceWarning, stacklevel=2)
    return keep_valid(
        np.where(found, 1.0 / inverse - KELVIN, np.nan),
        valid,
        np.isnan(given + percent),
        f"boiling point of {glycol.title} with water",
        "5 to 1000 kPa, 0 to 95 vol%",
    )


def _water(temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    """Equation 30 without the check of its range."""
    heat = temperature + KELVIN
    theta = heat + _N[8] / (heat - _N[9])
    a = theta**2 + _N[0] * theta + _N[1]
    b = _N[2] * theta**2 + _N[3] * theta + _N[4]
    c = _N[5] * theta**2 + _N[6] * theta + _N[7]
    root: NDArray[np.float64] = 2.0 * c / (-b + np.sqrt(b**2 - 4.0 * a * c))
    return _MEGAPASCAL * root**4


def _glycol(temperature: NDArray[np.float64], glycol: PureGlycol) -> NDArray[np.float64]:
    """DIPPR equation 101 without the check of its range."""
    heat = temperature + KELVIN
    c1, c2, c3, c4, c5 = glycol.vapour
    result: NDArray[np.float64] = np.exp(c1 + c2 / heat + c3 * np.log(heat) + c4 * heat**c5)
    return result / 1e3


def _mixture(
    temperature: NDArray[np.float64], fraction: NDArray[np.float64], glycol: PureGlycol
) -> NDArray[np.float64]:
    """Raoult's law without the check of its range."""
    heat = np.clip(temperature, *WATER_RANGE)
    return (1.0 - fraction) * _water(heat) + fraction * _glycol(heat, glycol)
