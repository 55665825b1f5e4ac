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

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

Column = NDArray[np.float64]

_HALVINGS = 60


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
    return invert(lambda percent: read_table(table, percent), table.percent, value)


def invert(curve: Callable[[Column], Column], percent: Column, value: ArrayLike) -> Column:
    """Halve the span of percents until a curve meets a value.

    Parameters
    ----------
    curve : callable
        Value at each percent; only rises or only falls.
    percent : ndarray, shape (n,)
        The first and the last bound the span [vol%].
    value : float or array-like
        Wanted.

    Returns
    -------
    numpy.ndarray
        [vol%]; NaN outside the span.
    """
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
