"""Change intervals as text, 80 columns wide."""

from chemcheck.assessment.interval import GroupInterval, Intervals
from chemcheck.limit_library import cautions
from chemcheck.reports.numbers import counted, number
from chemcheck.reports.offset_words import OFFSETS, offset_lines
from chemcheck.reports.text_layout import TIED, bullets, heading, paragraph, table, visible


def interval_text(answer: Intervals) -> str:
    """Return change intervals as text.

    Parameters
    ----------
    answer : Intervals
        What to say.

    Returns
    -------
    str
        The sets in use, a sentence, the groups, what each rests on, what to do,
        assumptions, what was left out, cautions.
    """
    unit = answer.axis_unit
    titles = ("group", "fills", "passed", f"by risk [{unit}]", "95 % limits", f"by cost [{unit}]")
    parts = [
        paragraph("Bounds from: " + ", ".join(f"{s.id} {s.version}" for s in answer.sets)),
        paragraph(_sentence(answer)),
        table(titles, [_row(group) for group in answer.groups], numeric=(1, 2)),
        *(_about(group, unit) for group in answer.groups),
        _section("What to do", intervals_to_do()),
        _section("Assumptions", list(answer.assumptions)),
    ]
    if apart := offset_lines(answer.readings, answer.offsets):
        parts.insert(-2, _section(OFFSETS, apart))
    if len(answer.remarks):
        said = [f"{what}: {why}" for what, why in answer.remarks.itertuples(index=False)]
        parts.append(_section("Left out", said))
    parts.append(_section("Cautions", list(cautions(answer.cautions))))
    return visible("\n\n".join(parts) + "\n")


def _section(title: str, items: list[str]) -> str:
    return f"{heading(title)}\n{bullets(items)}"


def _sentence(answer: Intervals) -> str:
    fills = sum(group.fills for group in answer.groups)
    passed = sum(group.failures for group in answer.groups)
    return (
        f"{counted(fills, 'fill')}, of which {passed} passed an action bound. {answer.sentence} "
        f"By risk: changed by then, the chance of having passed a bound is "
        f"{number(100 * answer.settings.risk)}{TIED}%, the lead time counted."
    )


def _row(group: GroupInterval) -> tuple[str, ...]:
    risk, best = group.by_risk, group.by_cost
    by_risk = limits = "-"
    if risk is not None:
        by_risk = "-" if risk.interval is None else number(risk.interval, 3)
        upper = "no limit" if risk.upper == float("inf") else f"{risk.upper:.0f}"
        limits = f"{risk.lower:.0f} to {upper}"
    by_cost = "-" if best is None or best.interval is None else number(best.interval, 3)
    return (group.group, str(group.fills), str(group.failures), by_risk, limits, by_cost)


def _about(group: GroupInterval, unit: str) -> str:
    """Say what the interval of a group rests on, and why one is missing."""
    said = [
        f"{counted(group.units, 'unit')}, {counted(group.fills, 'fill')}: {group.failures} passed "
        f"a bound, {group.censored} were still inside when last seen."
    ]
    if group.choice is not None:
        life = group.choice.lifetime
        said.append(
            f"Lifetime: {life.family}, scale {number(life.scale)}{TIED}{unit}, shape "
            f"{number(life.shape, 3)}; {group.choice.reason}."
        )
    if group.few is not None:
        said.append(
            f"Too few crossings for a lifetime. At {100 * group.few.confidence:g}{TIED}% "
            f"confidence at most {number(1000 * group.few.rate_upper, 3)} crossings per "
            f"1,000{TIED}{unit}, taken as constant: an upper bound, no estimate."
        )
    if group.by_risk is not None and group.by_risk.interval is None:
        said.append(f"No interval by risk: {group.by_risk.reason} of {bound_words(group, unit)}.")
    said.extend(_cost_lines(group, unit))
    return _section(group.group, said)


def _cost_lines(group: GroupInterval, unit: str) -> list[str]:
    best = group.by_cost
    said = []
    if best is not None and best.interval is not None and best.flat_range is not None:
        low, high = best.flat_range
        said.append(
            f"Least cost: {number(1000 * best.cost_rate)} per 1,000{TIED}{unit} when changed at "
            f"{best.interval:.0f}{TIED}{unit}; within 5{TIED}% of it from {low:.0f} to "
            f"{number(high, 3)}{TIED}{unit}. It saves {100 * best.saving:.0f}{TIED}% against "
            "running to damage."
        )
    elif group.no_benefit_reason:
        said.append(f"No interval by cost: {group.no_benefit_reason}.")
    if told := sampling_words(group, unit):
        said.append(told)
    return said


def bound_words(group: GroupInterval, unit: str) -> str:
    """Return the lower limit of an interval by risk, the lead time taken off."""
    lower = 0.0 if group.by_risk is None else group.by_risk.lower
    return f"{number(lower, 3)}{TIED}{unit} (95{TIED}%)"


def sampling_words(group: GroupInterval, unit: str) -> str:
    """Say what sampling saves against a change by age alone; empty where nothing tells."""
    sampling = group.sampling
    if sampling is None or sampling.best is None:
        return ""
    saving = sampling.saving_per_1000[sampling.best]
    word = "saves" if saving > 0 else "costs"
    return (
        f"Sampling every {number(sampling.every[sampling.best], 3)}{TIED}{unit}, the cheapest "
        f"looked at, {word} {number(abs(saving), 3)} per 1,000{TIED}{unit} against the best by "
        "age alone."
    )


def intervals_to_do() -> list[str]:
    """Say what follows from an interval, and what does not."""
    return [
        "The maker's service information sets the longest interval; these may only shorten it, "
        "or support asking the maker for more.",
        "Go on sampling: an interval holds for coolant that ages as it did so far, not for a gas "
        "leak, stray current or a wrong top-up.",
    ]
