"""Change intervals on a page: a line a group, and their pictures."""

import math

from chemcheck.assessment.interval import GroupInterval, Intervals
from chemcheck.reports.fleet_charts import interval_charts
from chemcheck.reports.fleet_document import GroupLine, IntervalPart
from chemcheck.reports.numbers import counted, number


def interval_part(answer: Intervals) -> IntervalPart:
    """Return what a page says of change intervals.

    Parameters
    ----------
    answer : Intervals
        What to say.
    """
    return IntervalPart(
        sentence=answer.sentence,
        lines=tuple(_line(group, answer.axis_unit) for group in answer.groups),
        charts=tuple(interval_charts(answer)),
    )


def _line(group: GroupInterval, unit: str) -> GroupLine:
    numbers = {"failures": float(group.failures), "censored": float(group.censored)}
    if group.choice is not None:
        numbers |= {"scale": group.choice.lifetime.scale, "shape": group.choice.lifetime.shape}
    if group.by_risk is not None and group.by_risk.interval is not None:
        numbers["by-risk"] = group.by_risk.interval
    if group.by_cost is not None and group.by_cost.interval is not None:
        numbers |= {"by-cost": group.by_cost.interval, "cost-rate": group.by_cost.cost_rate}
    return GroupLine(
        group=group.group,
        counts=f"{counted(group.fills, 'fill')}, of which {group.failures} passed a bound",
        model=_model(group, unit),
        by_risk=_by_risk(group, unit),
        by_cost=_by_cost(group, unit),
        attributes={"data-group": group.group}
        | {f"data-{name}": repr(float(v)) for name, v in numbers.items() if math.isfinite(v)},
    )


def _model(group: GroupInterval, unit: str) -> str:
    if group.choice is None:
        return "none: too few fills passed a bound"
    life = group.choice.lifetime
    return (
        f"{life.family}, scale {number(life.scale)} {unit}, shape {number(life.shape)}; "
        f"{group.choice.reason}"
    )


def _by_risk(group: GroupInterval, unit: str) -> str:
    risk = group.by_risk
    if risk is None:
        return group.no_benefit_reason or "not known"
    if risk.interval is None:
        return risk.reason or "not known"
    upper = "on" if math.isinf(risk.upper) else f"to {number(risk.upper)}"
    return f"{number(risk.interval)} {unit} (95 %: {number(risk.lower)} {upper})"


def _by_cost(group: GroupInterval, unit: str) -> str:
    best = group.by_cost
    if best is None or best.interval is None:
        return group.no_benefit_reason or "not known"
    said = f"{number(best.interval)} {unit}, saving {number(100 * best.saving, 2)} %"
    if best.flat_range is not None:
        first, last = best.flat_range
        end = "on" if math.isinf(last) else f"to {number(last)} {unit}"
        said += f"; at most 5 % more from {number(first)} {end}"
    return said
