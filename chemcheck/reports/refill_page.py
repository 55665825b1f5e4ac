"""What `refill` says."""

from collections.abc import Iterator

import numpy as np

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.expected_fill import ExpectedFill
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.refill import RefillAnswer, reaches
from chemcheck.remedies.estimate import Estimate, exact, hull
from chemcheck.remedies.refill_plan import RefillPlan
from chemcheck.reports.bench_page import BenchPage, BenchTable, Quantity
from chemcheck.reports.bench_text import json_interval, json_number, said
from chemcheck.reports.judged_levels import judged_fields, judged_levels
from chemcheck.reports.numbers import counted, interval, number

_SOURCES = (
    "Balance of volumes: textbook algebra, as a published mixture problem has it.",
    "Readings of a refractometer: standard uncertainty 1.5 vol% (memory).",
)
# A ready mix that ends up so far below its label is warned of [%].
_TOLD_TRAP = 0.5
_WAYS = {
    "change": "drain all that drains",
    "premix": "drain all that drains, fill with ready mix",
    "adjust": "drain only what has to go",
}


def refill_page(
    answer: RefillAnswer,
    expected: ExpectedFill | None = None,
    judged: Assessment | None = None,
) -> BenchPage:
    """Return what is said of a refill.

    Parameters
    ----------
    answer : RefillAnswer
        The plans.
    expected : ExpectedFill, optional
        What the finished fill should hold.
    judged : Assessment, optional
        That, judged as a sample; or its percent alone.
    """
    plan = answer.plan
    return BenchPage(
        command="refill",
        sentence=" ".join(_sentences(answer)),
        quantities=tuple(_quantities(answer)),
        tables=(
            *_ways(answer),
            *_expected(expected),
            *judged_levels(judged, "The finished fill, judged"),
        ),
        to_do=tuple(_to_do(answer)),
        questions=(*answer.questions, *(() if expected is None else expected.questions)),
        sources=_SOURCES if answer.measured is not None else _SOURCES[:1],
        assumptions=(
            *answer.assumptions,
            *(() if expected is None else expected.assumptions),
        ),
        cautions=answer.cautions,
        limit_sets=() if judged is None else judged.limit_sets,
        details={
            "feasible": bool(plan.feasible),
            "expected_fill": _expected_levels(expected),
            "finished_fill": judged_fields(judged),
            "doubtful": bool(plan.doubtful),
            "way": plan.way,
            "plans": [_details(one) for one in (plan, *answer.others)],
        },
    )


def _quantities(answer: RefillAnswer) -> Iterator[Quantity]:
    plan, several = answer.plan, answer.passes != 1.0
    with_mix = answer.premix is not None
    rinsed = float(answer.inside.value) == 0.0 and plan.way != "adjust"
    most = "most ready mix alone can reach" if with_mix else "most one filling can reach"
    yield Quantity("drain_l", "drain", plan.drain, "L")
    yield Quantity("concentrate_l", "concentrate to fill", plan.concentrate, "L")
    water = not with_mix or float(plan.water.value) > 0.0
    yield Quantity("water_l", "deionised water to fill", plan.water, "L", water)
    yield Quantity("premix_l", "ready mix to fill", plan.premix, "L", with_mix)
    yield Quantity("finished_percent", "the system ends up at", plan.finished, "%")
    yield Quantity("reachable_percent", most, plan.reachable, "%")
    mix = "ready mix of the target ends up at"
    yield Quantity("ready_mix_percent", mix, answer.ready_mix, "%", not with_mix)
    yield Quantity("passes", "fillings until the target", exact(answer.passes), "", several)
    yield Quantity("last_pass_l", "of these, the last replaces", answer.last_pass, "L", several)
    yield Quantity("held_l", "stays inside after draining", answer.held, "L")
    if rinsed:
        share = "of the fill's water, so much stayed inside"
        yield Quantity("held_water_percent", share, _held_share(answer), "%")
    if answer.measured is not None:
        yield Quantity("held_measured_l", "the same by the readings (95 %)", answer.measured, "L")


def _sentences(answer: RefillAnswer) -> Iterator[str]:
    plan, target = answer.plan, said(answer.target)
    over = float(answer.target.value) > float(plan.reachable.value)
    if plan.way == "premix" and not plan.feasible and over:
        assert answer.premix is not None
        yield (
            f"Ready mix of {said(answer.premix)} % ends up at {said(plan.reachable)} %, not at "
            f"{target} %: {said(answer.held)} L that stay inside thin it."
        )
        if reaches(plan, answer.target):
            yield f"{_filling(plan)[0].upper()}{_filling(plan)[1:]}: that ends up at {target} %."
        else:
            yield f"Concentrate alone comes to {said(answer.others[0].reachable)} % in one filling."
            yield from _several(answer)
        return
    if not plan.feasible:
        end = plan.reachable if over else plan.least
        yield (
            f"One filling cannot reach {target} %: it comes to {said(end)} % at "
            f"{'the most' if over else 'the least'}, because {said(answer.held)} L stay inside."
        )
        yield from _several(answer)
        yield from _trap(answer)
        return
    if float(plan.drain.value) == 0.0:
        yield f"Nothing is to be drained: the system is at {target} % already."
        return
    yield f"Drain {said(plan.drain)} L and {_filling(plan)}: the system ends up at {target} %."
    if plan.doubtful:
        yield "As uncertain as the volumes are, it may not be reached in one filling."
    yield from _trap(answer)


def _several(answer: RefillAnswer) -> Iterator[str]:
    """Say how often to fill where once will not do."""
    if np.isnan(answer.passes):
        yield "No number of fillings reaches it."
        return
    yield (
        f"It takes {counted(int(answer.passes), 'filling')}, each warmed up and mixed, the "
        f"last of {said(answer.last_pass)} L; or open the block's drain so that more comes out."
    )


def _trap(answer: RefillAnswer) -> Iterator[str]:
    """Name the commonest mistake: ready mix onto what stayed inside."""
    target = float(answer.target.value)
    if not target - float(answer.ready_mix.value) >= _TOLD_TRAP:
        return
    inside = "rinse water" if float(answer.inside.value) == 0.0 else f"{said(answer.inside)} %"
    yield (
        f"No ready mix of {said(answer.target)} %: onto the {said(answer.held)} L of {inside} that "
        f"stay inside it would end up at {said(answer.ready_mix)} %."
    )


def _held_share(answer: RefillAnswer) -> Estimate:
    """Return how much of the finished fill's water is what stayed inside [%]."""
    plan = answer.plan
    added = float(plan.water.value)  # the ready mix brings water, too
    if answer.premix is not None:
        added += float(plan.premix.value) * (1.0 - float(answer.premix.value) / 100.0)
    return hull(lambda held: 100.0 * held / max(held + added, 1e-12), answer.held)


def _filling(plan: RefillPlan) -> str:
    parts = [
        f"{said(volume)} L of {name}"
        for volume, name in (
            (plan.concentrate, "concentrate"),
            (plan.water, "deionised water"),
            (plan.premix, "ready mix"),
        )
        if float(volume.value) > 0.0
    ]
    return f"fill {' and '.join(parts)}"


def _to_do(answer: RefillAnswer) -> Iterator[str]:
    plan = answer.plan
    yield "Measure what comes out, so that what stays inside is known."
    if float(plan.concentrate.value) > 0.0 and (
        float(plan.water.value) > 0.0 or float(plan.premix.value) > 0.0
    ):
        yield "Fill the concentrate first, then the rest, so that it cannot be left over."
    if float(answer.inside.value) < 1.0 and float(answer.held.value) > 0.0 and plan.way != "adjust":
        yield (
            f"Rinse water that stays inside becomes part of the fill, "
            f"{said(_held_share(answer), 2)} % of its water: the last rinse has to be of water "
            "that may be mixed (see 'rinse')."
        )
    yield (
        "Warm up with the heater on until the thermostat is open, let it cool, read the percent, "
        "and correct."
    )


def _ways(answer: RefillAnswer) -> tuple[BenchTable, ...]:
    if not answer.others:
        return ()
    rows = tuple(
        (
            _WAYS[one.way],
            *(
                number(float(volume.value), 3)
                for volume in (one.drain, one.concentrate, one.water, one.premix)
            ),
            number(float(one.finished.value), 3),
            "yes" if reaches(one, answer.target) else "not in one filling",
        )
        for one in (answer.plan, *answer.others)
    )
    columns = ("way", "drain L", "concentrate L", "water L", "mix L", "% then", "reached")
    return (BenchTable("Ways", columns, rows, (1, 2, 3, 4, 5)),)


def _expected(fill: ExpectedFill | None) -> tuple[BenchTable, ...]:
    if fill is None:
        return ()
    rows = tuple(
        (
            analyte_of(column.analyte).title,
            interval(float(level.lower), float(level.upper), 3),
            analyte_of(column.analyte).unit,
        )
        for column, level in fill.levels.items()
    )
    left_out = tuple((title, "measure it", "") for title in fill.left_out)
    title = "The finished fill should hold (95 %)"
    return (BenchTable(title, ("what", "expected", "unit"), (*rows, *left_out)),)


def _expected_levels(fill: ExpectedFill | None) -> dict[str, object] | None:
    if fill is None:
        return None
    return {
        "levels": {column.analyte: json_interval(level) for column, level in fill.levels.items()},
        "left_out": list(fill.left_out),
    }


def _details(plan: RefillPlan) -> dict[str, object]:
    volumes = {
        "drain_l": plan.drain,
        "concentrate_l": plan.concentrate,
        "water_l": plan.water,
        "premix_l": plan.premix,
        "finished_percent": plan.finished,
        "reachable_percent": plan.reachable,
    }
    return {
        "way": plan.way,
        **{key: json_number(one.value) for key, one in volumes.items()},
        "feasible": bool(plan.feasible),
        "passes": json_number(plan.passes),
    }
