"""What `dose` says."""

from collections.abc import Iterator

import numpy as np

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.dose import DoseAnswer, level_after_dose
from chemcheck.assessment.record import Assessment
from chemcheck.remedies.component_text import ADDITIVE_UNITS
from chemcheck.reports.bench_page import BenchPage, BenchTable, Quantity
from chemcheck.reports.bench_text import json_interval, json_number, said
from chemcheck.reports.judged_levels import judged_fields, judged_levels
from chemcheck.reports.numbers import interval, number

_BALANCE = "Dose: a balance of masses; the additive's own volume is counted."
_REPEATED = (
    "If it has to be dosed again soon, find out why: one manual (US Army TM 5-685) refreshes an "
    "inhibitor once and then changes the coolant, others dose without end."
)


def dose_page(answer: DoseAnswer, judged: Assessment | None = None) -> BenchPage:
    """Return what is said of a dose.

    Parameters
    ----------
    answer : DoseAnswer
        The dose.
    judged : Assessment, optional
        What it comes to, judged as a sample.
    """
    plan = answer.plan
    bounds = [one.source for one in answer.bounds if one is not None]
    return BenchPage(
        command="dose",
        sentence=" ".join(_sentences(answer)),
        quantities=tuple(_quantities(answer)),
        tables=(
            *(() if plan is None else (_components(answer),)),
            *judged_levels(judged, "The dosed coolant, judged"),
        ),
        to_do=tuple(_to_do(answer)),
        questions=answer.questions,
        sources=tuple(dict.fromkeys((_BALANCE, *(f"Upper bound: {one}" for one in bounds)))),
        assumptions=answer.assumptions,
        cautions=answer.cautions,
        limit_sets=(answer.limit_set,),
        details={
            "feasible": answer.feasible,
            "conflict": answer.conflict or None,
            "dosed": judged_fields(judged),
            "doubtful": plan is not None and bool(plan.doubtful),
            "components": [_component(answer, place) for place in range(len(answer.components))],
        },
    )


def _quantities(answer: DoseAnswer) -> Iterator[Quantity]:
    yield Quantity("volume_l", "additive, as much drained first", answer.volume, "L")
    if answer.plan is not None:
        yield Quantity(
            "headspace_volume_l", "additive, on top of the coolant", answer.plan.headspace, "L"
        )
        most = answer.plan.most
        if np.isfinite(most.value):
            yield Quantity("most_volume_l", "most that passes no bound", most, "L")


def _sentences(answer: DoseAnswer) -> Iterator[str]:
    first = answer.components[0]
    known = analyte_of(first.analyte)
    wanted = f"{said(answer.target, 4)} {known.unit}"
    if float(answer.volume.value) == 0.0:
        yield f"Nothing is to be added: {known.title} is at {said(first.now, 4)} {known.unit}."
        return
    volume = said(answer.volume)
    if answer.conflict:
        yield f"Do not dose: {answer.conflict}. What it would take all the same:"
    if first.analyte == ADDITIVE_UNITS:
        yield (
            f"{volume} L of additive bring the coolant to {wanted}, by the factor that its label "
            "gives; a charged filter counts as additive units too."
        )
    else:
        yield (
            f"Drain {volume} L of coolant and fill {volume} L of additive: {known.title} comes to "
            f"{wanted}."
        )
    yield from _passed(answer)


def _passed(answer: DoseAnswer) -> Iterator[str]:
    """Say which bounds the dose passes, and what can be done without."""
    for place, (one, bound) in enumerate(zip(answer.components, answer.bounds, strict=True)):
        reached = level_after_dose(answer, place)
        if bound is None or float(reached.value) <= bound.value * (1.0 + 1e-9):
            continue
        known = analyte_of(one.analyte)
        yield (
            f"That would bring {known.title} to {said(reached, 4)} {known.unit}, above its bound "
            f"of {number(bound.value)}: do not dose so much."
        )
    plan = answer.plan
    if plan is None or bool(plan.feasible):
        if plan is not None and bool(plan.doubtful):
            yield "As uncertain as the readings are, it may pass a bound: read again first."
        return
    if float(plan.most.value) <= 0.0:
        yield "None can be added as it is: drain coolant and refill first."
    else:
        yield f"At most {said(plan.most)} L can be added; for more, drain and refill first."


def _to_do(answer: DoseAnswer) -> Iterator[str]:
    if float(answer.volume.value) > 0.0 and answer.feasible:
        yield (
            "Fill the additive slowly into the cold system, then run the engine until the "
            "thermostat has opened, so that it mixes."
        )
        yield "Read the level again after a day's work before anything is added to it."
    yield _REPEATED


def _components(answer: DoseAnswer) -> BenchTable:
    rows = []
    for place, (one, bound) in enumerate(zip(answer.components, answer.bounds, strict=True)):
        known, reached = analyte_of(one.analyte), level_after_dose(answer, place)
        rows.append(
            (
                known.title,
                interval(float(one.now.lower), float(one.now.upper)),
                interval(float(reached.lower), float(reached.upper)),
                "" if bound is None else number(bound.value),
                known.unit,
            )
        )
    columns = ("component", "now", "after", "at most", "unit")
    return BenchTable("Components", columns, tuple(rows), (1, 2, 3))


def _component(answer: DoseAnswer, place: int) -> dict[str, object]:
    one, bound = answer.components[place], answer.bounds[place]
    reached = level_after_dose(answer, place)
    return {
        "analyte": one.analyte,
        "unit": analyte_of(one.analyte).unit,
        "now": json_interval(one.now),
        "reached": json_number(reached.value),
        "reached_interval": json_interval(reached),
        "most": None if bound is None else json_number(bound.value),
        "source": None if bound is None else bound.source,
    }
