"""The records of a text table: whole columns at once, and whatever does not fit them."""

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as arrow_csv

from chemcheck.intake.format import Format

_BLOCK = 1 << 22  # read at once, and the longest record that can be read [bytes]
_LONGEST_LINE = 1 << 20
_SHOWN = 200  # of a record that does not fit [characters]
# A line inside a quoted cell that holds this many separators was a record of its own.
_FEWEST_SEPARATORS, _MOST_SEPARATORS = 3, 30


@dataclass(frozen=True, slots=True)
class Misfit:
    """A record that is no row of the table.

    Parameters
    ----------
    number : int
        Its place among the records below the header, from 1; empty lines count.
    text : str
        The record.
    problem : str
        Why it does not fit.
    """

    number: int
    text: str
    problem: str


@dataclass(frozen=True, slots=True)
class Records:
    """All records of a table.

    Parameters
    ----------
    cells : pyarrow.Table
        Text, a column for each name of the header; an empty line is a row of empty cells.
    number : ndarray of int64
        The place of each row among the records below the header, from 1.
    misfits : list of Misfit
        The records that are no rows.
    """

    cells: pa.Table
    number: npt.NDArray[np.int64]
    misfits: list[Misfit]


def read_records(
    data: bytes, start: int, layout: Format, types: Mapping[str, pa.DataType]
) -> Records:
    r"""Split text into records and cells, on all cores.

    Quoted cells may hold separators and line breaks. Where a quotation mark that is never
    closed would swallow the rows that follow, or a line is longer than any row can be, the
    text is read line by line instead, and only the lines in question do not fit.

    Parameters
    ----------
    data : bytes
        The text as UTF-8.
    start : int
        Where the record after the header begins.
    layout : Format
        The separator and the line end.
    types : mapping of str to DataType
        By column, in the header's order: text, or dictionary-encoded text.

    Raises
    ------
    pyarrow.ArrowInvalid
        Where the text is no table at all.

    Examples
    --------
    >>> layout = Format(",", b"\n", ("unit", "pH"), 1, 0)
    >>> types = {"unit": pa.string(), "pH": pa.string()}
    >>> records = read_records(b'A,7.8\nB\n"C\nd",8\n', 0, layout, types)
    >>> records.cells.to_pydict(), records.number.tolist()
    ({'unit': ['A', 'C\nd'], 'pH': ['7.8', '8']}, [1, 3])
    >>> records.misfits
    [Misfit(number=2, text='B', problem='1 cell, 2 expected: the row is cut short')]
    """
    source = _Source(data, start, layout, types, data.find(b'"', start) >= 0)
    try:
        cells, ill_formed = source.parse()
    except pa.ArrowInvalid:  # a record longer than a block
        return _line_by_line(source)
    if source.quoted and _swallowed(cells, ill_formed, layout):
        return _line_by_line(source)
    return _numbered(cells, ill_formed, layout)


@dataclass(frozen=True, slots=True)
class _Source:
    """The text and how it is to be read."""

    data: bytes
    start: int
    layout: Format
    types: Mapping[str, pa.DataType]
    quoted: bool

    def parse(self) -> tuple[pa.Table, list[Any]]:
        """Return the cells, and the records with another number of them.

        The place of a record is known only where one core reads from the first to the
        last: where there are such records, a second pass finds their places.
        """
        ill_formed: list[Any] = []

        def note(record: Any) -> str:
            ill_formed.append(record)
            return "skip"

        cells = self._read(note, list(self.types), threads=True)
        if ill_formed:
            ill_formed.clear()
            self._read(note, list(self.types)[:1], threads=False)
        return cells, ill_formed

    def _read(self, handler: Any, columns: list[str], *, threads: bool) -> pa.Table:
        return arrow_csv.read_csv(
            pa.BufferReader(pa.py_buffer(self.data).slice(self.start)),
            arrow_csv.ReadOptions(
                column_names=list(self.types), block_size=_BLOCK, use_threads=threads
            ),
            arrow_csv.ParseOptions(
                delimiter=self.layout.separator,
                quote_char='"' if self.quoted else False,
                newlines_in_values=self.quoted,
                ignore_empty_lines=False,
                invalid_row_handler=handler,
            ),
            arrow_csv.ConvertOptions(
                column_types=self.types, include_columns=columns, strings_can_be_null=False
            ),
        )


def _numbered(cells: pa.Table, ill_formed: list[Any], layout: Format) -> Records:
    """Say in which record each row stands, and bring in rows that only end in empty cells."""
    number = np.arange(1, cells.num_rows + len(ill_formed) + 1)
    if not ill_formed:
        return Records(cells, number, [])
    number = np.delete(number, [record.number - 1 for record in ill_formed])
    width = len(layout.header)
    misfits, fitting = [], {}
    for record in ill_formed:
        fields = _fields(record.text, layout.separator)
        if fields is None or any(fields[width:]) or len(fields) < width:
            if fields is None or any(fields):
                misfits.append(Misfit(record.number, record.text[:_SHOWN], _misfit(record, width)))
        elif any(fields):
            fitting[record.number] = fields[:width]
    if fitting:
        columns = map(pa.array, zip(*fitting.values(), strict=True))
        more = pa.table(dict(zip(cells.column_names, columns, strict=True)))
        cells = pa.concat_tables([cells, more.cast(cells.schema)])
        number = np.concatenate([number, np.fromiter(fitting, np.int64)])
        order = np.argsort(number)
        cells, number = cells.unify_dictionaries().take(pa.array(order)), number[order]
    return Records(cells, number, misfits)


def _fields(text: str, separator: str) -> list[str] | None:
    """Split one record; None where a cell is longer than any cell can be."""
    try:
        return [field.strip() for field in next(csv.reader([text], delimiter=separator), [])]
    except csv.Error:
        return None


def _misfit(record: Any, width: int) -> str:
    found = f"{record.actual_columns} cell{'s' if record.actual_columns != 1 else ''}"
    if record.actual_columns < width:
        return f"{found}, {width} expected: the row is cut short"
    return f"{found}, {width} expected: a separator stands inside a cell without quotation marks"


def _swallowed(cells: pa.Table, ill_formed: list[Any], layout: Format) -> bool:
    """Say whether a quoted cell holds rows of the table: its mark was never closed."""
    width, mark = len(layout.header) - 1, re.escape(layout.separator)
    row_inside = rf"[\r\n](?:[^\r\n{mark}]*{mark}){{%d}}"
    misfit = re.compile(row_inside % min(max(width, 1), _MOST_SEPARATORS))
    if any(misfit.search(record.text) for record in ill_formed):
        return True
    # A remark of several lines may hold a separator or two.
    row_inside %= min(max(width, _FEWEST_SEPARATORS), _MOST_SEPARATORS)
    for chunk in (chunk for column in cells.columns for chunk in column.chunks):
        texts = chunk.dictionary if pa.types.is_dictionary(chunk.type) else chunk
        if not pc.any(pc.match_substring_regex(texts, "[\r\n]")).as_py():
            continue
        if pc.any(pc.match_substring_regex(texts, row_inside)).as_py():
            return True
    return False


def _line_by_line(source: _Source) -> Records:
    """Read each line as a record; a line that cannot be one becomes an empty line."""
    end = source.layout.line_end
    lines = source.data[source.start :].split(end)
    misfits = []
    for place, line in enumerate(lines):
        if len(line) > _LONGEST_LINE:
            problem = f"the line is longer than {_LONGEST_LINE:,} bytes"
        elif line.count(b'"') % 2:
            problem = "a quotation mark is not closed in the line it opens in"
        else:
            continue
        misfits.append(Misfit(place + 1, line[:_SHOWN].decode("utf-8", "replace"), problem))
        lines[place] = b""
    clean = _Source(end.join(lines), 0, source.layout, source.types, source.quoted)
    records = _numbered(*clean.parse(), source.layout)
    misfits = sorted([*records.misfits, *misfits], key=lambda misfit: misfit.number)
    return Records(records.cells, records.number, misfits)
