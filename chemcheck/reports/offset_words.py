"""How far methods and laboratories read apart, as lines of text and as a part of a document."""

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from chemcheck.analytes import analyte
from chemcheck.assessment.method_offsets import MOST_LEVELS, MethodOffsets
from chemcheck.assessment.offset_priors import MethodLevel
from chemcheck.limit_library import methods
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.record import Readings
from chemcheck.reports.listed_lines import listed_lines
from chemcheck.reports.numbers import counted, number
from chemcheck.reports.text_layout import TIED

# Heading of the lines.
OFFSETS = "Methods and laboratories that read apart"


def offset_document(readings: Readings, offsets: Sequence[MethodOffsets]) -> list[dict[str, Any]]:
    """Return offsets as a document can hold them.

    Parameters
    ----------
    readings : Readings
        The samples.
    offsets : sequence of MethodOffsets
        What was found of them.

    Returns
    -------
    list of dict
        One an analyte, technology and level beside the reference: ``analyte``, ``basis``,
        ``technology``, ``method``, ``laboratory``, ``reference`` (its method and laboratory),
        ``unit`` (``%`` of a factor, else the analyte's), ``offset`` and ``deviation`` in it,
        ``prior_deviation``, ``readings``, ``reference_readings``, ``told`` (whether the readings
        tell it, or the prior alone).
    """
    return [entry for one in offsets for entry in _entries(readings, one)]


def offset_lines(readings: Readings, offsets: Sequence[MethodOffsets]) -> list[str]:
    """Name each method and laboratory whose readings stand off, once, with all its analytes.

    Parameters
    ----------
    readings : Readings
        The samples.
    offsets : sequence of MethodOffsets
        What was found of them.

    Returns
    -------
    list of str
        Empty where no offset is beyond one standard deviation, and each was told.
    """
    said: dict[tuple[str, str], list[str]] = {}
    untold: dict[tuple[str, str], list[str]] = {}
    least = check_settings("method_offsets")["said_from"].value
    for entry in offset_document(readings, offsets):
        beside = entry["reference"]
        named = bool(entry["laboratory"] or beside["laboratory"])
        who = _who(entry["method"], entry["laboratory"], named), _who(**beside, named=named)
        name = analyte(entry["analyte"]).title.lower() if entry["analyte"] != "ph" else "pH"
        if entry["technology"] and len({one.technology for one in offsets}) > 1:
            name = f"{name} of {entry['technology']}"
        unit = f"{TIED}{entry['unit']}" if entry["unit"] else ""
        if not entry["told"]:
            untold.setdefault(who, []).append(f"{name} {number(entry['deviation'], 2)}{unit}")
        elif abs(entry["offset"]) >= least * entry["deviation"]:
            sign = "+" if entry["offset"] > 0 else "\u2212"
            size, unsure = (number(abs(entry[key]), 2) for key in ("offset", "deviation"))
            said.setdefault(who, []).append(
                f"{name} {sign}{size} ± {unsure}{unit} ({counted(entry['readings'], 'reading')})"
            )
    lines = [
        f"{who[0].upper()}{who[1:]} reads beside {beside}: {', '.join(parts)}. Estimated with the "
        "trends (± one standard deviation) and taken off before they were fitted."
        for (who, beside), parts in said.items()
    ]
    least = check_settings("method_offsets")["least_shared"].value
    lines += [
        f"{who[0].upper()}{who[1:]} could not be compared with {beside}: that takes {least:g} "
        f"readings of each from a time at which both were in use, and of at most {MOST_LEVELS + 1} "
        "methods and laboratories those with most readings are compared. How far it reads apart "
        f"was taken as nothing, with a standard deviation of {', '.join(parts)}."
        for (who, beside), parts in untold.items()
    ]
    return listed_lines(lines)


def _entries(readings: Readings, one: MethodOffsets) -> Iterator[dict[str, Any]]:
    """Return what a document says of the levels of one analyte in one technology."""
    column = readings.columns[one.column]
    size, unsure, before = one.offset, one.deviation, one.prior.deviation
    unit = analyte(column.analyte).unit
    if one.prior.relative:
        unit = "%"
        size, unsure = 100.0 * np.expm1(size), 100.0 * np.exp(size) * unsure
        before = 100.0 * before
    for k, level in enumerate(one.levels[1:]):
        yield {
            "analyte": column.analyte,
            "basis": column.basis,
            "technology": one.technology,
            "method": level.method,
            "laboratory": level.laboratory,
            "reference": _document(one.levels[0]),
            "unit": unit,
            "offset": float(size[k]),
            "deviation": float(unsure[k]),
            "prior_deviation": float(before[k]),
            "readings": int(one.counts[k + 1]),
            "reference_readings": int(one.counts[0]),
            "told": bool(one.told[k]),
        }


def _document(level: MethodLevel) -> dict[str, str | None]:
    return {"method": level.method, "laboratory": level.laboratory}


def _who(method: str | None, laboratory: str | None, named: bool) -> str:
    """Name who measured; a method of the library by its title.

    ``named`` says whether the one or the other states its laboratory.

    Examples
    --------
    >>> _who("ICP", "North", True), _who("laboratory_coolant", None, False), _who("ICP", None, True)
    ('laboratory North (ICP)', 'laboratory, coolant', 'ICP, laboratory not stated')
    """
    known = methods().get(method or "")
    way = method if known is None else known.title[0].lower() + known.title[1:]
    if laboratory:
        return f"laboratory {laboratory}" + (f" ({way})" if way else "")
    way = way or "method not stated"
    return f"{way}, laboratory not stated" if named else way
