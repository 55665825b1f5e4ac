"""Ways to bring a cooling system to a wanted percent, each judged for what it ends up at.

A plan fills the volumes of its values; what those make of the system is as uncertain as the
volumes of the system are, and stands in ``finished``.
"""

from dataclasses import dataclass
from functools import partial

import numpy as np
import numpy.typing as npt

from chemcheck.remedies.estimate import Column, Estimate, choose, cut, exact, hull, refuse_where
from chemcheck.remedies.refill import (
    concentrate_needed,
    passes_needed,
    percent_after,
    volume_to_replace,
)

Mask = npt.NDArray[np.bool_]
_ROUNDING = 1e-9
_NOTHING = exact(0.0)


@dataclass(frozen=True, slots=True)
class RefillPlan:
    """One way to the wanted percent, for one system or a column of them.

    Parameters
    ----------
    way : str
        ``change`` drains all that drains, ``premix`` too and fills ready mix, ``adjust``
        drains only what has to go.
    drain, concentrate, water, premix : Estimate
        What to drain, and what to fill then [L]. Where the target cannot be reached, what
        comes nearest to it.
    finished : Estimate
        Percent that the system ends up at [%].
    least, reachable : Estimate
        The ends of what one such filling can reach [%].
    feasible, doubtful : ndarray of bool
        Whether the values reach the target; whether the intervals leave that open.
    passes : ndarray
        Fillings until the target is reached: 1 where one will do, NaN where none will.
    """

    way: str
    drain: Estimate
    concentrate: Estimate
    water: Estimate
    premix: Estimate
    finished: Estimate
    least: Estimate
    reachable: Estimate
    feasible: Mask
    doubtful: Mask
    passes: Column


def change(
    system: Estimate, drains: Estimate, held: Estimate, target: Estimate, strength: Estimate
) -> RefillPlan:
    """Plan a refill after all that drains was drained.

    Parameters
    ----------
    system, drains : Estimate
        Volume of the system, and of what drains [L].
    held, target, strength : Estimate
        Percent of what stays inside, wanted, and of the concentrate [%].

    Returns
    -------
    RefillPlan
        Concentrate and water; where the target is out of reach, all concentrate or all
        water, and how often that has to be done.

    Raises
    ------
    QuantityError
        For a volume or percent that cannot be: more drained than the system holds, or a
        target above the concentrate.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> plan = change(exact(12.0), exact(8.0), exact(0.0), exact(50.0), exact(100.0))
    >>> float(plan.concentrate.value), float(plan.water.value)
    (6.0, 2.0)
    """
    check_volumes(system, drains)
    _check_percents(held, target, strength)
    wanted = hull(concentrate_needed, system, drains, held, target, strength)
    concentrate = cut(wanted, drains)
    share = concentrate.value / drains.value

    def finished(volume: Column, out: Column, inside: Column, strong: Column) -> Column:
        return percent_after(volume, out, inside, share * strong)

    fresh = np.where(wanted.value < 0.0, 0.0, strength.value)
    return RefillPlan(
        way="change",
        drain=drains,
        concentrate=concentrate,
        water=_rest(drains, concentrate),
        premix=_NOTHING,
        finished=hull(finished, system, drains, held, strength),
        least=hull(partial(percent_after, added=0.0), system, drains, held),
        reachable=hull(percent_after, system, drains, held, strength),
        feasible=_fits(wanted, drains),
        doubtful=_may_not_fit(wanted, drains),
        passes=_passes(_fits(wanted, drains), system, drains, held, target, fresh),
    )


def change_with_premix(
    system: Estimate,
    drains: Estimate,
    held: Estimate,
    target: Estimate,
    premix: Estimate,
    strength: Estimate,
) -> RefillPlan:
    """Plan a refill with ready mix, strengthened by concentrate or thinned by water.

    Parameters
    ----------
    system, drains : Estimate
        Volume of the system, and of what drains [L].
    held, target, premix, strength : Estimate
        Percent of what stays inside, wanted, of the ready mix, and of the concentrate [%].

    Returns
    -------
    RefillPlan
        ``reachable``, ``feasible`` and ``passes`` are of the ready mix without concentrate:
        into a system that still holds rinse water it ends up weaker than its label.
        ``concentrate`` and ``premix`` reach the target together, where that fits in; a mix
        that would end up too strong goes in with ``water``.

    Raises
    ------
    QuantityError
        As for `change`, and for a ready mix that is no weaker than the concentrate.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> plan = change_with_premix(
    ...     exact(12.0), exact(8.0), exact(0.0), exact(50.0), exact(50.0), exact(100.0))
    >>> round(float(plan.reachable.value), 1), float(plan.concentrate.value)
    (33.3, 4.0)
    """
    check_volumes(system, drains)
    _check_percents(held, target, strength)
    refuse_where(
        (premix.lower <= 0.0) | (premix.upper >= strength.lower),
        "the ready mix must be weaker than the concentrate, and more than water",
    )
    reachable = hull(percent_after, system, drains, held, premix)
    rich = np.asarray(reachable.value > target.value + _ROUNDING)
    extra = cut(hull(_extra_concentrate, system, drains, held, target, premix, strength), drains)
    concentrate = choose(rich, _NOTHING, extra)
    thinned = hull(concentrate_needed, system, drains, held, target, premix)
    mix = choose(rich, cut(thinned, drains), _rest(drains, concentrate))
    strong_part, mix_part = concentrate.value / drains.value, mix.value / drains.value

    def finished(
        volume: Column, out: Column, inside: Column, weak: Column, strong: Column
    ) -> Column:
        return percent_after(volume, out, inside, strong_part * strong + mix_part * weak)

    enough = np.where(rich, thinned.value, reachable.value - target.value) >= -_ROUNDING
    for_sure = np.where(rich, thinned.lower, reachable.lower - target.upper) >= -_ROUNDING
    return RefillPlan(
        way="premix",
        drain=drains,
        concentrate=concentrate,
        water=choose(rich, _rest(drains, mix), _NOTHING),
        premix=mix,
        finished=hull(finished, system, drains, held, premix, strength),
        least=hull(partial(percent_after, added=0.0), system, drains, held),
        reachable=reachable,
        feasible=np.asarray(enough),
        doubtful=np.asarray(enough & ~for_sure),
        passes=_passes(
            np.asarray(enough), system, drains, held, target, np.where(rich, 0.0, premix.value)
        ),
    )


def adjust(
    system: Estimate, drains: Estimate, now: Estimate, target: Estimate, strength: Estimate
) -> RefillPlan:
    """Plan the least draining that brings a full system to a percent.

    Parameters
    ----------
    system, drains : Estimate
        Volume of the system, and of what drains [L].
    now, target, strength : Estimate
        Percent inside, wanted, and of the concentrate [%].

    Returns
    -------
    RefillPlan
        As much concentrate as is drained, or as much water where it is too strong.

    Raises
    ------
    QuantityError
        As for `change`.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> plan = adjust(exact(10.0), exact(10.0), exact(35.0), exact(50.0), exact(100.0))
    >>> round(float(plan.drain.value), 2), round(float(plan.concentrate.value), 2)
    (2.31, 2.31)
    """
    check_volumes(system, drains)
    _check_percents(now, target, strength)
    stronger = np.asarray(target.value >= now.value)
    added = choose(stronger, strength, _NOTHING)
    wanted = hull(volume_to_replace, system, now, target, added)
    out = cut(wanted, drains)
    feasible = _fits(wanted, drains)

    def finished(volume: Column, inside: Column, fresh: Column) -> Column:
        return percent_after(volume, out.value, inside, fresh)

    return RefillPlan(
        way="adjust",
        drain=out,
        concentrate=choose(stronger, out, _NOTHING),
        water=choose(stronger, _NOTHING, out),
        premix=_NOTHING,
        finished=hull(finished, system, now, added),
        least=hull(partial(percent_after, added=0.0), system, drains, now),
        reachable=hull(percent_after, system, drains, now, strength),
        feasible=feasible,
        doubtful=_may_not_fit(wanted, drains),
        passes=_passes(feasible, system, drains, now, target, added.value),
    )


def check_volumes(system: Estimate, drains: Estimate) -> None:
    """Refuse volumes that cannot be.

    Raises
    ------
    QuantityError
        If a volume is not above zero, or more drains than the system holds.
    """
    refuse_where(system.lower <= 0.0, "the system's volume must be above zero")
    refuse_where(drains.lower <= 0.0, "what drains must be above zero")
    refuse_where(
        drains.upper > system.upper * (1.0 + _ROUNDING),
        f"more drains{_litres(drains.upper)} than the system holds{_litres(system.upper)}",
    )


def _litres(volume: Column) -> str:
    """Say one volume; a column is counted instead."""
    return f" ({float(volume):g} L)" if volume.ndim == 0 else ""


def _check_percents(inside: Estimate, target: Estimate, strength: Estimate) -> None:
    for one, name in ((inside, "inside"), (target, "wanted"), (strength, "of the concentrate")):
        refuse_where(
            (one.lower < 0.0) | (one.upper > 100.0), f"the percent {name} is not from 0 to 100"
        )
    refuse_where(strength.lower <= 0.0, "a concentrate of 0 % is water")
    refuse_where(
        target.value > strength.value,
        "the target is above the strength of the concentrate, so that no filling reaches it",
    )


def _extra_concentrate(
    volume: Column, out: Column, inside: Column, goal: Column, mix: Column, strong: Column
) -> Column:
    """Concentrate that lifts ready mix to the target; the ready mix fills the rest."""
    missing = volume * goal - (volume - out) * inside - out * mix
    return np.asarray(missing / (strong - mix))


def _fits(wanted: Estimate, drains: Estimate) -> Mask:
    value = wanted.value
    return np.asarray((value >= -_ROUNDING) & (value <= drains.value + _ROUNDING))


def _may_not_fit(wanted: Estimate, drains: Estimate) -> Mask:
    over = (wanted.upper > drains.lower + _ROUNDING) | (wanted.lower < -_ROUNDING)
    return np.asarray(_fits(wanted, drains) & over & ~(wanted.is_exact and drains.is_exact))


def _rest(whole: Estimate, part: Estimate) -> Estimate:
    return Estimate(
        whole.value - part.value,
        np.maximum(whole.lower - part.upper, 0.0),
        np.maximum(whole.upper - part.lower, 0.0),
    )


def _passes(
    feasible: Mask, system: Estimate, drains: Estimate, inside: Estimate, target: Estimate,
    added: Column,
) -> Column:  # fmt: skip
    needed = passes_needed(system.value, drains.value, inside.value, target.value, added)
    return np.where(feasible, 1.0, needed)
