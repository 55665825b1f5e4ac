"""Change intervals on a page: a line a group, and their pictures."""

import math
from collections.abc import Iterator

from chemcheck.assessment.interval import GroupInterval, Intervals
from chemcheck.reports.fleet_charts import interval_charts
from chemcheck.reports.fleet_document import GroupLine, IntervalPart
from chemcheck.reports.interval_text import bound_words, sampling_words
from chemcheck.reports.numbers import counted, number

# So many groups are named in the first sentence.
NAMED = 3
LIFETIMES_KEY = (
    "How long fills lasted: the black bars are what the fills show without any curve, as wide as "
    "it is unknown when a bound was passed; the blue line is the lifetime, its 95 % limits the "
    "band."
)
COST_KEY = "Cost: the upright line stands at the least, the band where it is at most 5 % more."


def interval_part(answer: Intervals) -> IntervalPart:
    """Return what a page says of change intervals.

    Parameters
    ----------
    answer : Intervals
        What to say.
    """
    charts = tuple(interval_charts(answer))
    keys = {"lifetimes": LIFETIMES_KEY, "cost": COST_KEY}
    drawn = {chart.name.partition("-")[0] for chart in charts}
    return IntervalPart(
        sentence=answer.sentence,
        lines=tuple(_line(group, answer.axis_unit) for group in answer.groups),
        charts=charts,
        key=" ".join(said for name, said in keys.items() if name in drawn),
    )


def lead_sentence(answer: Intervals) -> str:
    """Say first how long each group may run, as far as that can be told.

    Parameters
    ----------
    answer : Intervals
        What to say.
    """
    unit, risk = answer.axis_unit, number(100 * answer.settings.risk)
    told = []
    for group in answer.groups:
        if group.by_risk is None or group.by_risk.interval is None:
            continue
        by_risk, best = number(group.by_risk.interval, 3), group.by_cost
        said = (
            f"{group.group[0].upper()}{group.group[1:]}: change by {by_risk} {unit}, with a "
            f"{risk} % chance of having passed a bound by then"
        )
        if best is not None and best.interval is not None:
            said += f", or at least cost by {number(best.interval, 3)} {unit}"
        told.append(f"{said}.")
    if not told:
        return answer.sentence
    more = f" And {counted(len(told) - NAMED, 'other group')}." if len(told) > NAMED else ""
    return f"{' '.join(told[:NAMED])}{more} {answer.sentence}"


def _line(group: GroupInterval, unit: str) -> GroupLine:
    return GroupLine(
        group=group.group,
        counts=f"{counted(group.fills, 'fill')}, of which {group.failures} passed a bound",
        model=_model(group, unit),
        by_risk=_by_risk(group, unit),
        by_cost=_by_cost(group, unit),
        attributes={"data-group": group.group}
        | {f"data-{name}": repr(v) for name, v in _numbers(group) if math.isfinite(v)},
    )


def _numbers(group: GroupInterval) -> Iterator[tuple[str, float]]:
    """Give the same as numbers."""
    yield from (("failures", float(group.failures)), ("censored", float(group.censored)))
    if group.choice is not None:
        yield from (("scale", group.choice.lifetime.scale), ("shape", group.choice.lifetime.shape))
    risk, best, sampling = group.by_risk, group.by_cost, group.sampling
    if risk is not None:
        if risk.interval is not None:
            yield "by-risk", float(risk.interval)
        yield from (("risk-lower", float(risk.lower)), ("risk-upper", float(risk.upper)))
    if best is not None and best.interval is not None:
        yield from (("by-cost", float(best.interval)), ("cost-rate", float(best.cost_rate)))
        if best.flat_range is not None:
            yield from zip(("flat-first", "flat-last"), map(float, best.flat_range), strict=True)
    if sampling is not None and sampling.best is not None:
        yield "sampling-every", float(sampling.every[sampling.best])
        yield "sampling-saving", float(sampling.saving_per_1000[sampling.best])


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
        return f"{risk.reason} of {bound_words(group, unit)}" if risk.reason else "not known"
    upper = "on" if math.isinf(risk.upper) else f"to {number(risk.upper, 3)}"
    return f"{number(risk.interval, 3)} {unit} (95 %: {number(risk.lower, 3)} {upper})"


def _by_cost(group: GroupInterval, unit: str) -> str:
    best = group.by_cost
    if best is None or best.interval is None:
        return group.no_benefit_reason or "not known"
    said = (
        f"{number(best.interval, 3)} {unit}, at {number(1000 * best.cost_rate, 3)} per 1,000 "
        f"{unit}, {number(100 * best.saving, 2)} % less than running to damage"
    )
    if best.flat_range is not None:
        first, last = best.flat_range
        end = "on" if math.isinf(last) else f"to {number(last, 3)} {unit}"
        said += f"; at most 5 % more from {number(first, 3)} {end}"
    return " ".join(filter(None, (f"{said}.", sampling_words(group, unit))))
