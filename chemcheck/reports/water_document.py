"""What `water` says, for a person: as `check`, and how deionised water cures it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.water import SetBlend, WaterAssessment
from chemcheck.assessment.water_ends import SOLIDS
from chemcheck.chemistry.dissolved_solids import NATURAL_WATER_FACTOR
from chemcheck.judging.potential_uncertainty import potential_uncertainty
from chemcheck.judging.record import FIT
from chemcheck.judging.water_figures import WaterFigures, water_figures
from chemcheck.remedies.water_blend import left_out_words
from chemcheck.reports.blend_ph_words import blend_ph_words
from chemcheck.reports.check_document import Size, check_document, worst_first
from chemcheck.reports.document import Document, Finding, Section
from chemcheck.reports.figure_words import figure_table, method_notes
from chemcheck.reports.in_use_words import assumed_in_use, in_use_parts
from chemcheck.reports.numbers import interval, number, percent_down, percent_up
from chemcheck.reports.source_outlook import source_words, worst_words

NO_MARGIN = (
    "A share of tap water at its limit has no margin. Use less of it, or deionised water alone, "
    "and measure the blend before it is used."
)
BY_PROPORTION = (
    "Blends are reckoned in proportion, volumes taken as additive. Conductivity mixes so only "
    "nearly: a blend conducts some percent more than reckoned."
)
FIGURES_OF_ALL = (
    "The scale and corrosion figures of every water stand in waters.csv (--out DIR) and in the "
    "JSON document."
)


def water_document(water: WaterAssessment, size: Size) -> Document:
    """Return what is said of all waters.

    Parameters
    ----------
    water : WaterAssessment
        All waters.
    size : Size
        How much of it.

    Returns
    -------
    Document
        To be written as text or as a page.
    """
    document = check_document(water.assessment, size, water.questions)
    told = max(len(document.findings), len(document.overview))
    rows = worst_first(water.assessment.headline, told).tolist()
    readings, told_rows = water.assessment.readings, np.array(rows, dtype=np.intp)
    told_rows = told_rows[: len(document.findings)]
    figures = water_figures(readings, told_rows, water.temperatures, vented=True, others=True)
    uncertainty = potential_uncertainty(
        readings,
        water.assessment.headline.uncertainty,
        told_rows,
        figures.analysis,
        water.temperatures,
    )
    ph_words = blend_ph_words(water, rows[: len(document.findings)])
    findings = tuple(
        replace(
            _with_blend(water, row, one, ph_words[place]),
            figures=figure_table(figures, place, uncertainty),
        )
        for place, (row, one) in enumerate(zip(rows, document.findings, strict=False))
    )
    overview = tuple(
        replace(one, disposition=_in_short(water, row) or one.disposition)
        for row, one in zip(rows, document.overview, strict=False)
    )
    return replace(
        document,
        title="Water page",
        overview=overview,
        findings=findings,
        sections=tuple(
            _sections(
                water,
                (
                    *_figure_sections(figures, findings, cut=bool(document.cut)),
                    *document.sections,
                ),
            )
        ),
    )


def _figure_sections(
    figures: WaterFigures, findings: Sequence[Finding], *, cut: bool
) -> Iterator[Section]:
    """Say how figures are reckoned, once for all waters told of, and where the others are."""
    told = method_notes(figures) if any(one.figures for one in findings) else ()
    where = (FIGURES_OF_ALL,) if cut else ()
    if told or where:
        yield Section("How the figures are reckoned", (*told, *where))


def _in_short(water: WaterAssessment, row: int) -> str:
    """Say what a blend can do, among many waters; empty where it is not needed or unknown."""
    for part in water.blends:
        place = np.flatnonzero(part.rows == row)
        if place.size and part.blend.known[place[0]]:
            largest = float(part.blend.share.largest[place[0]])
            if math.isnan(largest):
                return "no blend meets every bound"
            if largest < 1:
                return f"blend: at most {percent_down(largest)} % tap water"
    return ""


def _with_blend(water: WaterAssessment, row: int, one: Finding, ph: str) -> Finding:
    told: list[str] = list(one.to_do)
    left_open: list[str] = []
    for part in water.blends:
        place = np.flatnonzero(part.rows == row)
        if place.size:
            told.extend(_share_words(water, part, int(place[0]), row))
            left_open.extend(
                line for line in part.blend.left_out if not (ph and line == left_out_words("ph"))
            )
    if ph:
        told.append(ph)
    left_open.extend(_solids_words(water, row))
    return replace(
        one,
        to_do=tuple(told),
        remarks=(*one.remarks, *left_open),
        parts=(*one.parts, *in_use_parts(water.in_use, row)),
    )


def _share_words(water: WaterAssessment, part: SetBlend, place: int, row: int) -> Iterator[str]:
    """Say how much of a water may stay."""
    blend = part.blend
    smallest, largest = float(blend.share.smallest[place]), float(blend.share.largest[place])
    if math.isnan(largest):
        first, second = (
            _bound_title(part, int(by[place]))
            for by in (blend.share.smallest_by, blend.share.largest_by)
        )
        yield f"No blend with deionised water meets every bound: {first} against {second}."
        return
    if not blend.known[place]:
        yield _unknown_share(part, place, largest)
        return
    guarded = float(part.largest_with_uncertainty[place])
    if largest < 1:
        yield _largest_share(part, place, largest)
        yield from _with_room(guarded, largest)
        yield NO_MARGIN
    elif guarded < 1:
        yield from _with_room(guarded, largest)
    elif smallest <= 0 and water.assessment.headline.verdict[row] != FIT:
        yield "Deionised water is not needed for any bound that mixes in proportion."
    if smallest > 0:
        control = _bound_title(part, int(blend.share.smallest_by[place]))
        yield f"At least {percent_up(smallest)} % of it must stay, because of {control}."


def _unknown_share(part: SetBlend, place: int, largest: float) -> str:
    unread = [
        bound.title
        for bound, missing in zip(part.blend.bounds, part.blend.share.unread[place], strict=True)
        if missing and bound.essential
    ]
    names = " and ".join(dict.fromkeys(unread))
    so_far = f"; by what was read it is {percent_down(largest)} % at most" if largest < 1 else ""
    return f"The share of tap water in a blend is unknown without a reading of {names}{so_far}."


def _largest_share(part: SetBlend, place: int, largest: float) -> str:
    control = _bound_title(part, int(part.blend.share.largest_by[place]))
    percent = percent_down(largest)
    if percent == "0":
        return f"Use deionised water alone: {control} leaves no room for this water."
    return (
        f"Blend it with deionised water: at most {percent} % tap water, where {control} "
        f"controls. {_held(part, place)}"
    )


def _with_room(guarded: float, largest: float) -> Iterator[str]:
    """Say the share that still holds at the unfavourable end of the methods' uncertainty."""
    if math.isnan(guarded):
        yield "No share of tap water leaves room for the uncertainty of the readings (95 %)."
    elif percent_down(guarded) != percent_down(largest):
        yield (
            f"At most {percent_down(guarded)} % tap water leaves room for the uncertainty of the "
            "readings (95 %)."
        )


def _held(part: SetBlend, place: int) -> str:
    blend = part.blend
    told = [
        f"{analyte_of(key).title} {interval(low, high, 3)}"
        for key, low, high in zip(
            blend.analytes, blend.lower[place], blend.upper[place], strict=True
        )
        if not math.isnan(high)
    ]
    return f"That blend holds {', '.join(told)}." if told else ""


def _bound_title(part: SetBlend, position: int) -> str:
    if position < 0:
        return "what deionised water can do"
    bound = part.blend.bounds[position]
    at = "at most" if bound.side == "upper" else "at least"
    return f"{bound.title} ({at} {number(bound.value)} {bound.unit})".replace(" )", ")")


def _solids_words(water: WaterAssessment, row: int) -> Iterator[str]:
    """Say what the conductivity tells of dissolved solids that were not read."""
    lower, upper = water.estimated_solids.lower[row], water.estimated_solids.upper[row]
    if math.isnan(lower):
        return
    factor = NATURAL_WATER_FACTOR
    said = (
        "Dissolved solids were not read; the conductivity puts them at "
        f"{interval(lower, upper, 3)} mg/L (factor {factor.lower} to {factor.upper}, "
        f"{factor.evidence})"
    )
    for part in water.blends:
        if row in part.rows:
            for bound in part.blend.bounds:
                if bound.key == SOLIDS and bound.side == "upper":
                    said += f", {_against(lower, upper, bound.value)}"
    yield f"{said}. The verdict does not count them; measure them to be sure."


def _against(lower: float, upper: float, bound: float) -> str:
    if lower > bound:
        return f"above the bound of {number(bound)}"
    if upper > bound:
        return f"perhaps above the bound of {number(bound)}"
    return f"below the bound of {number(bound)}"


def _sections(water: WaterAssessment, sections: tuple[Section, ...]) -> Iterator[Section]:
    used = {key for part in water.blends for key in part.blend.analytes}
    assumed = ", ".join(
        f"{analyte_of(one.analyte).title} up to {number(one.upper, 3)} "
        f"{analyte_of(one.analyte).unit} ({one.evidence})"
        for one in water.deionised
        if one.analyte in used
    )
    worst = worst_words(water.source_blends, _control_titles(water))
    if worst:
        yield Section("The worst sample of each source", worst)
    coming = source_words(water.outlook, _bounded_above(water))
    if coming:
        yield Section("The next sample of each source", coming)
    for section in sections:
        if section.title == "Assumptions":
            said = (f"Deionised water holds {assumed}.", BY_PROPORTION) if used else ()
            in_use = assumed_in_use(water.in_use)
            yield replace(section, items=(*section.items, *said, *in_use))
        else:
            yield section


def _control_titles(water: WaterAssessment) -> dict[str, str]:
    return {bound.key: bound.title for part in water.blends for bound in part.blend.bounds}


def _bounded_above(water: WaterAssessment) -> tuple[str, ...]:
    """Return the analytes that have an upper bound in the sets in use."""
    keys = (
        limit.analyte
        for part in water.blends
        for limit in part.limit_set.limits
        if any(bound.side == "upper" for bound in limit.bounds)
    )
    return tuple(dict.fromkeys(keys))
