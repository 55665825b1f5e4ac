"""Logs kept by hand: ditto marks, and one line for several units."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.intake.choices import Choices
from chemcheck.intake.column_plan import Column
from chemcheck.intake.ditto import blocks, ditto_texts, filled
from chemcheck.intake.several_units import units_of
from chemcheck.intake.table import TextTable
from chemcheck.limit_library import find_method

# Facts of a row that a ditto mark repeats; a sample's own number is never another's.
_REPEATED = (
    "unit_id",
    "taken_on",
    "sampling_point",
    "material",
    "technology",
    "glycol_type",
    "sample_type",
    "method",
    "laboratory",
    "lot",
    "hours",
    "distance",
    "days",
)
# A log of more rows was written by no hand.
_MOST_ROWS = 100_000
COPIED = "copied"


@dataclass(frozen=True, slots=True)
class Log:
    """A table as a person meant it.

    Parameters
    ----------
    table : TextTable
        With facts in place of ditto marks, and a row for each unit.
    copies_results : bool
        Whether a ditto mark in a result stands for the result above.
    assumptions : tuple of (str or None, str)
        What was taken for granted.
    """

    table: TextTable
    copies_results: bool
    assumptions: tuple[tuple[str | None, str], ...] = ()


def as_meant(table: TextTable, roles: Mapping[str, Column], choices: Choices) -> Log:
    """Write out what a log kept by hand leaves to its reader.

    Parameters
    ----------
    table : TextTable
        The file.
    roles : mapping of str to Column
        The columns of facts about the sample.
    choices : Choices
        What the user settled.

    Returns
    -------
    Log
        Ditto marks in results count where the file has them in its facts as well, where
        its rows were measured by strip or kit, or where the user says so.
    """
    if len(table.row) > _MOST_ROWS:
        return Log(table, choices.ditto == COPIED)
    said: list[tuple[str | None, str]] = []
    marks = 0
    if choices.ditto in (None, COPIED):
        table, titles, marks = _facts_filled(table, roles)
        if marks:
            times = "1 ditto mark takes" if marks == 1 else f"{marks:,} ditto marks take"
            said.append((", ".join(titles), f"{times} what stands above"))
    table, split = _a_row_for_each_unit(table, roles, choices)
    said += split
    by_hand = marks > 0 or _by_strip_or_kit(table, roles, choices)
    copies = choices.ditto == COPIED or (choices.ditto is None and by_hand)
    return Log(table, copies, tuple(said))


def _facts_filled(
    table: TextTable, roles: Mapping[str, Column]
) -> tuple[TextTable, list[str], int]:
    """Put what stands above in place of ditto marks, and count them by column."""
    cells, titles, marks = table.cells, [], 0
    for role in _REPEATED:
        if role not in roles:
            continue
        place = roles[role].place
        texts, codes = table.coded(place)
        ditto = ditto_texts(texts)
        if not ditto.any() or not ditto[codes].any():
            continue
        empty = np.asarray(pc.equal(pc.utf8_trim_whitespace(texts), ""))
        meant = filled(codes, ditto, empty, blocks(table.row, table.rejected))
        titles.append(roles[role].title)
        marks += int((meant != codes).sum())
        cells = cells.set_column(place, cells.column_names[place], texts.take(pa.array(meant)))
    return (replace(table, cells=cells) if titles else table), titles, marks


def _a_row_for_each_unit(
    table: TextTable, roles: Mapping[str, Column], choices: Choices
) -> tuple[TextTable, list[tuple[str | None, str]]]:
    """Repeat a row for every unit that it names."""
    column = roles.get("unit_id")
    if column is None or choices.one_unit_a_line:
        return table, []
    texts, codes = table.coded(column.place)
    alone = {(text or "").strip() for text in texts.to_pylist()}
    named = [units_of(text, alone) if text else [text] for text in texts.to_pylist()]
    many = np.array([len(names) for names in named], dtype=np.int64)[codes]
    if "sample_id" in roles:  # one bottle is no sample of several units
        numbered = pc.utf8_trim_whitespace(table.text(roles["sample_id"].place))
        many[np.asarray(pc.not_equal(numbered, ""))] = 1
    if not (many > 1).any():
        return table, []
    rows = np.repeat(np.arange(len(codes)), many)
    turn = np.arange(len(rows)) - np.repeat(np.cumsum(many) - many, many)
    units = [
        named[codes[row]][k] if many[row] > 1 else texts[int(codes[row])].as_py()
        for row, k in zip(rows.tolist(), turn.tolist(), strict=True)
    ]
    cells = table.cells.take(pa.array(rows))
    cells = cells.set_column(
        column.place, cells.column_names[column.place], pa.array(units, pa.string())
    )
    lines = int((many > 1).sum())
    said = f"{lines:,} line{'s name' if lines > 1 else ' names'} several units: a sample of each"
    return replace(table, cells=cells, row=table.row[rows]), [(column.title, said)]


def _by_strip_or_kit(table: TextTable, roles: Mapping[str, Column], choices: Choices) -> bool:
    """Say whether any row was measured by strip or kit."""
    names = [choices.method]
    if "method" in roles:
        names += table.coded(roles["method"].place)[0].to_pylist()
    found = [
        find_method(name, material) for name in names if name for material in ("water", "coolant")
    ]
    return any(one is not None and one.kind in ("strip", "kit") for one in found)
