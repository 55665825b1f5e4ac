"""What `rinse` says."""

import math
from collections.abc import Iterator

from chemcheck.assessment.rinse import LastRinses, RinseAnswer
from chemcheck.remedies.estimate import Estimate, exact, hull
from chemcheck.remedies.rinse import USUAL_FILLS, residue_after
from chemcheck.reports.bench_page import BenchPage, BenchTable, Quantity
from chemcheck.reports.bench_text import json_interval, json_number, said
from chemcheck.reports.numbers import counted, number

_SOURCES = (
    "Dilution by draining and filling, and by water that flows through: balances of mass.",
    "Three fills, each warmed up and drained: common practice, no source.",
)
_PRECISION = (
    "Precision of readings: refractometer 1.5 vol%, hand-held conductivity meter 3 % (standard "
    "uncertainties, memory)."
)


def rinse_page(answer: RinseAnswer) -> BenchPage:
    """Return what is said of rinses.

    Parameters
    ----------
    answer : RinseAnswer
        Plan and proof.
    """
    return BenchPage(
        command="rinse",
        sentence=" ".join(_sentences(answer)),
        quantities=tuple(_quantities(answer)),
        tables=(_fills(answer), *(() if answer.last is None else (_fill_water(answer.last),))),
        to_do=tuple(_to_do(answer)),
        questions=answer.questions,
        sources=(*_SOURCES, _PRECISION) if answer.proof is not None else _SOURCES,
        assumptions=answer.assumptions,
        cautions=answer.cautions,
        limit_sets=() if answer.last is None else (answer.last.limit_set,),
        details={
            "residues_percent": [json_number(one.value) for one in _residues(answer)],
            "proof": _proof(answer),
            "deionised": _deionised(answer.last),
        },
    )


def _percent(share: Estimate) -> Estimate:
    return hull(lambda part: 100.0 * part, share)


def _quantities(answer: RinseAnswer) -> Iterator[Quantity]:
    plan = answer.plan
    yield Quantity("rinses", "rinses", plan.fills, "")
    yield Quantity("residue_percent", "old fill left then", _percent(plan.residue), "%")
    yield Quantity("water_l", "water they take", plan.water, "L")
    yield Quantity(
        "usual_residue_percent",
        f"left by the usual {USUAL_FILLS} fills",
        _percent(plan.usual_residue),
        "%",
    )
    yield Quantity("continuous_l", "water flowing through, mixing", plan.continuous_mixed, "L")
    yield Quantity("continuous_plug_l", "the same, not mixing at all", plan.continuous_plug, "L")
    if answer.proof is not None:
        residue = answer.proof.residue
        left = Estimate(*(end[0] for end in (residue.value, residue.lower, residue.upper)))
        yield Quantity("measured_residue_percent", "left by the readings", _percent(left), "%")
        yield Quantity("further_rinses", "rinses still needed by them", answer.further, "")
        yield Quantity(
            "measured_efficiency_percent",
            "mixing efficiency by them",
            _percent(answer.fitted_efficiency),
            "%",
        )
    if answer.last is not None:
        yield Quantity(
            "deionised_rinses", "last rinses that must be deionised", exact(answer.last.count), ""
        )
        count = answer.last.count
        litres = hull(lambda drains: count * drains, answer.drains)
        yield Quantity("deionised_l", "deionised water for them", litres, "L")
        more = answer.in_all > float(plan.fills.value)
        yield Quantity("rinses_in_all", "rinses in all then", exact(answer.in_all), "", more)


def _sentences(answer: RinseAnswer) -> Iterator[str]:
    plan = answer.plan
    wanted = number(100.0 * answer.wanted, 3)
    if math.isnan(float(plan.fills.value)):
        yield f"No number of rinses leaves {wanted} % or less."
    else:
        more = "" if plan.fills.is_exact else f" ({_fewest_and_most(plan.fills)})"
        yield (
            f"{counted(int(plan.fills.value), 'rinse')} of {said(answer.drains)} L{more} leave "
            f"{said(_percent(plan.residue), 2)} % of the old fill, and take {said(plan.water)} L "
            f"of water. The usual {USUAL_FILLS} would leave "
            f"{said(_percent(plan.usual_residue), 2)} % here."
        )
        yield (
            f"Water that flows through takes {said(plan.continuous_plug)} L if it pushes the old "
            f"fill out, {said(plan.continuous_mixed)} L if it mixes: a system lies between."
        )
    yield from _proven(answer)
    yield from _last(answer.last)
    if answer.in_all > float(plan.fills.value):
        yield (
            f"So many are more than the residue asks for: {number(answer.in_all)} rinses in all."
        )


def _fewest_and_most(fills: Estimate) -> str:
    return f"{number(float(fills.lower))} to {number(float(fills.upper))}"


def _proven(answer: RinseAnswer) -> Iterator[str]:
    proof = answer.proof
    if proof is None:
        return
    low, high = float(proof.residue.lower[0]), float(proof.residue.upper[0])
    value = f"{number(100 * float(proof.residue.value[0]), 2)} %"
    span = f"{number(100 * low, 2)} to {number(100 * high, 2)} %"
    if high <= answer.wanted:
        yield f"The readings prove it: {value} is left ({span})."
    elif low > answer.wanted:
        yield f"By the readings it was not enough: {value} is left ({span})."
    else:
        way = "a finer method, such as conductivity with the rinse water's own taken off,"
        if answer.by_conductivity:
            way = "another rinse, and a reading of it,"
        yield f"The readings leave it open: {value} is left ({span}); {way} could decide."
    if bool(proof.flat[0]):
        yield (
            "The tail is flat: it does not fall as dilution does. Something still dissolves, a "
            "dead leg gives old fluid back, or the rinse water itself reads so. More rinses of "
            "the same kind will not end it."
        )
    elif answer.uneven:
        yield "They do not fall as dilution in these volumes does: see what is to be settled."
    elif bool(proof.testable[0]):
        yield "They fall as dilution does; no flat tail is seen."
    else:
        yield "Two readings cannot show whether the tail is flat: take one after each rinse."


def _last(last: LastRinses | None) -> Iterator[str]:
    if last is None or last.controlled_by is None:
        return
    bound = last.controlled_by
    limit = f"{bound.title} of at most {number(bound.value)} {bound.unit}"
    if math.isnan(last.count):
        yield f"No number of deionised rinses brings the finished fill's water to {limit}."
    elif last.count == 0.0:
        yield (
            f"Tap water will do for all rinses: the finished fill's water comes to "
            f"{number(last.held, 3)} against {limit}."
        )
    else:
        which = "rinse" if last.count == 1.0 else f"{number(last.count)} rinses"
        yield (
            f"The last {which} must be of deionised water: after tap water alone the finished "
            f"fill's water holds {number(last.held, 3)} against {limit}, and so it holds "
            f"{number(last.finished, 3)}."
        )


def _to_do(answer: RinseAnswer) -> Iterator[str]:
    yield (
        "Each rinse: fill, warm up with the heater on until the thermostat is open, let it cool, "
        "drain. Do not pour cold water on a hot block."
    )
    yield "Measure what drains each time, and the conductivity or percent of each rinse."
    if answer.proof is not None and bool(answer.proof.flat[0]):
        yield "Look for scale, flux or gel that dissolves, and read the rinse water itself."
    if answer.last is not None and answer.last.count > 0.0:
        yield "Measure the water of the last rinse before the concentrate is filled."
    yield "Catch all rinse water: it holds glycol and metals."


def _residues(answer: RinseAnswer) -> list[Estimate]:
    count = answer.in_all
    last = USUAL_FILLS if math.isnan(count) else max(int(count), USUAL_FILLS)
    return [
        _percent(
            hull(
                lambda v, d, m, n=count: residue_after(n, v, d, m),
                answer.system,
                answer.drains,
                answer.efficiency,
            )
        )
        for count in range(1, min(last, 30) + 1)
    ]


def _fills(answer: RinseAnswer) -> BenchTable:
    waters = _waters(answer)
    rows = tuple(
        (str(count), said(left, 2), number(count * float(answer.drains.value), 3), *water)
        for count, (left, water) in enumerate(zip(_residues(answer), waters, strict=True), start=1)
    )
    columns = ("rinses", "left %", "water L", *(("of",) if waters[0] else ()))
    return BenchTable("Rinse by rinse", columns, rows, (0, 1, 2))


def _waters(answer: RinseAnswer) -> list[tuple[str, ...]]:
    """Say of which water each rinse is, where that was asked."""
    rinses = range(1, len(_residues(answer)) + 1)
    if answer.last is None or math.isnan(answer.last.count):
        return [() for _ in rinses]
    tap = answer.in_all - answer.last.count
    return [
        ("tap" if count <= tap else "deionised" if count <= answer.in_all else "",)
        for count in rinses
    ]


def _proof(answer: RinseAnswer) -> dict[str, object] | None:
    proof = answer.proof
    if proof is None:
        return None
    first = {
        name: Estimate(*(end[0] for end in (one.value, one.lower, one.upper)))
        for name, one in (("residue", proof.residue), ("kept", proof.kept), ("floor", proof.floor))
    }
    low, high = float(first["residue"].lower), float(first["residue"].upper)
    reached = True if high <= answer.wanted else False if low > answer.wanted else None
    return {
        "reached": reached,
        "flat_tail": bool(proof.flat[0]) if proof.testable[0] else None,
        "residue_percent": json_interval(_percent(first["residue"])),
        "kept_by_a_rinse": json_interval(first["kept"]),
        "floor": json_interval(first["floor"]),
    }


def _fill_water(last: LastRinses) -> BenchTable:
    """Show the water of the finished fill against every bound that can be reckoned."""
    rows = tuple(
        (
            one.bound.title,
            number(one.without, 3),
            "-" if math.isnan(one.after) else number(one.after, 3),
            f"at {'most' if one.bound.side == 'upper' else 'least'} {number(one.bound.value)}",
            one.bound.unit,
        )
        for one in last.levels
    )
    count = "so many" if math.isnan(last.count) else number(last.count)
    columns = ("what", "by tap alone", f"with {count} deionised", "bound", "unit")
    return BenchTable("Water of the finished fill", columns, rows, (1, 2))


def _deionised(last: LastRinses | None) -> dict[str, object] | None:
    if last is None:
        return None
    return {
        "rinses": json_number(last.count),
        "controlled_by": None if last.controlled_by is None else last.controlled_by.key,
        "bound": None if last.controlled_by is None else json_number(last.controlled_by.value),
        "after_tap_alone": json_number(last.held),
        "finished": json_number(last.finished),
        "held_l": last.volumes.held,
        "added_l": last.volumes.added,
        "levels": [
            {
                "bound": one.bound.key,
                "side": one.bound.side,
                "value": one.bound.value,
                "unit": one.bound.unit,
                "after_tap_alone": json_number(one.without),
                "finished": json_number(one.after),
            }
            for one in last.levels
        ],
        "not_given": list(last.unread),
    }
