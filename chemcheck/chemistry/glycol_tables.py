"""Property tables of glycol and water: read along a monotone curve, forwards and backwards.

A table says whose glycol it is of: free of additives (``pure``), or the inhibited concentrate
of coolants and heat-transfer fluids (``inhibited``). At the same percent the two differ by up
to 3 C of freezing point, so neither stands for the other.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.vapour_pressure import WATER_DENSITY, PureGlycol

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

Column = NDArray[np.float64]

# Measured freezing points agree only to about 60 % by mass; between 60 and 68 % by volume the
# curve turns and several eutectics are reported (abstract of an SAE paper).
SURE_TO, TURNS_BY = 60.0, 68.0  # [vol%]
_HALVINGS = 60
# How far the last step between two temperatures is carried on [deg C].
_BEYOND = 30.0


@dataclass(frozen=True)
class PropertyTable:
    """A property of glycol and water by the share of glycol, at one temperature or several.

    Parameters
    ----------
    quantity : str
        ``freezing_point``, ``boiling_rise``, ``refractive_index``, ``mass_percent`` or
        ``density``.
    basis : {"inhibited", "pure"}
        Whose glycol the percent is of.
    percent : ndarray, shape (n,)
        Of glycol, ascending [vol%].
    values : ndarray, shape (n,) or (n, n_temperatures)
        [unit].
    unit : str
        Of the values.
    temperatures : ndarray, shape (n_temperatures,), or None
        Of the columns, ascending [deg C].
    given_by : {"volume", "mass"}
        How the source gives the percent; by mass it was converted.
    source : str
        Who says so.
    evidence : str
        How well it is known.
    """

    quantity: str
    basis: str
    percent: Column
    values: Column
    unit: str
    source: str
    evidence: str
    given_by: str = "volume"
    temperatures: Column | None = None

    @cached_property
    def curve(self) -> "PchipInterpolator":
        """The monotone curve through the points, without extrapolation."""
        # Takes as long to load as pandas: only for who reads between the points.
        from scipy.interpolate import PchipInterpolator

        return PchipInterpolator(self.percent, self.values, extrapolate=False)

    @property
    def title(self) -> str:
        """Basis and source, as a person reads it."""
        return f"{self.basis} glycol, percent by {self.given_by}: {self.source} ({self.evidence})"


def read_table(table: PropertyTable, volume_percent: ArrayLike) -> Column:
    """Value of a property between the points of its table.

    Parameters
    ----------
    table : PropertyTable
        A table at one temperature.
    volume_percent : float or array-like
        [vol%].

    Returns
    -------
    numpy.ndarray
        [the table's unit]; NaN outside the table.

    Notes
    -----
    Piecewise cubic that keeps the points' own rise and fall [1]_.

    References
    ----------
    .. [1] Fritsch, F. N. and Butland, J., SIAM J. Sci. Stat. Comput. 5 (1984) 300-304, as
       scipy.interpolate.PchipInterpolator.

    Examples
    --------
    >>> import numpy as np
    >>> table = PropertyTable("freezing_point", "pure", np.array([0.0, 30.0, 60.0]),
    ...                       np.array([0.0, -15.0, -50.0]), "deg C", "invented", "memory")
    >>> read_table(table, [0.0, 30.0, 61.0])
    array([  0., -15.,  nan])
    """
    return np.asarray(table.curve(np.asarray(volume_percent, dtype=np.float64)))[()]


def read_back(table: PropertyTable, value: ArrayLike) -> Column:
    """Share of glycol that has a value, in a table that only rises or only falls.

    Parameters
    ----------
    table : PropertyTable
        A table at one temperature.
    value : float or array-like
        [the table's unit].

    Returns
    -------
    numpy.ndarray
        [vol%]; NaN outside the table.

    Raises
    ------
    ValueError
        If the table turns: one value then has two shares.

    Examples
    --------
    >>> import numpy as np
    >>> table = PropertyTable("freezing_point", "pure", np.array([0.0, 30.0, 60.0]),
    ...                       np.array([0.0, -15.0, -50.0]), "deg C", "invented", "memory")
    >>> read_back(table, [-15.0, -60.0])
    array([30., nan])
    """
    steps = np.diff(table.values)
    if not (np.all(steps > 0.0) or np.all(steps < 0.0)):
        message = f"the table of {table.quantity} does not only rise or only fall"
        raise ValueError(message)
    return _invert(lambda percent: read_table(table, percent), table.percent, value)


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
    lower = _invert(
        lambda percent: read_table(table, percent),
        np.array([table.percent[0], end]),
        np.maximum(wanted, coldest),
    )
    upper = np.full(wanted.shape, np.nan)
    if upper_branch is not None:
        upper = read_back(upper_branch, wanted)
    return lower, np.asarray(upper)[()], np.asarray(uncertain)[()]


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
    return _invert(lambda percent: density(table, percent, heat), table.percent, wanted)


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


def _invert(curve: Callable[[Column], Column], percent: Column, value: ArrayLike) -> Column:
    """Halve the span of percents until the curve meets the value; NaN outside the span."""
    wanted = np.asarray(value, dtype=np.float64)
    low = np.full(wanted.shape, percent[0])
    high = np.full(wanted.shape, percent[-1])
    first, last = curve(low), curve(high)
    rising = last > first
    inside = (wanted >= np.minimum(first, last)) & (wanted <= np.maximum(first, last))
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        right = (curve(middle) < wanted) == rising
        low, high = np.where(right, middle, low), np.where(right, high, middle)
    return np.where(inside, 0.5 * (low + high), np.nan)[()]
