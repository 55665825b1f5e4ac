"""The rows of a text table as columns of text, and the row each stands in."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.errors import IntakeError, Problem
from chemcheck.intake.encoding import TextFile
from chemcheck.intake.format import SEPARATORS, Format
from chemcheck.intake.records import read_records

_CODED = pa.dictionary(pa.int32(), pa.string())
_SAMPLED = 1 << 20  # bytes
_PROBED = 100_000  # rows
_NOT_TEXT = "\N{REPLACEMENT CHARACTER}"


@dataclass(frozen=True, slots=True)
class TextTable:
    """A table whose cells are still text.

    Parameters
    ----------
    name : str
        The file as the user named it.
    encoding : str
        What it was written in.
    layout : Format
        Its header and separator.
    cells : pyarrow.Table, n_rows rows
        One column of text for each name of the header, called by its place: ``"0"``, ...
        Columns whose texts repeat are dictionary-encoded: each distinct text stands once.
    row : ndarray of int64, shape (n_rows,)
        The row of each as a spreadsheet numbers it.
    rejected : tuple of Problem
        Rows of which nothing can be used.
    part : str
        Which part of the file it is, in words; empty where it is all of it.
    transposed : bool
        Whether it was turned over, so that ``row`` numbers the columns of the file.
    """

    name: str
    encoding: str
    layout: Format
    cells: pa.Table
    row: npt.NDArray[np.int64]
    rejected: tuple[Problem, ...]
    part: str = ""
    transposed: bool = False

    @property
    def rows_read(self) -> int:
        """Rows with anything in them, those rejected included."""
        return len(self.row) + len(self.rejected)

    @property
    def found(self) -> str:
        """What was recognised of the file's form, in words."""
        mark, row = self.layout.separator, self.layout.header_row
        form = f"{self.encoding}, {SEPARATORS.get(mark, repr(mark))} between columns"
        form = form if row == 1 else f"{form}; header in row {row}"
        return f"{form}; {self.part}" if self.part else form

    def without_first(self, rows: int) -> "TextTable":
        """Return the table without its first rows."""
        if not rows:
            return self
        return replace(self, cells=self.cells.slice(rows), row=self.row[rows:])

    def text(self, place: int) -> pa.Array:
        """Return one column as text."""
        column = self.cells.column(place)
        if pa.types.is_dictionary(column.type):
            column = column.cast(pa.string())
        return _one_array(column)

    def coded(self, place: int) -> tuple[pa.Array, npt.NDArray[np.int32]]:
        """Return the distinct texts of one column, and which of them each row has.

        A text that only rejected rows had may be among them; and where nearly every row
        has a number of its own, a number may stand more than once: finding out which do
        would cost more than it saves.
        """
        column = self.cells.column(place)
        if pa.types.is_dictionary(column.type):
            array = _one_array(column.unify_dictionaries())
            return array.dictionary, _indices(array)
        texts = _one_array(column)
        probe = texts.slice(0, _PROBED)
        if len(texts) <= _PROBED or 2 * pc.count_distinct(probe).as_py() < len(probe):
            array = texts.dictionary_encode()
            return array.dictionary, _indices(array)
        return _numbers_apart(texts)


def read_table(file: TextFile, layout: Format) -> TextTable:
    r"""Read all rows below the header as text.

    Parameters
    ----------
    file : TextFile
        The file.
    layout : Format
        Its header and separator.

    Returns
    -------
    TextTable
        Rows with too few or too many cells, rows not in the file's encoding and
        repetitions of the header are rejected; the others go on. Rows without anything
        in them are passed over.

    Raises
    ------
    IntakeError
        Where nothing stands below the header.

    Examples
    --------
    >>> from chemcheck.intake.format import find_format
    >>> file = TextFile("a.csv", b"Sample No,pH\nA,7.8\n\nB\nC,<7\n", "UTF-8")
    >>> table = read_table(file, find_format(file, {"pH"}.__contains__))
    >>> table.cells.to_pydict(), table.row.tolist(), table.rows_read
    ({'0': ['A', 'C'], '1': ['7.8', '<7']}, [2, 5], 3)
    >>> print(table.rejected[0])
    a.csv, row 4: 'B': 1 cell, 2 expected: the row is cut short
    """
    if not file.data[layout.body : layout.body + 1]:
        raise IntakeError([Problem(file.name, None, None, "", "no rows below the header")])
    try:
        records = read_records(file.data, layout.body, layout, _column_types(file.data, layout))
    except pa.ArrowInvalid as error:
        problem = f"not a table that can be read: {error}"
        raise IntakeError([Problem(file.name, None, None, "", problem)]) from None
    cells, row = records.cells, layout.header_row + records.number
    rejected = [
        Problem(file.name, layout.header_row + misfit.number, None, misfit.text, misfit.problem)
        for misfit in records.misfits
    ]
    dropped = np.zeros(len(row), dtype=bool)
    dropped[_blank_rows(cells)] = True
    for place, problem in _unusable_rows(file, cells, layout):
        if not dropped[place]:
            text = layout.separator.join(cells.slice(place, 1).to_pylist()[0].values())
            rejected.append(Problem(file.name, int(row[place]), None, text, problem))
            dropped[place] = True
    if dropped.any():
        cells, row = cells.filter(pa.array(~dropped)), row[~dropped]
    if not len(row) and not rejected:
        raise IntakeError([Problem(file.name, None, None, "", "no rows below the header")])
    rejected.sort(key=lambda problem: problem.row or 0)
    return TextTable(file.name, file.encoding, layout, cells, row, tuple(rejected))


def _unusable_rows(file: TextFile, cells: pa.Table, layout: Format) -> Iterator[tuple[int, str]]:
    for place in _repeated_header(cells, layout).tolist():
        yield place, "the header once more, in the middle of the rows"
    if file.mixed:
        for place in _garbled_rows(cells).tolist():
            yield place, f"not {file.encoding} as the other rows are: mixed encodings"


def _column_types(data: bytes, layout: Format) -> dict[str, pa.DataType]:
    """Choose the columns to code: those whose texts repeat in the first rows.

    Where nearly every row has a text of its own, coding costs more than it saves.
    """
    types = {str(place): pa.string() for place in range(len(layout.header))}
    end = data.rfind(layout.line_end, layout.body, layout.body + _SAMPLED)
    if len(data) - layout.body <= _SAMPLED or end < 0:
        return types
    with suppress(pa.ArrowInvalid):
        cells = read_records(data[layout.body : end], 0, layout, types).cells
        for name, column in zip(types, cells.columns, strict=True):
            if 2 * pc.count_distinct(column).as_py() < len(column):
                types[name] = _CODED
    return types


def _one_array(column: pa.ChunkedArray) -> pa.Array:
    """Join the chunks (none at all still make an array)."""
    if column.num_chunks == 1:
        return column.chunk(0)
    joined = column.combine_chunks()
    return joined if isinstance(joined, pa.Array) else pa.array([], column.type)


def _indices(array: pa.DictionaryArray) -> npt.NDArray[np.int32]:
    return np.asarray(array.indices.to_numpy(zero_copy_only=False))


def _numbers_apart(texts: pa.Array) -> tuple[pa.Array, npt.NDArray[np.int32]]:
    """Code a column, each text that begins with a digit for itself."""
    digit = pc.and_(pc.greater_equal(texts, "0"), pc.less(texts, ":"))
    numbers, others = texts.filter(digit), texts.filter(pc.invert(digit)).dictionary_encode()
    is_number = np.asarray(digit)
    codes = np.empty(len(texts), dtype=np.int32)
    codes[is_number] = np.arange(len(numbers))
    codes[~is_number] = _indices(others) + len(numbers)
    return pa.concat_arrays([numbers, others.dictionary]), codes


def _is(column: pa.ChunkedArray, test: Callable[[pa.Array], Any]) -> npt.NDArray[np.bool_]:
    """Ask each distinct text of a coded column once, each text of another."""
    array = _one_array(column)
    coded = pa.types.is_dictionary(array.type)
    answers: npt.NDArray[np.bool_] = np.asarray(test(array.dictionary if coded else array))
    return answers[array.indices.to_numpy(zero_copy_only=False)] if coded else answers


def _rows_where_all(
    cells: pa.Table, tests: Iterable[Callable[[pa.Array], Any]]
) -> npt.NDArray[np.int64]:
    """Return the rows whose every cell fulfils its test; most rows fail the first."""
    places = None
    for column, test in zip(cells.unify_dictionaries().columns, tests, strict=True):
        if places is None:
            places = np.flatnonzero(_is(column, test))
        else:
            places = places[_is(column.take(pa.array(places)), test)]
        if not len(places):
            break
    return np.arange(0) if places is None else places


def _blank_rows(cells: pa.Table) -> npt.NDArray[np.int64]:
    return _rows_where_all(cells, [_is_blank] * cells.num_columns)


def _is_blank(texts: pa.Array) -> npt.NDArray[np.bool_]:
    blank: npt.NDArray[np.bool_] = np.array(
        pc.less(texts, "!"), dtype=bool
    )  # empty, or begins with white space
    if blank.any():
        begun = pc.utf8_trim_whitespace(texts.filter(pa.array(blank)))
        blank[blank] = np.asarray(pc.equal(begun, ""))
    return blank


def _repeated_header(cells: pa.Table, layout: Format) -> npt.NDArray[np.int64]:
    return _rows_where_all(cells, [partial(pc.equal, name) for name in layout.header])


def _garbled_rows(cells: pa.Table) -> npt.NDArray[np.int64]:
    """Return the rows with bytes that were not of the file's encoding."""
    garbled = np.zeros(cells.num_rows, dtype=bool)
    for column in cells.unify_dictionaries().columns:
        garbled |= _is(column, partial(pc.match_substring, pattern=_NOT_TEXT))
    return np.flatnonzero(garbled)
