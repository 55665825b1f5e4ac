"""Saturation indices: how far a water is from equilibrium with a solid."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from chemcheck.chemistry import constants
from chemcheck.chemistry.activity import LN10
from chemcheck.chemistry.tableau import natural_log_k
from chemcheck.chemistry.waters import Speciation
from chemcheck.errors import not_one_of

Floats = NDArray[np.float64]

# How often each decimal logarithm of a speciation (pH with the sign it has) stands in the ion
# activity product of the reaction that `constants.SOLIDS` writes.
_PRODUCTS: Mapping[str, tuple[tuple[str, float], ...]] = MappingProxyType(
    {
        "calcite": (("log_calcium", 1.0), ("log_carbonate", 1.0)),
        "aragonite": (("log_calcium", 1.0), ("log_carbonate", 1.0)),
        "vaterite": (("log_calcium", 1.0), ("log_carbonate", 1.0)),
        "gypsum": (("log_calcium", 1.0), ("log_sulfate", 1.0), ("log_water", 2.0)),
        "anhydrite": (("log_calcium", 1.0), ("log_sulfate", 1.0)),
        "brucite": (("log_magnesium", 1.0), ("log_water", 2.0), ("ph", 2.0)),
        "amorphous silica": (("log_silica", 1.0), ("log_water", -2.0)),
    }
)
SCALE_SOLIDS = ("calcite", "aragonite", "gypsum", "anhydrite")


def saturation_index(water: Speciation, solid: str) -> Floats:
    """Saturation index of one solid.

    Parameters
    ----------
    water : Speciation
        At the temperature in question.
    solid : str
        calcite, aragonite, vaterite, gypsum, anhydrite, brucite or amorphous silica.

    Returns
    -------
    numpy.ndarray
        log10 of the ion activity product over the solubility product: 0 at equilibrium, positive
        where the solid can form; -inf where one of its ions is absent, NaN where the speciation
        is.

    Raises
    ------
    ValueError
        If the solid is none of these.

    References
    ----------
    .. [1] Sources of the solubility products: `constants.SOLIDS`.

    Examples
    --------
    >>> from chemcheck.chemistry.carbonate import speciate
    >>> water = speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0)
    >>> round(float(saturation_index(water, "calcite")), 2)
    0.08
    """
    if solid not in _PRODUCTS:
        raise ValueError(not_one_of(solid, _PRODUCTS, "solid"))
    total = -log_solubility(solid, water.temperature)
    for name, times in _PRODUCTS[solid]:
        total = total + times * getattr(water, name)
    return total


def saturation_indices(
    water: Speciation, solids: Iterable[str] = SCALE_SOLIDS
) -> dict[str, Floats]:
    """Saturation indices of several solids.

    Parameters
    ----------
    water : Speciation
        At the temperature in question.
    solids : iterable of str
        As in `saturation_index`.

    Returns
    -------
    dict of str to numpy.ndarray
        By the name of the solid.

    Raises
    ------
    ValueError
        If a solid is not known.

    Examples
    --------
    >>> from chemcheck.chemistry.carbonate import speciate
    >>> water = speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0)
    >>> sorted(saturation_indices(water))
    ['anhydrite', 'aragonite', 'calcite', 'gypsum']
    """
    return {solid: saturation_index(water, solid) for solid in solids}


def carbon_dioxide_pressure(water: Speciation) -> Floats:
    """Pressure of carbon dioxide that the water would be at rest with.

    Parameters
    ----------
    water : Speciation
        At the temperature in question.

    Returns
    -------
    numpy.ndarray
        [atm]; air has about 4.2e-4, and a sample at rest can hardly hold more than 1.

    References
    ----------
    .. [1] Henry's constant and dissociation of Plummer, L. N. and Busenberg, E., Geochim.
       Cosmochim. Acta 46 (1982) 1011-1040.

    Examples
    --------
    >>> from chemcheck.chemistry.carbonate import open_to_air, speciate
    >>> water = open_to_air(speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0))
    >>> round(float(carbon_dioxide_pressure(water)), 6)
    0.00042
    """
    dissolved = (
        constants.log_k(constants.CARBON_DIOXIDE, water.temperature)
        - 2.0 * water.ph
        + water.log_carbonate
        - water.log_water
    )
    henry = constants.log_k(constants.CARBON_DIOXIDE_GAS, water.temperature)
    return np.asarray(10.0 ** (dissolved - henry))[()]


def log_solubility(solid: str, temperature: Floats) -> Floats:
    """Decimal logarithm of a solubility product.

    Parameters
    ----------
    solid : str
        A key of `constants.SOLIDS`.
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        In the shape of the temperature, or a single value where all temperatures are the same.

    Examples
    --------
    >>> round(float(log_solubility("anhydrite", np.array(25.0))), 2)
    -4.28
    """
    heat = np.asarray(temperature, dtype=np.float64)
    if heat.size > 1 and np.all(heat == heat.flat[0]):
        heat = heat.ravel()[0].reshape(())
    logs = natural_log_k([constants.SOLIDS[solid]], heat.ravel())[0] / LN10
    return np.asarray(logs.reshape(heat.shape)[()])
