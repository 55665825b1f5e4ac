"""How much of the old fill is left after rinses, and how much water they take.

A fill drains ``D`` of ``V`` and replaces it with water; of the rest, what the water meets
mixes with it. The mixing efficiency ``m`` says how much of the perfect mixing takes place:
with ``m = 1`` a fill leaves ``1 - D/V``. Mixing needs an open thermostat and the heater on;
dead legs keep old fluid. Scale or flux that dissolves makes the fall slower than dilution.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.remedies.estimate import Column, Estimate, exact, hull, refuse_where
from chemcheck.remedies.refill_plan import check_volumes

# The trade's habit: this many fills, each warmed up and drained.
USUAL_FILLS = 3
_ROUNDING = 1e-9
# A rinse that replaces a millionth of what stays inside never ends.
_MOST_FILLS = 1e6


@dataclass(frozen=True, slots=True)
class RinsePlan:
    """Rinses to a residue, for one system or a column of them.

    Parameters
    ----------
    fills : Estimate
        How many; NaN where no number will do.
    residue : Estimate
        Share of the old fill that is left after them [1].
    water : Estimate
        What they take [L].
    usual_residue : Estimate
        Share that the trade's habit of three fills leaves here [1].
    continuous_mixed, continuous_plug : Estimate
        Water that takes its way through without stopping, if it mixes perfectly with what
        is inside, and if it pushes it out without mixing [L]: a real system lies between.
    """

    fills: Estimate
    residue: Estimate
    water: Estimate
    usual_residue: Estimate
    continuous_mixed: Estimate
    continuous_plug: Estimate


def share_kept(system: ArrayLike, drains: ArrayLike, efficiency: ArrayLike) -> Column:
    """Share of the old fill that one rinse leaves.

    Parameters
    ----------
    system, drains : float or array-like
        Volume of the system, and of what drains [L].
    efficiency : float or array-like
        Of mixing, above 0 to 1 [1].

    Returns
    -------
    numpy.ndarray
        1 - m D/V [1].

    Examples
    --------
    >>> round(float(share_kept(12.0, 8.0, 1.0)), 3)
    0.333
    """
    replaced = np.multiply(efficiency, drains, dtype=np.float64)
    return np.asarray(1.0 - replaced / np.asarray(system, dtype=np.float64))[()]


def residue_after(
    fills: ArrayLike, system: ArrayLike, drains: ArrayLike, efficiency: ArrayLike
) -> Column:
    """Share of the old fill that is left after rinses.

    Parameters
    ----------
    fills : float or array-like
        How many.
    system, drains, efficiency : float or array-like
        As for `share_kept`.

    Returns
    -------
    numpy.ndarray
        (1 - m D/V)^n [1].

    Examples
    --------
    >>> (100 * residue_after([1, 2, 3, 4, 5], 12.0, 8.0, 1.0)).round(1)
    array([33.3, 11.1,  3.7,  1.2,  0.4])
    """
    return np.asarray(share_kept(system, drains, efficiency) ** np.asarray(fills, dtype=float))[()]


def fills_needed(
    residue: ArrayLike, system: ArrayLike, drains: ArrayLike, efficiency: ArrayLike
) -> Column:
    """How many rinses leave no more than a share of the old fill.

    Parameters
    ----------
    residue : float or array-like
        Share that may be left, above 0 to 1 [1].
    system, drains, efficiency : float or array-like
        As for `share_kept`.

    Returns
    -------
    numpy.ndarray
        Smallest whole number; NaN where a million will not do.

    Examples
    --------
    >>> float(fills_needed(0.01, 12.0, 8.0, 1.0)), float(fills_needed(0.01, 12.0, 4.0, 1.0))
    (5.0, 12.0)
    """
    kept = share_kept(system, drains, efficiency)
    wanted = np.asarray(residue, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        fills = np.ceil(np.log(wanted) / np.log(kept) - _ROUNDING)
    fills = np.where(kept <= _ROUNDING, np.where(wanted < 1.0, 1.0, 0.0), fills)
    sound = (wanted > 0.0) & (wanted <= 1.0) & (kept < 1.0) & (fills <= _MOST_FILLS)
    return np.where(sound, np.maximum(fills, 0.0), np.nan)[()]


def continuous_residue(flowed: ArrayLike, system: ArrayLike) -> tuple[Column, Column]:
    """Share of the old fill left after water has flowed through without stopping.

    Parameters
    ----------
    flowed : float or array-like
        Volume of water [L].
    system : float or array-like
        Volume of the system [L].

    Returns
    -------
    mixed, plug : numpy.ndarray
        exp(-Q/V) if it mixes perfectly, max(0, 1 - Q/V) if it pushes what is inside out [1].

    Examples
    --------
    >>> mixed, plug = continuous_residue(12.0, 12.0)
    >>> round(float(mixed), 3), float(plug)
    (0.368, 0.0)
    """
    turns = np.divide(flowed, system, dtype=np.float64)
    return np.exp(-turns), np.maximum(1.0 - turns, 0.0)


def continuous_water(residue: ArrayLike, system: ArrayLike) -> tuple[Column, Column]:
    """Water that flows through until a share of the old fill is left.

    Parameters
    ----------
    residue : float or array-like
        Share that may be left, above 0 to 1 [1].
    system : float or array-like
        Volume of the system [L].

    Returns
    -------
    mixed, plug : numpy.ndarray
        -V ln f if it mixes perfectly, (1 - f) V if it pushes what is inside out [L].

    Examples
    --------
    >>> mixed, plug = continuous_water(0.01, 12.0)
    >>> round(float(mixed), 1), round(float(plug), 1)
    (55.3, 11.9)
    """
    share = np.asarray(residue, dtype=np.float64)
    share = np.where((share > 0.0) & (share <= 1.0), share, np.nan)
    volume = np.asarray(system, dtype=np.float64)
    return (-volume * np.log(share))[()], (volume * (1.0 - share))[()]


def plan_rinses(
    system: Estimate, drains: Estimate, residue: ArrayLike, efficiency: Estimate
) -> RinsePlan:
    """Plan rinses by filling, warming up and draining.

    Parameters
    ----------
    system, drains : Estimate
        Volume of the system, and of what drains [L].
    residue : float or array-like
        Share of the old fill that may be left [1].
    efficiency : Estimate
        Of mixing [1].

    Returns
    -------
    RinsePlan
        For so many fills as the values need; the interval of ``fills`` says how many
        more or fewer the intervals may need.

    Raises
    ------
    QuantityError
        For a volume, share or efficiency that cannot be.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> plan = plan_rinses(exact(12.0), exact(8.0), 0.01, exact(1.0))
    >>> float(plan.fills.value), float(plan.water.value)
    (5.0, 40.0)
    """
    check_volumes(system, drains)
    share = np.asarray(residue, dtype=np.float64)
    refuse_where((share <= 0.0) | (share >= 1.0), "the residue wanted must lie between 0 and 100 %")
    refuse_where(
        (efficiency.lower <= 0.0) | (efficiency.upper > 1.0),
        "the mixing efficiency must be above 0 and at most 100 %",
    )
    # A drained volume can be no greater than the system's, whatever their intervals allow.
    inputs = (system, drains, efficiency)
    fills = hull(lambda v, d, m: fills_needed(share, v, np.minimum(d, v), m), *inputs)
    return RinsePlan(
        fills=fills,
        residue=hull(lambda v, d, m: residue_after(fills.value, v, np.minimum(d, v), m), *inputs),
        water=hull(lambda d, n: d * n, drains, exact(fills.value)),
        usual_residue=hull(
            lambda v, d, m: residue_after(USUAL_FILLS, v, np.minimum(d, v), m), *inputs
        ),
        continuous_mixed=hull(lambda v: continuous_water(share, v)[0], system),
        continuous_plug=hull(lambda v: continuous_water(share, v)[1], system),
    )
