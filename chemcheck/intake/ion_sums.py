"""Ions written in equivalents, proved by the sums of cations and anions beside them.

Milligrams of different ions add up to nothing that a laboratory would print; where the plain
sum of the columns is the sum of cations (or anions), they are equivalents.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import analyte, plain_name
from chemcheck.errors import UnitError
from chemcheck.intake.cells import parse_cells
from chemcheck.intake.choices import Choices
from chemcheck.intake.column_plan import Column, ColumnPlan
from chemcheck.intake.decimal_mark import decimal_evidence
from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list
from chemcheck.readings.record import READ
from chemcheck.units import parse_unit

_LOOKED_AT = 5_000  # rows
_UNIT = "meq/L"
# Alkalinity has no charge of its own, and is an anion in every balance.
_ALKALINITY = "total_alkalinity"


def with_equivalents(plan: ColumnPlan, table: TextTable, choices: Choices) -> ColumnPlan:
    """Give ions without a unit the equivalents that the sums beside them prove.

    Parameters
    ----------
    plan : ColumnPlan
        What the columns are by their titles.
    table : TextTable
        The file.
    choices : Choices
        What the user settled.

    Returns
    -------
    ColumnPlan
        The same where no column is a sum of ions, or the ions do not add up to it.
    """
    sums = {kind: column for column in plan.free.values() if (kind := _kind(column.title))}
    if not sums:
        return plan
    decimal = choices.decimal
    if decimal is None:
        texts = {c.title: table.coded(c.place)[0] for c in (*plan.readings, *sums.values())}
        decimal = decimal_evidence(texts, table.layout.separator).mark
    proved: dict[int, str] = {}
    for kind, total in sums.items():
        ions = [c for c in plan.readings if _charge(c) == kind and c.header.unit_text is None]
        unit = _stated_unit(total.title) or _UNIT
        if len(ions) > 1 and _adds_up(table, ions, total, decimal):
            proved |= {column.place: unit for column in ions}
    if not proved:
        return plan
    readings = tuple(
        replace(c, header=replace(c.header, unit_text=proved[c.place])) if c.place in proved else c
        for c in plan.readings
    )
    titles = ", ".join(c.title for c in readings if c.place in proved)
    named = " and ".join(total.title for total in sums.values())
    units = " and ".join(dict.fromkeys(proved.values()))
    said = f"no unit stated: in {units}, because their plain sums are {named}"
    return replace(plan, readings=readings, assumptions=(*plan.assumptions, (titles, said)))


@cache
def _kinds() -> dict[str, str]:
    lists = word_list("ion_sums")
    return {plain_name(str(name)): kind for kind in ("cations", "anions") for name in lists[kind]}


def _kind(title: str) -> str | None:
    """Say which sum a title names; a unit in brackets is left out."""
    bare = title.partition("(")[0].partition("[")[0]
    return _kinds().get(plain_name(title)) or _kinds().get(plain_name(bare))


def _stated_unit(title: str) -> str | None:
    """Return the unit in a title's brackets, where it counts equivalents."""
    for mark, end in ("()", "[]"):
        unit = title.partition(mark)[2].partition(end)[0]
        try:
            if unit and parse_unit(unit).dimension == "equivalent concentration":
                return unit
        except UnitError:
            continue
    return None


def _charge(column: Column) -> str | None:
    """Say in which sum a column's analyte counts."""
    known = analyte(str(column.header.analyte))
    if known.key == _ALKALINITY:
        return "anions"
    if not known.charge:
        return None
    return "cations" if known.charge > 0 else "anions"


def _adds_up(table: TextTable, ions: Sequence[Column], total: Column, decimal: str | None) -> bool:
    """Say whether the plain numbers of the ions add up to the sum."""
    settings = word_list("ion_sums")
    stated = _numbers(table, total, decimal)
    added = np.nansum([_numbers(table, column, decimal) for column in ions], axis=0)
    known = np.isfinite(stated) & (stated > 0)
    near = np.abs(added - stated) <= float(settings["tolerance"]) * stated
    rows = int(known.sum())
    return (
        rows >= int(settings["least_rows"])
        and int((near & known).sum()) >= float(settings["share"]) * rows
    )


def _numbers(table: TextTable, column: Column, decimal: str | None) -> npt.NDArray[np.float64]:
    """Return the exact numbers of a column's first rows, NaN elsewhere."""
    texts, codes = table.coded(column.place)
    parsed = parse_cells(texts, decimal)
    exact = (parsed.kind == READ) & (parsed.lower == parsed.upper)
    return np.asarray(np.where(exact, parsed.lower, np.nan)[codes[:_LOOKED_AT]])
