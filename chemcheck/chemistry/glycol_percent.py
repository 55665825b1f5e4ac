"""Share of glycol by mass and by volume."""

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.chemistry.glycol_tables import Column, PropertyTable, read_back, read_table
from chemcheck.chemistry.vapour_pressure import WATER_DENSITY, PureGlycol


def mass_percent(
    volume_percent: ArrayLike, glycol: PureGlycol, table: PropertyTable | None = None
) -> Column:
    """Share of glycol by mass.

    Parameters
    ----------
    volume_percent : float or array-like
        [vol%]; volumes at 20 C before mixing.
    glycol : PureGlycol
        Which.
    table : PropertyTable or None
        A source's own pairs of the two percents; by densities where there is none.

    Returns
    -------
    numpy.ndarray
        [mass%].

    Examples
    --------
    >>> meg = PureGlycol("g", "g", 62.07, 1113.39, (1, 1, 1, 1, 1), (0, 1), "", "memory")
    >>> round(float(mass_percent(50.0, meg)), 2)
    52.73
    """
    if table is not None:
        return read_table(table, volume_percent)
    share = np.asarray(volume_percent, dtype=np.float64) / 100.0
    of_glycol = share * glycol.density
    return (100.0 * of_glycol / (of_glycol + (1.0 - share) * WATER_DENSITY))[()]


def volume_percent(
    by_mass: ArrayLike, glycol: PureGlycol, table: PropertyTable | None = None
) -> Column:
    """Share of glycol by volume; the inverse of `mass_percent`.

    Parameters
    ----------
    by_mass : float or array-like
        [mass%].
    glycol : PureGlycol
        Which.
    table : PropertyTable or None
        As for `mass_percent`.

    Returns
    -------
    numpy.ndarray
        [vol%].

    Examples
    --------
    >>> meg = PureGlycol("g", "g", 62.07, 1113.39, (1, 1, 1, 1, 1), (0, 1), "", "memory")
    >>> round(float(volume_percent(52.73, meg)), 1)
    50.0
    """
    if table is not None:
        return read_back(table, by_mass)
    share = np.asarray(by_mass, dtype=np.float64) / 100.0
    of_glycol = share / glycol.density
    return (100.0 * of_glycol / (of_glycol + (1.0 - share) / WATER_DENSITY))[()]
