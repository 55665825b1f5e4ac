"""Scale of hard water on hot metal: how much, how thick, and how much hotter the metal gets."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

# Calcite (memory: handbooks of mineralogy).
CALCITE_DENSITY = 2.71  # [g/cm3]
# Scale conducts heat with 0.1 to 3 W/(m K) (published: glossary of a pump maker); dense
# calcite with 1 to 2 (memory).
CALCITE_CONDUCTIVITY = (1.0, 2.0)  # [W/(m K)]


def scale_mass(hardness: ArrayLike, water: ArrayLike) -> NDArray[np.float64]:
    """Greatest mass of scale that water can leave.

    Parameters
    ----------
    hardness : float or array-like
        Carbonate hardness: the lesser of total hardness and alkalinity [mg/L as CaCO3].
    water : float or array-like
        Water in the fill, and all that was topped up since [L].

    Returns
    -------
    numpy.ndarray
        As calcium carbonate [g].

    Notes
    -----
    All of it, as if none stayed in solution or was held by inhibitors: an upper bound. A
    coolant with phosphate or silicate drops more than that, as their salts.

    Examples
    --------
    >>> float(scale_mass(300.0, 20.0)), float(scale_mass(300.0, 26.0))
    (6.0, 7.8)
    """
    return np.asarray(np.multiply(hardness, water, dtype=np.float64) / 1000.0)[()]


def scale_left_after_leak(
    hardness: ArrayLike, water: ArrayLike, top_ups: ArrayLike, system: ArrayLike
) -> NDArray[np.float64]:
    """Hardness still inside after a leak was topped up, as if none had settled before.

    Parameters
    ----------
    hardness : float or array-like
        Carbonate hardness of the water [mg/L as CaCO3].
    water, top_ups : float or array-like
        Water in the fill, and all that was topped up in small steps [L].
    system : float or array-like
        Volume of the system [L].

    Returns
    -------
    numpy.ndarray
        The least that a leak leaves [g]; all that came in is the most. What evaporates leaves
        all of it behind.

    Notes
    -----
    With a coolant of hardness c the leak takes dV c while the top-up brings dV H, so that
    c = H + (c_0 - H) exp(-Q/V), c_0 = H W/V.

    Examples
    --------
    >>> float(scale_left_after_leak(300.0, 20.0, 0.0, 40.0))
    6.0
    >>> round(float(scale_left_after_leak(300.0, 20.0, 26.0, 40.0)), 2)
    8.87
    """
    volume = np.asarray(system, dtype=np.float64)
    kept = np.exp(-np.divide(top_ups, volume, dtype=np.float64))
    inside = volume - (volume - np.asarray(water, dtype=np.float64)) * kept
    return scale_mass(hardness, inside)


def scale_thickness(
    mass: ArrayLike, area: ArrayLike, density: ArrayLike = CALCITE_DENSITY
) -> NDArray[np.float64]:
    """Thickness of scale spread evenly.

    Parameters
    ----------
    mass : float or array-like
        [g].
    area : float or array-like
        Of the hot faces, where it settles, and not of the whole system [cm2].
    density : float or array-like
        Of the scale without pores [g/cm3].

    Returns
    -------
    numpy.ndarray
        m / (rho A) [mm].

    Examples
    --------
    >>> round(float(scale_thickness(13.8, 500.0)), 2)
    0.1
    """
    spread = np.multiply(density, area, dtype=np.float64)
    return np.asarray(10.0 * np.asarray(mass, dtype=np.float64) / spread)[()]


def metal_temperature_rise(
    heat_flux: ArrayLike, thickness: ArrayLike, conductivity: ArrayLike
) -> NDArray[np.float64]:
    """How much hotter the metal under the scale gets.

    Parameters
    ----------
    heat_flux : float or array-like
        Through the face [kW/m2].
    thickness : float or array-like
        Of the scale [mm].
    conductivity : float or array-like
        Of the scale [W/(m K)].

    Returns
    -------
    numpy.ndarray
        q t / k [deg C].

    References
    ----------
    .. [1] Fourier's law of heat conduction.

    Examples
    --------
    >>> metal_temperature_rise(200.0, 0.1, [2.0, 1.0])
    array([10., 20.])
    """
    flow = np.multiply(heat_flux, thickness, dtype=np.float64)
    return np.asarray(flow / np.asarray(conductivity, dtype=np.float64))[()]
