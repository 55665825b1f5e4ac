"""Freezing points of glycol and water: the first crystals, and how much is ice below them."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.glycol_tables import Column, PropertyTable, invert, read_back, read_table

# Measured freezing points agree only to about 60 % by mass; between 60 and 68 % by volume the
# curve turns and several eutectics are reported (abstract of an SAE paper).
SURE_TO, TURNS_BY = 60.0, 68.0  # [vol%]


def freezing_point(
    table: PropertyTable, volume_percent: ArrayLike
) -> tuple[Column, NDArray[np.bool_]]:
    """Temperature at which the first crystals form, and how far that can be trusted.

    Parameters
    ----------
    table : PropertyTable
        Freezing points of one basis.
    volume_percent : float or array-like
        [vol%].

    Returns
    -------
    value : numpy.ndarray
        [deg C]. From the table's end (60 vol% at the most) to 68 vol% the value at that end,
        which is the warm, safe side; NaN above: there the curve turns back up.
    uncertain : numpy.ndarray of bool
        Where the value is not the table's own.
    """
    percent = np.asarray(volume_percent, dtype=np.float64)
    end = min(SURE_TO, float(table.percent[-1]))
    uncertain = percent > end
    value = read_table(table, np.minimum(percent, end))
    return np.where(percent > TURNS_BY, np.nan, value)[()], np.asarray(uncertain)[()]


def share_that_freezes_at(
    table: PropertyTable, upper_branch: PropertyTable | None, value: ArrayLike
) -> tuple[Column, Column, NDArray[np.bool_]]:
    """Return the two shares of glycol that freeze at one temperature.

    Parameters
    ----------
    table : PropertyTable
        Freezing points up to where the curve turns.
    upper_branch : PropertyTable or None
        Freezing points beyond that, where a source gives any.
    value : float or array-like
        [deg C].

    Returns
    -------
    lower : numpy.ndarray
        The share in the table [vol%]; its end (60 vol% at the most) where the value is
        colder than any in it; NaN above 0 C.
    upper : numpy.ndarray
        The share beyond the turn [vol%]; NaN where no source gives one.
    uncertain : numpy.ndarray of bool
        Where the value is colder than any in the table, so that the share may be larger.
    """
    wanted = np.asarray(value, dtype=np.float64)
    end = min(SURE_TO, float(table.percent[-1]))
    coldest = float(read_table(table, end))
    uncertain = wanted < coldest
    lower = invert(
        lambda percent: read_table(table, percent),
        np.array([table.percent[0], end]),
        np.maximum(wanted, coldest),
    )
    upper = np.full(wanted.shape, np.nan)
    if upper_branch is not None:
        upper = read_back(upper_branch, wanted)
    return lower, np.asarray(upper)[()], np.asarray(uncertain)[()]


def ice_share(table: PropertyTable, volume_percent: ArrayLike, temperature: ArrayLike) -> Column:
    """Return how much of a mixture's water has frozen out, by the lever rule.

    Parameters
    ----------
    table : PropertyTable
        Freezing points.
    volume_percent : float or array-like
        Of the mixture [vol%].
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        Share of the mixture's volume of water that is ice [1]: 0 above the freezing point;
        NaN colder than the table, or where it has no value.

    Notes
    -----
    The liquid left between the crystals has the share of glycol that freezes at the
    temperature, and all of the glycol is in it [1]_: at equilibrium the frozen part of the
    water is 1 - c (100 - e) / (e (100 - c)) for a mixture of c and a liquid of e per cent.

    References
    ----------
    .. [1] Lever rule of phase diagrams, as in any text of physical chemistry.

    Examples
    --------
    >>> import numpy as np
    >>> table = PropertyTable("freezing_point", "pure", np.array([0.0, 30.0, 60.0]),
    ...                       np.array([0.0, -15.0, -50.0]), "deg C", "invented", "memory")
    >>> ice_share(table, 30.0, [-10.0, -50.0]).round(3)
    array([0.   , 0.714])
    """
    mixed, heat = np.broadcast_arrays(
        np.asarray(volume_percent, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    )
    liquid, _, too_cold = share_that_freezes_at(table, None, np.minimum(heat, 0.0))
    begins, beyond = freezing_point(table, mixed)
    with np.errstate(divide="ignore", invalid="ignore"):
        frozen = 1.0 - mixed * (100.0 - liquid) / (liquid * (100.0 - mixed))
    frozen = np.where(heat >= begins, 0.0, frozen)
    unknown = np.isnan(begins) | (heat < begins) & (np.asarray(too_cold) | np.asarray(beyond))
    return np.where(unknown, np.nan, frozen)[()]
