"""What is left at a pump's inlet before the liquid boils there.

Pressures are absolute. The inlet's temperature is that of the liquid which enters the pump: the
radiator's outlet on many layouts, the engine's outlet on others.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

# ISO 80000-3 (CGPM 1901), exact.
GRAVITY = 9.80665  # [m/s2]
_PASCAL = 1e3  # in a kPa


def suction_head(
    inlet_pressure: ArrayLike, vapour_pressure: ArrayLike, density: ArrayLike
) -> NDArray[np.float64]:
    """Net positive suction head available (NPSHa).

    Parameters
    ----------
    inlet_pressure : float or array-like
        At the pump's inlet, absolute [kPa].
    vapour_pressure : float or array-like
        Of the liquid at its temperature there, absolute [kPa].
    density : float or array-like
        Of the liquid there [kg/m3].

    Returns
    -------
    numpy.ndarray
        (p - p_v) / (rho g) [m]; below zero the liquid boils before it reaches the pump.

    References
    ----------
    .. [1] ISO 17769-1, NPSH; velocity head at the inlet is not counted, as the pressure is
       taken where the suction loss ends.

    Examples
    --------
    >>> round(float(suction_head(184.3, 64.3, 1011.0)), 1)
    12.1
    """
    over = np.subtract(inlet_pressure, vapour_pressure, dtype=np.float64)
    column = np.multiply(density, GRAVITY, dtype=np.float64)
    return np.asarray(over * _PASCAL / column)[()]


def tip_speed(diameter: ArrayLike, speed: ArrayLike) -> NDArray[np.float64]:
    """Speed of an impeller's tip.

    Parameters
    ----------
    diameter : float or array-like
        Of the impeller [m].
    speed : float or array-like
        [1/min].

    Returns
    -------
    numpy.ndarray
        pi d n [m/s].

    Examples
    --------
    >>> round(float(tip_speed(0.060, 5000.0)), 1)
    15.7
    """
    turns = np.asarray(speed, dtype=np.float64) / 60.0
    return (np.pi * np.asarray(diameter, dtype=np.float64) * turns)[()]


def cavitation_number(
    inlet_pressure: ArrayLike,
    vapour_pressure: ArrayLike,
    density: ArrayLike,
    velocity: ArrayLike,
) -> NDArray[np.float64]:
    """Cavitation number at an impeller's tip.

    Parameters
    ----------
    inlet_pressure, vapour_pressure : float or array-like
        Absolute [kPa].
    density : float or array-like
        [kg/m3].
    velocity : float or array-like
        Of the tip [m/s].

    Returns
    -------
    numpy.ndarray
        (p - p_v) / (rho u2 / 2); small means that the liquid boils at the blades.

    References
    ----------
    .. [1] Brennen, C. E., Hydrodynamics of Pumps, Oxford 1994, chapter 5 (memory).

    Examples
    --------
    >>> round(float(cavitation_number(184.3, 53.3, 1020.0, 15.7)), 2)
    1.04
    """
    over = np.subtract(inlet_pressure, vapour_pressure, dtype=np.float64)
    speed = np.asarray(velocity, dtype=np.float64)
    dynamic = 0.5 * np.asarray(density, dtype=np.float64) * speed * speed
    return np.asarray(over * _PASCAL / dynamic)[()]


def vapour_pressure_left(
    inlet_pressure: ArrayLike, needed_head: ArrayLike, density: ArrayLike
) -> NDArray[np.float64]:
    """Vapour pressure at which no more than a needed head is left.

    The temperature that belongs to it is where the margin ends.

    Parameters
    ----------
    inlet_pressure : float or array-like
        Absolute [kPa].
    needed_head : float or array-like
        What the pump needs, with the margin wanted [m].
    density : float or array-like
        [kg/m3].

    Returns
    -------
    numpy.ndarray
        p - rho g h [kPa]; not above zero where no temperature leaves that head.

    Examples
    --------
    >>> round(float(vapour_pressure_left(81.325, 2.0, 1020.0)), 1)
    61.3
    """
    head = np.asarray(needed_head, dtype=np.float64)
    column = np.asarray(density, dtype=np.float64) * GRAVITY * head / _PASCAL
    return (np.asarray(inlet_pressure, dtype=np.float64) - column)[()]
