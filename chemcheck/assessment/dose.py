"""How much additive, and what it does to every component that it brings."""

from collections.abc import Sequence
from dataclasses import dataclass

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.reckoned_levels import judge_levels
from chemcheck.assessment.record import Assessment
from chemcheck.errors import QuantityError
from chemcheck.limit_library import choose, load_set
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import ReadingColumn
from chemcheck.remedies.component_text import ADDITIVE_UNITS, Component
from chemcheck.remedies.dose import DosePlan, dose_by_units, plan_dose
from chemcheck.remedies.estimate import Estimate, exact, hull, refuse_where

_NITRITE, _HARDNESS = "nitrite", "total_hardness"
_CAUTIONS = ("hot_system", "glycol_is_poison", "disposal", "maker_and_local_rules")


@dataclass(frozen=True, slots=True)
class UpperBound:
    """What a component may not pass.

    Parameters
    ----------
    value : float
        [the analyte's canonical unit].
    source : str
        Who says so, and how well it is known.
    """

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class DoseAnswer:
    """A dose for one system.

    Parameters
    ----------
    plan : DosePlan or None
        By concentration; None where the additive counts in units.
    volume : Estimate
        Additive, into room that was drained first where that makes a difference [L].
    system, target : Estimate
        Volume of the coolant [L], and level wanted [the component's canonical unit].
    components : tuple of Component
        The one that is dosed comes first.
    bounds : tuple of UpperBound or None
        Of each.
    feasible : bool
        Whether the values pass no bound, and nothing says that the additive does not belong.
    conflict : str
        Why the additive does not belong into this coolant; empty where nothing says so.
    limit_set : LimitSet
        Where bounds were looked up.
    assumptions, questions, cautions : tuple of str
        What was assumed, what has to be settled, and keys of cautions.
    """

    plan: DosePlan | None
    volume: Estimate
    system: Estimate
    target: Estimate
    components: tuple[Component, ...]
    bounds: tuple[UpperBound | None, ...]
    feasible: bool
    conflict: str
    limit_set: LimitSet
    assumptions: tuple[str, ...]
    questions: tuple[str, ...]
    cautions: tuple[str, ...]


def dose(
    system: Estimate,
    target: Estimate,
    components: Sequence[Component],
    *,
    technology: str | None = None,
    limits: str | None = None,
    hardness: Estimate | None = None,
    volume_per_unit: Estimate | None = None,
) -> DoseAnswer:
    """Answer how much additive one system takes.

    Parameters
    ----------
    system : Estimate
        Volume of the coolant [L].
    target : Estimate
        Level wanted of the first component [its canonical unit].
    components : sequence of Component
        What the additive brings; the first is dosed.
    technology : str, optional
        The coolant's, which chooses the limit set.
    limits : str, optional
        A limit set instead, by id or path.
    hardness : Estimate, optional
        Of the coolant [mg/L as CaCO3].
    volume_per_unit : Estimate, optional
        Additive that holds one additive unit, by its label [L]: for additives that count in
        units per gallon, and for no others.

    Returns
    -------
    DoseAnswer
        With what was assumed.

    Raises
    ------
    QuantityError
        For quantities that cannot be.
    LimitFileError, UnknownTechnologyError
        If the limit set cannot be used, or the technology is not known.

    Examples
    --------
    >>> from chemcheck.remedies.component_text import Component
    >>> answer = dose(exact(40.0), exact(1200.0),
    ...               [Component("nitrite", exact(600.0), exact(60000.0))],
    ...               technology="heavy_duty_additive")
    >>> round(float(answer.volume.value), 3), answer.feasible
    (0.404, True)
    """
    limit_set = load_set(limits) if limits is not None else choose("coolant", technology)
    assert limit_set is not None  # there is always one for coolant
    if limit_set.material != "coolant":
        message = f"the limit set {limit_set.id} is for {limit_set.material}, not for coolant"
        raise QuantityError(message)
    bounds = tuple(_bound(one, limit_set, technology) for one in components)
    plan, volume, feasible = _reckoned(system, target, components, bounds, volume_per_unit)
    conflict = _conflict(components[0], target, limit_set)
    questions = [
        *_technology(components[0], technology, limits),
        *_unbounded(components, bounds),
        *_hardness(hardness, limit_set),
    ]
    assumptions = ["Volumes are taken as additive, and the dose as mixed in all the coolant."]
    return DoseAnswer(
        plan=plan,
        volume=volume,
        system=system,
        target=target,
        components=tuple(components),
        bounds=bounds,
        feasible=feasible and not conflict,
        conflict=conflict,
        limit_set=limit_set,
        assumptions=tuple(assumptions),
        questions=tuple(questions),
        cautions=_caution_keys(components, technology, limits),
    )


def level_after_dose(answer: DoseAnswer, place: int) -> Estimate:
    """Return the level of one component after the dose [its canonical unit]."""
    if answer.plan is None:
        return answer.target
    reached = answer.plan.reached
    return Estimate(*(end[..., place] for end in (reached.value, reached.lower, reached.upper)))


def judge_dose(
    answer: DoseAnswer, technology: str | None = None, limits: str | None = None
) -> Assessment | None:
    """Judge what a dose comes to, as `check` judges a sample.

    Parameters
    ----------
    answer : DoseAnswer
        The dose.
    technology, limits : str, optional
        As for `dose`.

    Returns
    -------
    Assessment or None
        Of one sample; None for an additive that counts in units, which no bound speaks of.
    """
    if answer.plan is None:
        return None
    levels = {
        ReadingColumn(one.analyte): level_after_dose(answer, place)
        for place, one in enumerate(answer.components)
    }
    return judge_levels(levels, technology, limits=limits)


def _reckoned(
    system: Estimate,
    target: Estimate,
    components: Sequence[Component],
    bounds: tuple[UpperBound | None, ...],
    volume_per_unit: Estimate | None,
) -> tuple[DosePlan | None, Estimate, bool]:
    first = components[0]
    if (first.analyte == ADDITIVE_UNITS) != (volume_per_unit is not None):
        message = (
            "additive units are no concentration: say how much additive holds one unit by its "
            "label, as in --per-unit '1 US pt'"
            if volume_per_unit is None
            else "--per-unit is for additives that count in units per gallon"
        )
        raise QuantityError(message)
    if volume_per_unit is None:
        plan = plan_dose(
            system,
            target,
            tuple(one.now for one in components),
            tuple(one.strength for one in components),
            tuple(None if one is None else one.value for one in bounds),
        )
        return plan, plan.drained, bool(plan.feasible)
    refuse_where(volume_per_unit.lower <= 0.0, "the additive that holds one unit must be above 0")
    refuse_where(system.lower <= 0.0, "the system's volume must be above zero")
    volume = hull(dose_by_units, system, first.now, target, volume_per_unit)
    bound = bounds[0]
    return None, volume, bound is None or float(target.value) <= bound.value


def _bound(
    component: Component, limit_set: LimitSet, technology: str | None = None
) -> UpperBound | None:
    """Look up what a component may not pass: the strictest absolute upper action bound."""
    if component.most is not None:
        return UpperBound(component.most, "as stated")
    found = [
        UpperBound(bound.value, f"{bound.source} ({bound.evidence})")
        for limit in limit_set.limits
        if limit.analyte == component.analyte
        and (not limit.technologies or technology in limit.technologies)
        for bound in limit.bounds
        if bound.side == "upper" and bound.kind == "action" and not bound.of_fresh
    ]
    return min(found, key=lambda one: one.value, default=None)


def _technology(component: Component, technology: str | None, limits: str | None) -> list[str]:
    """Ask for the coolant's technology where nobody said it."""
    if technology is not None or limits is not None:
        return []
    title = analyte_of(component.analyte).title
    return [
        f"Which technology is the coolant? {title.capitalize()} belongs into some and harms "
        "others: give --technology before dosing."
    ]


def _conflict(component: Component, target: Estimate, limit_set: LimitSet) -> str:
    """Say where a set takes the component for a sign of another coolant, and wants none."""
    bounds = [
        bound
        for limit in limit_set.limits
        if limit.analyte == component.analyte
        for bound in limit.bounds
    ]
    most = [bound.value for bound in bounds if bound.side == "upper" and not bound.of_fresh]
    wanted = any(bound.side == "lower" for bound in bounds)
    if wanted or not most or float(target.value) <= min(most):
        return ""
    known = analyte_of(component.analyte)
    return (
        f"{limit_set.id} takes {known.title} above {min(most):g} {known.unit} for a sign that "
        "another coolant is mixed in"
    )


def _unbounded(components: Sequence[Component], bounds: tuple[UpperBound | None, ...]) -> list[str]:
    titles = [
        analyte_of(one.analyte).title
        for one, bound in zip(components, bounds, strict=True)
        if bound is None
    ]
    if not titles:
        return []
    return [
        f"No upper bound of {' and '.join(titles)} is known here: take it from the additive's or "
        "the maker's sheet, and give it with --most."
    ]


def _hardness(hardness: Estimate | None, limit_set: LimitSet) -> list[str]:
    if hardness is None:
        return []
    bound = _bound(Component(_HARDNESS, hardness, exact(0.0)), limit_set)
    if bound is None or float(hardness.upper) <= bound.value:
        return []
    return [
        f"Hardness of {float(hardness.value):g} mg/L as CaCO3 is above {bound.value:g}: phosphate "
        "and silicate of an additive drop out with it. Cure the hardness first."
    ]


def _caution_keys(
    components: Sequence[Component], technology: str | None, limits: str | None
) -> tuple[str, ...]:
    keys = set(_CAUTIONS)
    nitrited = any(one.analyte in (_NITRITE, ADDITIVE_UNITS) for one in components)
    if nitrited or technology is None:
        keys |= {"nitrite_and_amine", "nitrite_and_acid"}
    if technology is None and limits is None:
        keys.add("confirm_first")
    return tuple(sorted(keys))
