"""How much additive brings a component to its target, and what that does to the others.

The additive's own volume counts: it either replaces coolant that is drained first, or it goes
into the headspace and makes the fill larger.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.typing import ArrayLike

from chemcheck.remedies.estimate import Column, Estimate, hull, refuse_where

# Into what room the additive goes.
DRAINED, HEADSPACE = "drained", "headspace"
_ROUNDING = 1e-9
# Litres in a US gallon (NIST SP 811, exact).
_GALLON = 3.785411784


@dataclass(frozen=True, slots=True)
class DosePlan:
    """A dose of additive, for one system or a column of them.

    Parameters
    ----------
    drained, headspace : Estimate
        Additive if as much coolant is drained first, and if it goes on top [L].
    reached : Estimate, of shape (..., n_components)
        Level of each component after the dose into drained room [mg/L]; the first
        component is the one that is dosed.
    most : Estimate
        Largest dose into drained room that passes no component's upper bound [L].
    controlled_by : ndarray of int
        Position of the component that bound belongs to; -1 where none has any.
    feasible, doubtful : ndarray of bool
        Whether the values of the dose pass no bound; whether the intervals leave it open.
    """

    drained: Estimate
    headspace: Estimate
    reached: Estimate
    most: Estimate
    controlled_by: npt.NDArray[np.intp]
    feasible: npt.NDArray[np.bool_]
    doubtful: npt.NDArray[np.bool_]


def dose_into_drained(
    system: ArrayLike, now: ArrayLike, target: ArrayLike, strength: ArrayLike
) -> Column:
    """Additive that replaces as much coolant, drained first.

    Parameters
    ----------
    system : float or array-like
        Volume of the coolant [L].
    now, target, strength : float or array-like
        Level in the coolant, wanted, and in the additive [one unit of concentration].

    Returns
    -------
    numpy.ndarray
        V (t - c) / (A - c) [L]; 0 where the level is reached already, NaN where the
        additive is no stronger than the target.

    Examples
    --------
    >>> round(float(dose_into_drained(40.0, 600.0, 1200.0, 60000.0)), 3)
    0.404
    """
    level, wanted, strong = (np.asarray(x, dtype=np.float64) for x in (now, target, strength))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (wanted - level) / (strong - level)
    share = np.where(wanted <= level, 0.0, np.where(strong > wanted, share, np.nan))
    return np.asarray(np.asarray(system, dtype=np.float64) * share)[()]


def dose_into_headspace(
    system: ArrayLike, now: ArrayLike, target: ArrayLike, strength: ArrayLike
) -> Column:
    """Additive that goes on top of the coolant.

    Parameters
    ----------
    system, now, target, strength : float or array-like
        As for `dose_into_drained`.

    Returns
    -------
    numpy.ndarray
        V (t - c) / (A - t) [L]; as for `dose_into_drained` elsewhere.

    Examples
    --------
    >>> round(float(dose_into_headspace(40.0, 600.0, 1200.0, 60000.0)), 3)
    0.408
    """
    level, wanted, strong = (np.asarray(x, dtype=np.float64) for x in (now, target, strength))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (wanted - level) / (strong - wanted)
    share = np.where(wanted <= level, 0.0, np.where(strong > wanted, share, np.nan))
    return np.asarray(np.asarray(system, dtype=np.float64) * share)[()]


def level_after(
    system: ArrayLike, dose: ArrayLike, now: ArrayLike, strength: ArrayLike, into: str = DRAINED
) -> Column:
    """Level of a component after a dose.

    Parameters
    ----------
    system, dose : float or array-like
        Volume of the coolant, and of the additive [L].
    now, strength : float or array-like
        Level in the coolant and in the additive [one unit of concentration].
    into : {"drained", "headspace"}
        What room the additive goes into.

    Returns
    -------
    numpy.ndarray
        [the same unit].

    Examples
    --------
    >>> round(float(level_after(40.0, 0.408163, 600.0, 60000.0, "headspace")))
    1200
    """
    volume, added = np.asarray(system, dtype=np.float64), np.asarray(dose, dtype=np.float64)
    kept = volume - added if into == DRAINED else volume
    held = kept * np.asarray(now, dtype=np.float64)
    return np.asarray((held + added * np.asarray(strength)) / (kept + added))[()]


def dose_by_units(
    system: ArrayLike, now: ArrayLike, target: ArrayLike, volume_per_unit: ArrayLike
) -> Column:
    """Additive whose label counts in units per volume of coolant.

    Parameters
    ----------
    system : float or array-like
        Volume of the coolant [L].
    now, target : float or array-like
        Additive units inside and wanted [units/US gal].
    volume_per_unit : float or array-like
        Additive that holds one unit, as its label says [L].

    Returns
    -------
    numpy.ndarray
        (t - c) V v with V in US gallons [L]; 0 where the level is reached already.

    Examples
    --------
    >>> round(float(dose_by_units(37.85, 1.0, 1.5, 0.1)), 2)
    0.5
    """
    missing = np.maximum(np.subtract(target, now, dtype=np.float64), 0.0)
    gallons = np.divide(system, _GALLON, dtype=np.float64)
    return np.asarray(missing * gallons * np.asarray(volume_per_unit, dtype=np.float64))[()]


def plan_dose(
    system: Estimate,
    target: Estimate,
    now: tuple[Estimate, ...],
    strength: tuple[Estimate, ...],
    most: tuple[float | None, ...],
) -> DosePlan:
    """Plan a dose that brings the first component to its target.

    Parameters
    ----------
    system : Estimate
        Volume of the coolant [L].
    target : Estimate
        Level wanted of the first component [mg/L].
    now, strength : tuple of Estimate
        Level of each component in the coolant and in the additive [mg/L].
    most : tuple of float or None
        Upper bound of each component [mg/L]; None where there is none.

    Returns
    -------
    DosePlan
        The whole dose, whether or not it passes a bound, beside the largest that does not.

    Raises
    ------
    QuantityError
        For a volume or level that cannot be, and for an additive no stronger than the
        target.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> plan = plan_dose(exact(40.0), exact(1200.0), (exact(600.0), exact(50.0)),
    ...                  (exact(60000.0), exact(20000.0)), (2400.0, 150.0))
    >>> round(float(plan.drained.value), 3), int(plan.controlled_by), bool(plan.feasible)
    (0.404, 1, False)
    """
    refuse_where(system.lower <= 0.0, "the system's volume must be above zero")
    for one in (target, *now, *strength):
        refuse_where(one.lower < 0.0, "a level cannot be below zero")
    refuse_where(strength[0].lower <= target.upper, "the additive is no stronger than the target")
    drained = hull(dose_into_drained, system, now[0], target, strength[0])
    reached = [
        hull(lambda v, c, a: level_after(v, drained.value, c, a), system, level, strong)
        for level, strong in zip(now, strength, strict=True)
    ]
    largest = [
        _largest(system, level, strong, bound)
        for level, strong, bound in zip(now, strength, most, strict=True)
    ]
    values = np.stack([one.value for one in largest])
    by = np.argmin(values, axis=0)
    limit = Estimate(
        values.min(axis=0),
        np.stack([one.lower for one in largest]).min(axis=0),
        np.stack([one.upper for one in largest]).min(axis=0),
    )
    feasible = drained.value <= limit.value + _ROUNDING
    return DosePlan(
        drained=drained,
        headspace=hull(dose_into_headspace, system, now[0], target, strength[0]),
        reached=Estimate(
            *(
                np.stack([getattr(one, end) for one in reached], axis=-1)
                for end in ("value", "lower", "upper")
            )
        ),
        most=limit,
        controlled_by=np.where(np.isinf(limit.value), -1, by),
        feasible=np.asarray(feasible),
        doubtful=np.asarray(feasible & (drained.upper > limit.lower + _ROUNDING)),
    )


def _largest(system: Estimate, now: Estimate, strength: Estimate, bound: float | None) -> Estimate:
    """Largest dose that keeps a component to its bound; infinite where it cannot pass it."""
    if bound is None:
        infinite = np.full(np.broadcast_shapes(system.value.shape, now.value.shape), np.inf)
        return Estimate(infinite, infinite, infinite)

    def room(volume: Column, level: Column, strong: Column) -> Column:
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (bound - level) / (strong - level)
        share = np.where(strong <= bound, np.inf, share)
        share = np.where(level >= bound, 0.0, share)
        return np.asarray(volume * share)

    return hull(room, system, now, strength)
