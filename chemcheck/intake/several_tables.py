"""Several tables in one file, one below the other: each is read by its own header."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pyarrow.compute as pc

from chemcheck.errors import IntakeError
from chemcheck.intake.encoding import TextFile
from chemcheck.intake.format import find_format
from chemcheck.intake.table import TextTable, read_table

# A header has as many known titles at least, and of rows that do not fit so many are looked at.
_LEAST_TITLES = 2
_MISFITS = 500
# Rows of names and units below a header.
_HEADER_ROWS = 4

Known = Callable[[str], bool]


def split_tables(file: TextFile, table: TextTable, known: Known) -> tuple[TextTable, ...]:
    r"""Read the tables that stand below each other in a file.

    Parameters
    ----------
    file : TextFile
        The file.
    table : TextTable
        All of it, read by its first header.
    known : callable
        Says whether a title means something.

    Returns
    -------
    tuple of TextTable
        The table alone where no other header stands in it: a row that begins as the header
        does, or that does not fit, and holds titles and no number.

    Examples
    --------
    >>> text = b"Sample No,pH,Cl\nA,7.5,12\n\nSample No,SO4,TH\nA,20,100\n"
    >>> file, known = TextFile("a.csv", text, "UTF-8"), {"Sample No", "pH", "Cl", "SO4", "TH"}
    >>> table = read_table(file, find_format(file, known.__contains__))
    >>> for one in split_tables(file, table, known.__contains__):
    ...     print(one.layout.header, one.row, one.found)
    ('Sample No', 'pH', 'Cl') [2] UTF-8, comma between columns; table 1 of 2
    ('Sample No', 'SO4', 'TH') [5] UTF-8, comma between columns; header in row 4; table 2 of 2
    """
    rows = [row for row, cells in _candidates(table) if _is_header(cells, known)]
    first_result = _first_row_with_a_number(table)
    rows = [row for row in rows if row > first_result]  # until then the header goes on
    if not rows:
        return (table,)
    starts = _starts(file, table, rows)
    ends = [*starts, len(file.data)]
    first = replace(file, data=file.data[: ends[0]])
    tables = [read_table(first, table.layout)] if ends[0] > table.layout.body else []
    for row, (start, end) in zip(rows, pairwise(ends), strict=True):
        part = replace(file, data=file.data[start:end])
        try:
            tables.append(_moved(read_table(part, find_format(part, known, 1)), row - 1))
        except IntakeError as error:
            problems = [replace(one, row=row) for one in error.problems]
            tables[-1] = replace(tables[-1], rejected=(*tables[-1].rejected, *problems))
    return tuple(
        replace(one, part=f"table {k} of {len(tables)}") for k, one in enumerate(tables, start=1)
    )


def _candidates(table: TextTable) -> list[tuple[int, list[str]]]:
    """Return row and cells of what may be another header, in the order of the file."""
    header = table.layout.header
    place = next((k for k, title in enumerate(header) if title), 0)
    column = table.cells.column(place)
    at = np.flatnonzero(np.asarray(pc.equal(column.cast("string"), header[place]).combine_chunks()))
    found = [
        (int(table.row[k]), [str(column[k].as_py()) for column in table.cells.columns])
        for k in at.tolist()
    ]
    for problem in table.rejected[:_MISFITS]:
        if problem.row is not None:
            cells = [cell.strip(' "') for cell in problem.text.split(table.layout.separator)]
            if cells != list(header):
                found.append((problem.row, cells))
    return sorted(found)


def _is_header(cells: Sequence[str], known: Known) -> bool:
    """Say whether cells are titles: most of them known, and none a number."""
    filled = [cell.strip() for cell in cells if cell.strip()]
    if any(map(_is_number, filled)):
        return False
    titles = sum(map(known, filled))
    return titles >= _LEAST_TITLES and 2 * titles >= len(filled)


def _is_number(cell: str) -> bool:
    return cell[0].isdigit() or cell[0] in "<>-+."


def _first_row_with_a_number(table: TextTable) -> int:
    """Return the row in which results begin; a header of several rows ends before it."""
    for k in range(min(len(table.row), _HEADER_ROWS)):
        cells = [str(column[k].as_py()).strip() for column in table.cells.columns]
        if any(_is_number(cell) for cell in cells if cell):
            return int(table.row[k])
    return int(table.row[min(len(table.row), _HEADER_ROWS) - 1]) if len(table.row) else 0


def _starts(file: TextFile, table: TextTable, rows: Sequence[int]) -> list[int]:
    """Return where rows begin in the data [bytes]; a quoted cell may hold line ends."""
    starts: list[int] = []
    layout = table.layout
    row, place, wanted = layout.header_row + 1, layout.body, set(rows)
    while len(starts) < len(rows) and place < len(file.data):
        if row in wanted:
            starts.append(place)
        end = file.data.find(layout.line_end, place)
        while end >= 0 and file.data.count(b'"', place, end) % 2:
            end = file.data.find(layout.line_end, end + 1)
        if end < 0:
            break
        place, row = end + len(layout.line_end), row + 1
    return starts


def _moved(table: TextTable, rows: int) -> TextTable:
    """Count the rows of a table from the top of its file."""
    layout = replace(table.layout, header_row=table.layout.header_row + rows)
    rejected = tuple(
        problem if problem.row is None else replace(problem, row=problem.row + rows)
        for problem in table.rejected
    )
    return replace(table, layout=layout, row=table.row + rows, rejected=rejected)
