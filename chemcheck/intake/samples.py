"""The columns of a file that say which sample a row is, and when and where it was taken."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.errors import UnitError
from chemcheck.intake.cells import AMBIGUOUS, ParsedCells, parse_cells
from chemcheck.intake.column_plan import Column
from chemcheck.intake.dates import parse_dates
from chemcheck.intake.headers import usual_role_unit
from chemcheck.intake.set_aside import ColumnLine, Lines
from chemcheck.intake.table import TextTable
from chemcheck.readings.record import BLANK, READ
from chemcheck.units import linear_map

AXES = ("hours", "distance", "days")
_TEXTS = ("sample_id", "unit_id", "sampling_point")
_OPEN_DATES = (
    "the day or the month first? nothing in the file decides; say --date-order dmy or "
    "--date-order mdy"
)


@dataclass(slots=True)
class SampleFacts:
    """What a file says of its samples, without their material.

    Parameters
    ----------
    columns : mapping of str to Series, each n_rows
        ``sample_id``, ``unit_id``, ``sampling_point``, ``taken_on`` and the usage axes;
        empty where the file has no such column.
    found : list of str
        What was recognised, in words.
    cells, whole : list of Lines, list of ColumnLine
        Cells set aside, alone and together.
    dates_as_written : Series or None
        The dates as text, where some were set aside.
    date_order : {"dmy", "mdy", "ymd"} or None
        The order of day and month, where the dates have one.
    """

    columns: dict[str, pd.Series]
    found: list[str] = field(default_factory=list)
    cells: list[Lines] = field(default_factory=list)
    whole: list[ColumnLine] = field(default_factory=list)
    dates_as_written: pd.Series | None = None
    date_order: str | None = None


def read_facts(
    table: TextTable,
    roles: Mapping[str, Column],
    decimal: str | None,
    order: str | None,
) -> SampleFacts:
    """Read which sample each row is, when it was taken, and how long its unit had run.

    Parameters
    ----------
    table : TextTable
        The file.
    roles : mapping of str to Column
        The column of each fact.
    decimal : {".", ","} or None
        The file's decimal mark.
    order : {"dmy", "mdy", "ymd"} or None
        The order of day and month; None lets the file decide.
    """
    facts = SampleFacts({})
    for role in _TEXTS:
        facts.columns[role] = text_column(table, roles.get(role))
    _read_dates(facts, table, roles.get("taken_on"), order)
    for role in AXES:
        _read_axis(facts, table, role, roles.get(role), decimal)
    return facts


def text_column(table: TextTable, column: Column | None) -> pd.Series:
    """Return a column as text, null where blank; without a column all null."""
    if column is None:
        return pd.Series(pa.nulls(len(table.row), pa.large_string()), dtype="str")
    texts = pc.utf8_trim_whitespace(table.text(column.place))
    blank = pc.equal(texts, "")
    if pc.any(blank).as_py():
        texts = pc.if_else(blank, None, texts)
    return pd.Series(texts.cast(pa.large_string()), dtype="str")


def _read_dates(
    facts: SampleFacts, table: TextTable, column: Column | None, order: str | None
) -> None:
    if column is None:
        never = pd.Series(pd.NaT, index=range(len(table.row)), dtype="datetime64[us]")
        facts.columns["taken_on"] = never
        return
    texts, codes = table.coded(column.place)
    dates = parse_dates(texts, order)
    facts.columns["taken_on"] = pd.Series(dates.values[codes])
    facts.date_order = dates.order_found
    if dates.order_found or dates.ambiguous.any():
        facts.found.append(f"dates: {dates.why}")
    if dates.bad.any():
        said = pa.array(["expected a date, such as 2025-04-03"] * len(texts), pa.string())
        facts.cells.append(_lines(table, column, texts, codes, dates.bad, said))
    if dates.ambiguous.any():
        sample = np.flatnonzero(dates.ambiguous[codes])
        if len(sample):
            text = texts[int(codes[sample[0]])].as_py()
            facts.whole.append(ColumnLine(column.title, sample, text, _OPEN_DATES))
    if dates.bad.any() or dates.ambiguous.any():
        facts.dates_as_written = text_column(table, column)


def _read_axis(
    facts: SampleFacts,
    table: TextTable,
    role: str,
    column: Column | None,
    decimal: str | None,
) -> None:
    if column is None:
        facts.columns[role] = pd.Series(np.full(len(table.row), np.nan))
        return
    texts, codes = table.coded(column.place)
    target = str(usual_role_unit(role))
    parsed = parse_cells(texts, decimal)
    values, said = _in_unit(parsed, column.header.unit_text or target, target)
    facts.columns[role] = pd.Series(values[codes])
    problems = pa.array(said, pa.string())
    wrong = np.asarray(problems.is_valid())
    open_mark = parsed.kind == AMBIGUOUS
    if (wrong & ~open_mark).any():
        facts.cells.append(_lines(table, column, texts, codes, wrong & ~open_mark, problems))
    sample = np.flatnonzero(open_mark[codes])
    if len(sample):
        code = int(codes[sample[0]])
        problem = parsed.problems[parsed.problem[code]]
        facts.whole.append(ColumnLine(column.title, sample, texts[code].as_py(), problem))


def _in_unit(
    parsed: ParsedCells, stated: str, target: str
) -> tuple[npt.NDArray[np.float64], list[str | None]]:
    """Return each distinct number in a unit, and what is wrong where there is none."""
    values = np.where(parsed.lower == parsed.upper, parsed.lower, np.nan)
    said: list[str | None] = [None] * len(values)
    for code in np.unique(parsed.unit).tolist():
        here = parsed.unit == code
        try:
            change = linear_map(stated if code < 0 else parsed.units[code], target)
        except UnitError as error:
            values[here] = np.nan
            for place in np.flatnonzero(here).tolist():
                said[place] = str(error)
        else:
            values[here] = change(values[here])
    usable = (parsed.kind == READ) & (values >= 0)
    values[~usable] = np.nan
    for place in np.flatnonzero(~usable & (parsed.kind != BLANK)).tolist():
        if parsed.problem[place] >= 0:
            said[place] = parsed.problems[parsed.problem[place]]
        elif said[place] is None:
            said[place] = f"expected a number of {target}, 0 or more"
    return values, said


def _lines(
    table: TextTable,
    column: Column,
    texts: pa.Array,
    codes: npt.NDArray[np.int32],
    wrong: npt.NDArray[np.bool_],
    said: pa.Array,
) -> Lines:
    """Write a line for each row whose distinct text is wrong."""
    sample = np.flatnonzero(wrong[codes])
    chosen = pa.array(codes[sample])
    return Lines(column.title, table.row[sample], texts.take(chosen), said.take(chosen), sample)
