"""Density of glycol and water by percent and temperature, and back."""

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.chemistry.glycol_tables import Column, PropertyTable, invert

# How far the last step between two temperatures is carried on [deg C].
_BEYOND = 30.0


def density(table: PropertyTable, volume_percent: ArrayLike, temperature: ArrayLike) -> Column:
    """Density of glycol and water.

    Parameters
    ----------
    table : PropertyTable
        Densities at several temperatures.
    volume_percent : float or array-like
        [vol%].
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        [kg/m3]; NaN outside the percents of the table and more than 30 C beyond its
        temperatures, to where the last step is carried on.

    Notes
    -----
    Along the percents as `read_table`, between temperatures a straight line.
    """
    if table.temperatures is None:
        message = "expected densities at several temperatures"
        raise ValueError(message)
    percent, heat = np.broadcast_arrays(
        np.asarray(volume_percent, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    )
    columns = table.temperatures
    at_percent = np.asarray(table.curve(percent))
    known = ~np.isnan(heat)
    left = np.clip(np.searchsorted(columns, np.where(known, heat, columns[0])) - 1,
                   0, len(columns) - 2)  # fmt: skip
    share = (heat - columns[left]) / (columns[left + 1] - columns[left])
    before = np.take_along_axis(at_percent, left[..., np.newaxis], axis=-1)[..., 0]
    after = np.take_along_axis(at_percent, left[..., np.newaxis] + 1, axis=-1)[..., 0]
    inside = (heat >= columns[0] - _BEYOND) & (heat <= columns[-1] + _BEYOND)
    return np.where(inside, before + share * (after - before), np.nan)[()]


def share_of_density(table: PropertyTable, value: ArrayLike, temperature: ArrayLike) -> Column:
    """Share of glycol that has a density at a temperature.

    Parameters
    ----------
    table : PropertyTable
        Densities at several temperatures.
    value : float or array-like
        [kg/m3].
    temperature : float or array-like
        At which it was read [deg C].

    Returns
    -------
    numpy.ndarray
        [vol%]; NaN outside the table.
    """
    wanted, heat = np.broadcast_arrays(
        np.asarray(value, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    )
    return invert(lambda percent: density(table, percent, heat), table.percent, wanted)
