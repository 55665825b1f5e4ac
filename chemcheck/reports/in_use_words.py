"""What becomes of one water in a system, in words: softened, as scale, held back by a rinse."""

import math
from collections.abc import Iterator

import numpy as np

from chemcheck.assessment.water_in_use import SetInUse, WaterInUse
from chemcheck.remedies.deposit import Deposit, Ends
from chemcheck.remedies.finished_fill import FinishedFill, HeldBack
from chemcheck.remedies.softening import BROKEN, LEFT, MENDED, UNREAD, Softening
from chemcheck.remedies.system_in_use import SystemInUse
from chemcheck.reports.blend_document import bound_words
from chemcheck.reports.document import Section
from chemcheck.reports.numbers import interval, number

NO_PREDICTION = (
    "Scale is reckoned as if all carbonate hardness came out, of the water alone: no prediction "
    "for inhibited coolant. With phosphate or silicate all hardness can come down, as their salts "
    "too."
)
HELD_BACK = (
    "Of the finished fill's water the salts of the rinse water held back count, not those of the "
    "concentrate; the water filled with it is deionised."
)


PURE = (
    "This is as good as pure water. It has no hardness to leave scale, and no buffer and no "
    "inhibitor either: its pH follows the carbon dioxide of the air, and alone it attacks iron, "
    "solder, copper and aluminium. It is for mixing with concentrate, and never runs by itself."
)


def in_use_parts(found: WaterInUse, row: int) -> tuple[Section, ...]:
    """Say what becomes of a water, under headings of their own.

    Parameters
    ----------
    found : WaterInUse
        Of all waters.
    row : int
        Position of the sample.
    """
    softened: list[str] = []
    system = list(_deposit_words(found, row))
    for part in found.sets:
        place = np.flatnonzero(part.rows == row)
        if place.size:
            softened.extend(_softening_words(part.softening, int(place[0])))
            if part.finished is not None and found.held_back is not None:
                words = _finished_words(part, part.finished, found.held_back, int(place[0]))
                system.extend(words)
    told = (
        ("Would a softener help?", softened),
        ("In this system", system),
        ("What pure water lacks", [PURE] if found.pure[row] else []),
    )
    return tuple(Section(title, tuple(items)) for title, items in told if items)


def assumed_in_use(found: WaterInUse) -> tuple[str, ...]:
    """Say what was assumed of the system; empty where nothing was said of one."""
    if found.system is None:
        return ()
    told = [NO_PREDICTION]
    if found.held_back is not None:
        told.append(HELD_BACK)
    return tuple(told)


def _softening_words(softening: Softening, place: int) -> Iterator[str]:
    """Say whether a softener helps, where any bound is or would be broken."""
    effect = softening.effect[place]
    mends, leaves, breaks = (_names(softening, effect == state) for state in (MENDED, LEFT, BROKEN))
    if not mends and not leaves:
        return
    if not mends:
        yield f"A softener does not help: {leaves} would stay."
        return
    if not leaves and not breaks:
        unread = _names(softening, effect == UNREAD)
        so_far = f", as far as it was read ({unread} was not)" if unread else ""
        yield f"A softener would mend {mends}{so_far}. {_exchanged(softening, place)}"
        return
    stays = " and ".join(
        filter(None, [f"{leaves} would stay" if leaves else "", f"{breaks} would be broken by it"
                      if breaks else ""])
    )  # fmt: skip
    yield f"A softener would mend {mends}, but {stays}. {_exchanged(softening, place)}"


def _exchanged(softening: Softening, place: int) -> str:
    sodium = interval(float(softening.sodium_lower[place]), float(softening.sodium_upper[place]), 3)
    change = float(softening.index_change[place])
    indices = ""
    if change < 0.0 and math.isfinite(change):
        indices = (
            f" The saturation indices of calcium's salts fall by {number(-change, 2)} or more, and "
            "next to no hardness is left to settle."
        )
    return (
        f"It exchanges calcium and magnesium for sodium ({sodium} mg/L more): chloride, sulfate "
        "and alkalinity stay, and with them the ratios that tell what attacks metal."
        f"{indices}"
    )


def _names(softening: Softening, which: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> str:
    names = [bound.title for bound, yes in zip(softening.bounds, which, strict=True) if yes]
    *others, last = dict.fromkeys(names) or [""]
    return f"{', '.join(others)} and {last}" if others else last


def _finished_words(
    part: SetInUse, finished: FinishedFill, volumes: HeldBack, place: int
) -> Iterator[str]:
    """Say what the water of the finished fill holds, and how many rinses must be deionised."""
    lead = (
        f"Rinsed with this water, {number(volumes.held, 3)} L of it stay inside and become mix "
        f"water beside {number(volumes.added, 3)} L of deionised water"
    )
    control = int(finished.controlled_by[place])
    count = float(finished.rinses[place])
    if control < 0:
        known = "every bound" if finished.known[place] else "every bound that could be read"
        met = "meets" if finished.meets[place] else "does not meet"
        yield f"{lead}: the water of the finished fill {met} {known}."
        return
    bound = part.softening.bounds[control]
    held = float(finished.level[place, control])
    yield f"{lead}: {bound_words(bound)} is passed, at {number(held, 3)} {bound.unit}.".rstrip()
    if math.isnan(count):
        yield "No number of rinses with deionised water mends that: drain more at each."
        return
    rinses = "rinse" if count == 1.0 else f"{number(count)} rinses"
    after = float(finished.level_after[place, control])
    yield (
        f"Make the last {rinses} of deionised water: then the fill's water "
        f"holds {number(after, 3)} {bound.unit} of {bound.title}."
    )


def _deposit_words(found: WaterInUse, row: int) -> Iterator[str]:
    scale, use = found.deposit, found.system
    if scale is None or use is None or math.isnan(scale.fill[1][row]):
        return
    by = (
        "by its carbonate hardness"
        if scale.by_alkalinity[row]
        else "by all of its hardness, as alkalinity was not read"
    )
    yield f"One fill can leave {_at(scale.fill, row)} g of scale as CaCO3, {by}: an upper bound."
    if float(use.top_ups.upper) > 0.0:
        yield from _top_up_words(scale, use, row)
    if use.hot_area is not None:
        thick = (1000.0 * scale.thickness[0][row], 1000.0 * scale.thickness[1][row])
        hotter = ""
        if use.heat_flux is not None:
            conducts = interval(float(use.conductivity.lower), float(use.conductivity.upper), 2)
            rise = interval(float(scale.rise[0][row]), float(scale.rise[1][row]), 2)
            hotter = f"; the metal under it gets {rise} C hotter at {conducts} W/(m K)"
        yield (
            f"On the hot area all of it would be {interval(*thick, 2)} micrometres of dense "
            f"scale{hotter}."
        )


def _top_up_words(scale: Deposit, use: SystemInUse, row: int) -> Iterator[str]:
    litres = interval(float(use.top_ups.lower), float(use.top_ups.upper), 3)
    whole = (scale.fill[0] + scale.top_ups[0], scale.fill[1] + scale.top_ups[1])
    yield (
        f"Top-ups of {litres} L bring {_at(scale.top_ups, row)} g more: where it evaporated all "
        f"stays, {_at(whole, row)} g together; where it leaked part goes with it, and "
        f"{_at(scale.after_leak, row)} g stay."
    )
    if use.loss is None:
        yield "Same log, different physics: find out whether it leaked or evaporated (--loss)."


def _at(ends: Ends, row: int) -> str:
    return interval(float(ends[0][row]), float(ends[1][row]), 3)
