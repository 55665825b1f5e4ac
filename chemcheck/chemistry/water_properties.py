"""Liquid water on its saturation line: density, permittivity, Debye-Hueckel slopes."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

KELVIN = 273.15
# SI Brochure, 9th edition (2019): exact.
ELEMENTARY_CHARGE = 1.602176634e-19  # [C]
BOLTZMANN = 1.380649e-23  # [J/K]
AVOGADRO = 6.02214076e23  # [1/mol]
# CODATA 2018 (memory): electric constant [F/m].
ELECTRIC_CONSTANT = 8.8541878128e-12

# Wagner and Pruss 2002, equation 2.6: exponents of (1 - T/Tc), times three, and coefficients.
_SATURATED_LIQUID = (
    (1.0, 1.99274064),
    (2.0, 1.09965342),
    (5.0, -0.510839303),
    (16.0, -1.75493479),
    (43.0, -45.5170352),
    (110.0, -6.74694450e5),
)
_CRITICAL_TEMPERATURE = 647.096  # [K]
_CRITICAL_DENSITY = 322.0  # [kg/m3]


def saturated_density(temperature: ArrayLike) -> NDArray[np.float64]:
    """Density of liquid water on the saturation line.

    Parameters
    ----------
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        [kg/m3]; from 0 to 374 deg C.

    References
    ----------
    .. [1] Wagner, W. and Pruss, A., J. Phys. Chem. Ref. Data 31 (2002) 387-535, equation 2.6
       (coefficients from memory; checked against a library in the tests).

    Examples
    --------
    >>> saturated_density([25.0, 90.0]).round(1)
    array([997. , 965.3])
    """
    third = np.cbrt(1.0 - _kelvin(temperature) / _CRITICAL_TEMPERATURE)
    total = np.ones_like(third)
    for exponent, coefficient in _SATURATED_LIQUID:
        total = total + coefficient * third**exponent
    return _CRITICAL_DENSITY * total


def relative_permittivity(temperature: ArrayLike) -> NDArray[np.float64]:
    """Relative (static) permittivity of water at 1 atm.

    Parameters
    ----------
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        Dimensionless; from 0 to 350 deg C.

    References
    ----------
    .. [1] Bradley, D. J. and Pitzer, K. S., J. Phys. Chem. 83 (1979) 1599-1603 (coefficients from
       memory; checked against a library in the tests).

    Examples
    --------
    >>> relative_permittivity([25.0, 90.0]).round(1)
    array([78.4, 58.1])
    """
    heat = _kelvin(temperature)
    bar = 1.01325
    at_1000_bar = 342.79 * np.exp(heat * (-5.0866e-3 + 9.469e-7 * heat))
    slope = -2.0525 + 3115.9 / (heat - 182.89)
    offset = -8032.5 + 4.21452e6 / heat + 2.1417 * heat
    return at_1000_bar + slope * np.log((offset + bar) / (offset + 1000.0))


def debye_huckel_slopes(
    temperature: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Slopes A and B of the Debye-Hueckel equation.

    Parameters
    ----------
    temperature : float or array-like
        [deg C].

    Returns
    -------
    slope_a : numpy.ndarray
        A, for decimal logarithms [(kg/mol)^0.5].
    slope_b : numpy.ndarray
        B [(kg/mol)^0.5 per Angstrom].

    Notes
    -----
    B = sqrt(2 e2 N rho / (eps k T)) and A = e2 B / (8 pi eps k T ln 10), with the density and the
    permittivity of this module [1]_.

    References
    ----------
    .. [1] Debye, P. and Hueckel, E., Physik. Z. 24 (1923) 185-206.

    Examples
    --------
    >>> a, b = debye_huckel_slopes(25.0)
    >>> round(float(a), 3), round(float(b), 3)
    (0.51, 0.328)
    """
    thermal = (
        ELECTRIC_CONSTANT * relative_permittivity(temperature) * BOLTZMANN * _kelvin(temperature)
    )
    screening = ELEMENTARY_CHARGE * np.sqrt(
        2.0 * AVOGADRO * saturated_density(temperature) / thermal
    )
    slope_a = ELEMENTARY_CHARGE**2 * screening / (8.0 * np.pi * thermal * np.log(10.0))
    return slope_a, screening * 1e-10


def _kelvin(temperature: ArrayLike) -> NDArray[np.float64]:
    """Absolute temperature [K]."""
    return np.asarray(temperature, dtype=np.float64) + KELVIN
