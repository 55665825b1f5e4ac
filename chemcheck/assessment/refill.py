"""What to drain and fill for a wanted percent: the way asked for, and the others."""

from dataclasses import dataclass

import numpy as np

from chemcheck.errors import QuantityError
from chemcheck.limit_library.methods import methods, precision_of
from chemcheck.remedies.estimate import Estimate, exact, hull, refuse_where
from chemcheck.remedies.held_volume import measured_held_share, measured_held_volume
from chemcheck.remedies.refill import last_pass, percent_after
from chemcheck.remedies.refill_plan import RefillPlan, adjust, change, change_with_premix

WAYS = ("change", "adjust")
_CAUTIONS = ("hot_system", "glycol_is_poison", "disposal", "maker_and_local_rules")
# Volumes read off a bucket agree so far.
_ROUGHLY = 0.03
# Two percents of one reckoning are the same so far [%].
_SAME = 1e-6
_REFRACTOMETER = "refractometer"


@dataclass(frozen=True, slots=True)
class RefillAnswer:
    """A refill for one system.

    Parameters
    ----------
    plan : RefillPlan
        The way asked for.
    others : tuple of RefillPlan
        Other ways to the same target.
    system, drains, held : Estimate
        Volumes of the system, of what drains, and of what stays inside [L].
    inside, target, strength : Estimate
        Percent of what stays inside, wanted, and of the concentrate [%].
    premix : Estimate or None
        Percent of the ready mix [%].
    ready_mix : Estimate
        What ready mix of the percent wanted would end up at, were it filled in place of
        concentrate [%]; NaN where not all that drains is drained, or nothing weaker stays.
    passes : float
        Fillings until the target is reached, of concentrate where ready mix will not do;
        NaN where no number will.
    last_pass : Estimate
        Of several passes, what the last replaces [L].
    measured : Estimate or None
        Volume that stays inside, by the readings [L].
    assumptions, questions : tuple of str
        What was assumed, and what does not agree.
    cautions : tuple of str
        Keys of the cautions that apply.
    """

    plan: RefillPlan
    others: tuple[RefillPlan, ...]
    system: Estimate
    drains: Estimate
    held: Estimate
    inside: Estimate
    target: Estimate
    strength: Estimate
    premix: Estimate | None
    ready_mix: Estimate
    passes: float
    last_pass: Estimate
    measured: Estimate | None
    assumptions: tuple[str, ...]
    questions: tuple[str, ...]
    cautions: tuple[str, ...]


def refill(
    target: Estimate,
    *,
    system: Estimate | None = None,
    drains: Estimate | None = None,
    holds: Estimate | None = None,
    strength: Estimate | None = None,
    premix: Estimate | None = None,
    current: Estimate | None = None,
    readings: tuple[Estimate, Estimate] | None = None,
    way: str | None = None,
) -> RefillAnswer:
    """Answer how to refill one system.

    Parameters
    ----------
    target : Estimate
        Percent wanted [%].
    system, drains, holds : Estimate, optional
        Volumes of the system, of what drains, and of what stays inside [L]; two of the
        three say the third, and ``readings`` say how it divides.
    strength, premix : Estimate, optional
        Percent of the concentrate, 100 unless stated, and of the ready mix to fill [%].
    current : Estimate, optional
        Percent of what is inside; 0, rinse water, unless stated [%].
    readings : tuple of two Estimate, optional
        Percent before draining, and after refilling with water what had drained [%].
    way : {"change", "adjust"}, optional
        Drain all that drains, or no more than has to go. Unless stated, ``adjust`` for a
        system that holds coolant of a known percent, ``change`` for all others.

    Returns
    -------
    RefillAnswer
        With what was assumed.

    Raises
    ------
    QuantityError
        For quantities that cannot be, or too few of them.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> answer = refill(exact(50.0), system=exact(12.0), drains=exact(8.0))
    >>> float(answer.plan.concentrate.value), float(answer.plan.water.value)
    (6.0, 2.0)
    """
    assumptions = ["Volumes are taken as additive; glycol and water shrink by less than 1 %."]
    measured, ratio = _measured(drains, readings)
    whole, out, told = _volumes(system, drains, holds, ratio, measured)
    assumptions += told
    if strength is None:
        strength = exact(100.0)
        assumptions.append("The concentrate counts as 100 %, as the percent on labels does.")
    inside = exact(0.0) if current is None else current
    chosen = way or _usual_way(current, holds, premix)
    if out is None:
        if chosen == "change":
            message = "how much drains is not known: give --drains or --holds"
            raise QuantityError(message)
        out = whole
        assumptions.append("How much drains was not said; all of it is taken to.")
    if current is None:
        assumptions.append("What stays inside is rinse water, 0 %.")
    inputs = (whole, out, inside, target, strength)
    makers = {"change": change, "adjust": adjust}
    others: tuple[RefillPlan, ...]
    if premix is not None:
        if way == "adjust":
            message = "ready mix is filled where all that drains is drained: leave --way adjust out"
            raise QuantityError(message)
        plan = change_with_premix(whole, out, inside, target, premix, strength)
        others = (change(*inputs),)
    else:
        plan = makers.pop(chosen)(*inputs)
        others = tuple(make(*inputs) for make in makers.values()) if inside.value > 0.0 else ()
    passes, last = _passes(plan, others, whole, out, inside, target, strength, premix)
    return RefillAnswer(
        plan=plan,
        others=others,
        system=whole,
        drains=out,
        held=hull(lambda v, d: np.maximum(v - d, 0.0), whole, out),
        inside=inside,
        target=target,
        strength=strength,
        premix=premix,
        ready_mix=_ready_mix(plan, whole, out, inside, target),
        passes=passes,
        last_pass=last,
        measured=measured,
        assumptions=tuple(assumptions),
        questions=_questions(whole, out, measured, drains is not None and system is not None),
        cautions=_CAUTIONS,
    )


def reaches(plan: RefillPlan, target: Estimate) -> bool:
    """Return whether a plan ends up at the percent wanted, in one filling."""
    return abs(float(plan.finished.value) - float(target.value)) < _SAME


def _usual_way(current: Estimate | None, holds: Estimate | None, premix: Estimate | None) -> str:
    flushed = current is None or bool(current.upper <= 0.0)
    return "change" if flushed or holds is not None or premix is not None else "adjust"


def _measured(
    drains: Estimate | None, readings: tuple[Estimate, Estimate] | None
) -> tuple[Estimate | None, Estimate | None]:
    """Return the held volume by readings where what drains is known, and the share held.

    The share is as uncertain as two readings of a refractometer are (95 %).
    """
    if readings is None:
        return None, None
    before, after = readings
    refuse_where(
        before.lower <= 0.0, "the reading before draining may be zero: read it as a number"
    )
    refuse_where(
        after.value >= before.value,
        "the second reading is not below the first: nothing was diluted",
    )
    spread = precision_of(methods()[_REFRACTOMETER], "glycol").absolute
    ratio = measured_held_share(before, after, spread)
    if drains is None:
        return None, ratio
    return measured_held_volume(drains, before, after, spread), ratio


def _volumes(
    system: Estimate | None,
    drains: Estimate | None,
    holds: Estimate | None,
    ratio: Estimate | None,
    measured: Estimate | None,
) -> tuple[Estimate, Estimate | None, list[str]]:
    """Work out the volumes of the system and of what drains."""
    inside = holds if holds is not None else measured
    if system is None:
        if drains is None or inside is None:
            message = "the system's volume is not known: give --system, or --drains with --holds"
            raise QuantityError(message)
        told = "The system's volume is what drains and what stays inside together."
        return hull(np.add, drains, inside), drains, [told]
    if drains is not None and holds is not None:
        _check_sum(system, drains, holds)
    if drains is None and holds is not None:
        refuse_where(holds.lower < 0.0, "what stays inside cannot be below zero")
        refuse_where(holds.upper >= system.lower, "more stays inside than the system holds")
        return system, hull(np.subtract, system, holds), []
    if drains is None and ratio is not None:
        refuse_where(
            ratio.upper >= 1.0,
            "the two readings are too close to say what drains: measure it (--drains)",
        )
        told = "What drains follows from the two readings, at perfect mixing."
        return system, hull(lambda v, r: v * (1.0 - r), system, ratio), [told]
    return system, drains, []


def _check_sum(system: Estimate, drains: Estimate, holds: Estimate) -> None:
    low, high = drains.lower + holds.lower, drains.upper + holds.upper
    refuse_where(drains.upper > system.upper, "more drains than the system holds")
    refuse_where(
        (low > system.upper * (1.0 + _ROUGHLY)) | (high < system.lower * (1.0 - _ROUGHLY)),
        f"what drains and what stays inside are {float(low):g} L together, not the system's "
        f"{float(system.value):g} L: leave one of the three out",
    )


def _ready_mix(
    plan: RefillPlan, system: Estimate, drains: Estimate, inside: Estimate, target: Estimate
) -> Estimate:
    """Return what ready mix of the percent wanted comes to, where something thins it."""
    all_comes_out = bool(drains.value >= system.value)
    if plan.way == "adjust" or all_comes_out or bool(inside.value >= target.value):
        return exact(np.nan)
    return hull(percent_after, system, drains, inside, target)


def _passes(
    plan: RefillPlan,
    others: tuple[RefillPlan, ...],
    system: Estimate,
    drains: Estimate,
    inside: Estimate,
    target: Estimate,
    strength: Estimate,
    premix: Estimate | None,
) -> tuple[float, Estimate]:
    """Return how many fillings it takes, and what the last of them replaces."""
    if plan.feasible or reaches(plan, target):
        return 1.0, plan.drain
    # Where ready mix will not do, concentrate does.
    passes = float((plan if premix is None else others[0]).passes)
    added = strength if target.value >= inside.value else exact(0.0)
    last = last_pass(system.value, drains.value, inside.value, target.value, added.value)
    return passes, exact(last)


def _questions(
    system: Estimate, drains: Estimate, measured: Estimate | None, both: bool
) -> tuple[str, ...]:
    if measured is None or not both:
        return ()
    low, high = system.lower - drains.upper, system.upper - drains.lower
    if measured.lower <= high and measured.upper >= low:
        return ()
    return (
        f"By the readings {float(measured.lower):.1f} to {float(measured.upper):.1f} L stay "
        f"inside, by the volumes {float(low):.1f} to {float(high):.1f} L: was it warm and well "
        "mixed, and is the system's volume right?",
    )
