"""Protection from bursting, by a maker's own table: no other source of it is at hand.

Below the freezing point a coolant is slush, which flows and gives way; a block bursts only where
so much is ice that the rest cannot give way, at a colder temperature that makers state for their
coolants. It is a figure of its own and stands in for the freezing point in no use.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from chemcheck.errors import QuantityError
from chemcheck.remedies.estimate import Column, Estimate, hull
from chemcheck.remedies.quantity_text import Written, read_temperature
from chemcheck.remedies.share_text import read_share


@dataclass(frozen=True, slots=True)
class BurstTable:
    """Temperatures down to which a maker says that nothing bursts.

    Parameters
    ----------
    percent : ndarray, shape (n,)
        Of glycol, ascending [vol%].
    temperature : ndarray, shape (n,)
        [deg C]; falls with the percent.
    """

    percent: Column
    temperature: Column


def read_burst_point(text: str, name: str) -> tuple[Estimate, Estimate]:
    """Read one line of a maker's table: ``50 %=-51 C``.

    Parameters
    ----------
    text, name : str
        As for `read_amount`.

    Returns
    -------
    percent, temperature : Estimate
        [vol%] and [deg C].

    Raises
    ------
    QuantityError
        As for `read_share` and `read_temperature`.

    Examples
    --------
    >>> percent, cold = read_burst_point("50 %=-60 F", "--burst")
    >>> float(percent.value), round(float(cold.value), 1)
    (50.0, -51.1)
    """
    share, mark, temperature = text.partition("=")
    if not mark:
        problem = ": expected the percent and the temperature, as in '50 %=-51 C'"
        raise Written(text, name, "").error(problem)
    return (
        read_share(share.strip(), name)[0],
        read_temperature(temperature.strip(), name, "-51 C"),
    )


def burst_table(points: Sequence[tuple[Estimate, Estimate]]) -> BurstTable:
    """Put the lines of a maker's table together.

    Parameters
    ----------
    points : sequence of (Estimate, Estimate)
        From `read_burst_point`, at least one.

    Returns
    -------
    BurstTable
        In the order of the percents.

    Raises
    ------
    QuantityError
        If a percent stands twice, or more glycol should burst sooner.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> table = burst_table([(exact(50.0), exact(-51.0)), (exact(30.0), exact(-26.0))])
    >>> table.percent
    array([30., 50.])
    """
    percent = np.array([float(share.value) for share, _ in points])
    cold = np.array([float(temperature.value) for _, temperature in points])
    order = np.argsort(percent)
    percent, cold = percent[order], cold[order]
    if np.any(np.diff(percent) == 0.0):
        message = "a percent stands twice in the table of bursting"
        raise QuantityError(message)
    if np.any(np.diff(cold) >= 0.0):
        message = "by the table of bursting more glycol bursts no later: are the signs right?"
        raise QuantityError(message)
    return BurstTable(percent, cold)


def bursts_below(table: BurstTable, percent: Estimate) -> Estimate:
    """Temperature down to which nothing bursts, by a maker's table.

    Parameters
    ----------
    table : BurstTable
        The maker's.
    percent : Estimate
        Of glycol [vol%].

    Returns
    -------
    Estimate
        [deg C], straight between the lines; NaN outside them: nothing is carried on.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> table = burst_table([(exact(30.0), exact(-26.0)), (exact(50.0), exact(-51.0))])
    >>> float(bursts_below(table, exact(40.0)).value)
    -38.5
    """
    return hull(
        lambda share: np.interp(share, table.percent, table.temperature, left=np.nan, right=np.nan),
        percent,
    )
