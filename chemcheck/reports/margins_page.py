"""What `margins` says."""

import math
from collections.abc import Iterator

import numpy as np

from chemcheck.assessment.glycol_share import by_mass
from chemcheck.assessment.margins_record import MarginsAnswer
from chemcheck.chemistry.glycol_freezing import TURNS_BY
from chemcheck.limit_library.assumed_values import cooling_circuit, refraction
from chemcheck.remedies.estimate import Estimate, hull
from chemcheck.remedies.margins import CapMargins
from chemcheck.reports.bench_page import BenchPage, BenchTable, Quantity
from chemcheck.reports.bench_text import json_interval, json_number, said
from chemcheck.reports.numbers import number
from chemcheck.units import convert

_STATES = {
    "rated": "cap as rated",
    "weak": "weak cap",
    "dead": "dead cap, or none",
}
_SIDES = {
    "radiator": "the radiator's outlet",
    "engine": "the engine's outlet",
}


def margins_page(answer: MarginsAnswer) -> BenchPage:
    """Return what is said of margins.

    Parameters
    ----------
    answer : MarginsAnswer
        The margins.
    """
    return BenchPage(
        command="margins",
        sentence=" ".join(_sentences(answer)),
        quantities=tuple(_quantities(answer)),
        tables=(*_readings(answer), _caps(answer)),
        to_do=tuple(_to_do(answer)),
        questions=answer.questions,
        sources=tuple(_sources(answer)),
        assumptions=answer.assumptions,
        cautions=answer.cautions,
        details={
            "glycols": [one.pure.key for one in answer.share.glycols],
            "basis": answer.share.basis,
            "uncertain": answer.uncertain,
            "readings": [
                {
                    "method": one.method,
                    "percent": json_number(one.percent.value),
                    "interval": json_interval(one.percent),
                    "second_percent": json_number(one.second),
                }
                for one in answer.share.readings
            ],
            "caps": [_cap(one) for one in answer.caps],
        },
    )


def _quantities(answer: MarginsAnswer) -> Iterator[Quantity]:
    first, dead = answer.caps[0], answer.caps[-1]
    yield Quantity("glycol_percent", "share of glycol", answer.share.percent, "vol%")
    yield Quantity("glycol_mass_percent", "the same by mass", by_mass(answer.share), "mass%")
    yield Quantity("freeze_c", "first crystals (slush begins)", answer.freezes, "deg C")
    yield Quantity("boil_c", f"boils, {_STATES[first.state]}", first.boils, "deg C")
    yield Quantity("vapour_pressure_kpa", "vapour pressure at the pump", answer.vapour, "kPa")
    yield Quantity("pump_inlet_margin_m", f"head left, {_STATES[first.state]}", first.head, "m")
    yield Quantity("margin_ends_c", "inlet temperature at which it ends", first.ends_at, "deg C")
    yield Quantity("cavitation_number", "cavitation number", first.cavitation, "")
    yield Quantity("open_boil_c", "boils without a cap", dead.boils, "deg C", len(answer.caps) > 1)
    yield Quantity("boil_by_rule_c", "boils by the rule for caps", answer.by_rule, "deg C")
    yield Quantity("ambient_kpa", "pressure of the air", answer.circuit.ambient, "kPa")
    if answer.cold is not None:
        yield Quantity("cold_margin_c", "coldest above freezing", answer.cold.margin, "deg C")
        yield Quantity("needed_percent", "share needed for it", answer.cold.needed, "vol%")
        ice = hull(lambda part: 100.0 * part, answer.cold.ice)
        yield Quantity("ice_percent", "of the water ice at the coldest", ice, "%")
    if answer.bursts is not None:
        yield Quantity("burst_c", "nothing bursts down to, by the maker", answer.bursts, "deg C")
        if answer.setting.coldest is not None:
            margin = hull(np.subtract, answer.setting.coldest, answer.bursts)
            yield Quantity("burst_margin_c", "coldest above bursting", margin, "deg C")
    if answer.swap is not None:
        yield Quantity("swap_l", "to drain", answer.swap.drain, "L")
        yield Quantity("swap_concentrate_l", "concentrate to fill", answer.swap.concentrate, "L")
        yield Quantity("swap_water_l", "water to fill", answer.swap.water, "L", False)


def _sentences(answer: MarginsAnswer) -> Iterator[str]:
    first = answer.caps[0]
    freezes = f"first crystals at {said(answer.freezes)} C"
    if math.isnan(float(answer.freezes.value)):
        freezes = (
            "where it freezes is not known (above "
            f"{TURNS_BY:.0f} vol% the point rises again with the percent)"
        )
    yield (
        f"{said(answer.share.percent)} vol% of {_glycol(answer)}: {freezes}, boils at "
        f"{said(first.boils, 4)} C ({_STATES[first.state]})."
    )
    if not math.isnan(float(first.head.value)):
        head = f"{said(first.head)} m of head are left at the pump's inlet"
        if float(first.head.upper) < 0.0:
            head = "the coolant boils at the pump's inlet"
        elif float(first.head.lower) < 0.0:
            head += ", so that it may boil there"
        side = answer.setting.pump_side
        drawn = "" if side is None else f", drawn from {_SIDES[side]}"
        inlet = said(answer.circuit.inlet_temperature)
        yield f"At {inlet} C{drawn}, {head}."
    yield from _dead_cap(answer)
    yield from _cold(answer)


def _glycol(answer: MarginsAnswer) -> str:
    return " or ".join(one.pure.title for one in answer.share.glycols)


def _dead_cap(answer: MarginsAnswer) -> Iterator[str]:
    """Say what a dead cap costs, and what the rule for caps is worth."""
    if len(answer.caps) < 2 or float(answer.caps[0].gauge.value) <= 0.0:
        return
    rated, dead = answer.caps[0], answer.caps[-1]
    cost = float(rated.boils.value) - float(dead.boils.value)
    lost = f"A dead cap costs {number(cost, 3)} C of boiling point"
    if not math.isnan(float(rated.head.value)):
        head = float(rated.head.value) - float(dead.head.value)
        lost += f" and {number(head, 3)} m of head, down to {said(dead.head)} m"
    sooner = float(rated.ends_at.value) - float(dead.ends_at.value)
    if not math.isnan(sooner):
        lost += f"; the pump's margin ends {number(sooner, 3)} C sooner"
    yield lost + "."
    over = float(answer.by_rule.value) - float(rated.boils.value)
    direction = "more than" if over > 0 else "less than"
    rule = cooling_circuit()["cap_rule"].upper
    yield (
        f"The rule of {number(rule)} F a psi gives {number(float(answer.by_rule.value), 4)} C, "
        f"{number(abs(over), 2)} C {direction} the curve of vapour pressure. That gives "
        f"{number(1.8 * cost / _psi(rated.gauge), 2)} F a psi here: less the stronger the cap, "
        "more the thinner the air."
    )


def _psi(pressure: Estimate) -> float:
    """Return a cap's rating in the unit that the rule counts in."""
    return float(convert(float(pressure.value), "kPa", "psi"))


def _cold(answer: MarginsAnswer) -> Iterator[str]:
    cold, coldest = answer.cold, answer.setting.coldest
    if cold is None or coldest is None:
        return
    below = f"{said(coldest)} C"
    low, high = float(cold.margin.lower), float(cold.margin.upper)
    if low >= 0.0:
        yield f"Against {below} that leaves {said(cold.margin)} C."
    elif high < 0.0:
        short = hull(lambda margin: -margin, cold.margin)
        yield f"Against {below} it falls short by {said(short)} C: it turns to slush."
    else:
        yield f"Whether it stays liquid at {below} is open: {said(cold.margin)} C."
    if math.isnan(float(cold.needed.value)):
        yield "No share up to 60 vol% keeps it liquid there."
    else:
        yield f"It takes {said(cold.needed)} vol%."
    yield from _bursting(answer, coldest)
    swap = answer.swap
    if swap is not None and float(swap.drain.value) > 0.0:
        yield (
            f"Drain {said(swap.drain)} L and fill as much concentrate to get there; measure the "
            "percent again."
        )
    elif swap is not None:
        yield "Nothing has to be swapped."


def _bursting(answer: MarginsAnswer, coldest: Estimate) -> Iterator[str]:
    """Say how far the coldest is from bursting, where the maker says anything of it."""
    if answer.bursts is None or math.isnan(float(answer.bursts.value)):
        return
    margin = hull(np.subtract, coldest, answer.bursts)
    table = f"By the maker's table nothing bursts down to {said(answer.bursts)} C"
    if float(margin.lower) >= 0.0:
        yield f"{table}, {said(margin)} C below that."
    elif float(margin.upper) < 0.0:
        yield f"{table}: at {said(coldest)} C the block may burst."
    else:
        yield f"{table}: whether the block holds at {said(coldest)} C is open."


def _caps(answer: MarginsAnswer) -> BenchTable:
    rows = tuple(
        (
            _STATES[one.state],
            number(float(one.gauge.value), 3),
            said(one.boils, 4),
            said(one.head),
            said(one.ends_at, 4),
            said(one.cavitation, 2),
        )
        for one in answer.caps
    )
    columns = ("state", "kPa", "boils C", "head m", "ends at C", "cavitation number")
    return BenchTable("By the state of the cap", columns, _known(rows), (1,))


def _known(rows: tuple[tuple[str, ...], ...]) -> tuple[tuple[str, ...], ...]:
    """Leave empty what is not known."""
    return tuple(tuple("" if cell == "unknown" else cell for cell in row) for row in rows)


def _readings(answer: MarginsAnswer) -> Iterator[BenchTable]:
    readings = answer.share.readings
    if len(readings) < 2:
        return
    rows = tuple((one.method, said(one.percent)) for one in readings)
    yield BenchTable("Share of glycol by method", ("method", "vol%"), rows)


def _to_do(answer: MarginsAnswer) -> Iterator[str]:
    if len(answer.caps) > 1:
        yield "Test the cap: it holds no more than its rating, and less when worn, loose or cold."
    else:
        yield "Give the rating on the cap with --cap, to see what it is worth."
    if math.isnan(float(answer.circuit.inlet_temperature.value)):
        yield "Measure the temperature at the pump's inlet and give it with --inlet-temperature."
    if answer.cold is not None:
        figure = (
            "no figure of it is known here: enter the maker's table with --burst"
            if answer.bursts is None
            else "comes from the maker's table alone"
        )
        yield (
            "Freezing is where slush begins: do not run the pump in it. What keeps a block from "
            f"bursting is colder, and {figure}; tables of lowest ambient temperature hold a margin "
            "already. Do not mix the three."
        )
    if answer.swap is not None and float(answer.swap.drain.value) > 0.0:
        yield "See 'refill' for what cannot drain and for ready mix."


def _sources(answer: MarginsAnswer) -> Iterator[str]:
    """Name every table, its basis, and how well it is known."""
    yield "Vapour pressure of water: IAPWS-IF97, region 4 (published; coefficients from memory)."
    yield "Air by altitude: standard atmosphere, ISO 2533 (memory)."
    if len(answer.caps) > 1:
        rule = cooling_circuit()["cap_rule"]
        yield f"Rule for caps: {rule.source}."
    for glycol in answer.share.glycols:
        yield (
            f"{glycol.pure.title.capitalize()}, boiling: Raoult's law with its vapour pressure, "
            f"{glycol.pure.source} ({glycol.pure.evidence})."
        )
        used = (
            ("freezing", glycol.of("freezing_point", answer.share.basis)),
            ("boiling beside Raoult's law", glycol.of("boiling_rise")),
            ("density", glycol.of("density", answer.share.basis)),
        )
        for name, tables in used:
            for table in tables:
                yield f"{glycol.pure.title.capitalize()}, {name}: {table.title}."
    methods = {one.method for one in answer.share.readings}
    if methods & {"refractive index", "Brix"}:
        table = answer.share.glycols[0].of("refractive_index")[0]
        yield f"Refractive index: {table.title}."
    if "Brix" in methods:
        scale, _ = refraction()
        yield f"Brix: {scale.source} ({scale.evidence})."


def _cap(one: CapMargins) -> dict[str, object]:
    numbers = {
        "gauge_kpa": one.gauge,
        "boil_c": one.boils,
        "pump_inlet_margin_m": one.head,
        "margin_ends_c": one.ends_at,
        "cavitation_number": one.cavitation,
    }
    values = {key: json_number(estimate.value) for key, estimate in numbers.items()}
    ends = {key: json_interval(estimate) for key, estimate in numbers.items()}
    return {"state": one.state, **values, "intervals": ends}
