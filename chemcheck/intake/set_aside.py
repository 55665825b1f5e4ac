"""The lines that say which rows, cells and columns were set aside, or are unusual."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.errors import Problem
from chemcheck.readings.record import ASSUMPTION_COLUMNS, PROBLEM_COLUMNS, QUESTION_COLUMNS

_SHOWN = 200  # of a text found [characters]


@dataclass(frozen=True, slots=True)
class Lines:
    """Rows, or cells of one column, that the user is told about, one line each.

    Parameters
    ----------
    column : str or None
        The column as the file's header writes it; None where the lines are about rows.
    row : ndarray of int64, shape (n,)
        The rows as a spreadsheet numbers them.
    text, said : pyarrow string array, shape (n,)
        What was found, and what is wrong or unusual with it.
    sample : ndarray of int64, shape (n,), or None
        The samples that cells belong to, as positions in their file's samples: nothing is
        said of cells whose sample is not kept.
    """

    column: str | None
    row: npt.NDArray[np.int64]
    text: pa.Array
    said: pa.Array
    sample: npt.NDArray[np.int64] | None = None

    def of_kept(self, kept: npt.NDArray[np.bool_]) -> "Lines":
        """Return the lines about rows, or about cells of the samples that are kept."""
        if self.sample is None or kept[self.sample].all():
            return self
        here = kept[self.sample]
        text, said = (array.filter(pa.array(here)) for array in (self.text, self.said))
        return Lines(self.column, self.row[here], text, said, self.sample[here])


@dataclass(frozen=True, slots=True)
class ColumnLine:
    """A column, or those of its cells that depend on an open choice, set aside together.

    Parameters
    ----------
    column : str
        The column as the file's header writes it.
    sample : ndarray of int64, shape (n,)
        The samples whose cells are set aside, as positions in their file's samples.
    text : str
        One of the texts found, or empty.
    problem : str
        What is open, and what settles it.
    """

    column: str
    sample: npt.NDArray[np.int64]
    text: str
    problem: str


@dataclass(frozen=True, slots=True)
class FileLines:
    """Everything to be said about one file.

    Parameters
    ----------
    rows : sequence of Lines
        Rows set aside.
    columns : sequence of ColumnLine
        Columns set aside.
    cells, questions : sequence of Lines
        Cells set aside; cells that were read but are unusual.
    assumptions : sequence of (str or None, str)
        What was taken for granted: of which column, None for the whole file.
    """

    rows: Sequence[Lines] = ()
    columns: Sequence[ColumnLine] = ()
    cells: Sequence[Lines] = ()
    questions: Sequence[Lines] = ()
    assumptions: Sequence[tuple[str | None, str]] = ()

    @property
    def rejected_rows(self) -> int:
        """How many rows were set aside."""
        return sum(len(lines.row) for lines in self.rows)


def row_lines(problems: Sequence[Problem]) -> Lines:
    """Write problems with single rows as lines."""
    row = np.array([problem.row for problem in problems], dtype=np.int64)
    text = pa.array([problem.text for problem in problems], pa.string())
    return Lines(None, row, text, pa.array([p.problem for p in problems], pa.string()))


def rejected_table(name: str, lines: FileLines, kept: npt.NDArray[np.bool_]) -> pd.DataFrame:
    """Write what was set aside in one file as a table.

    Parameters
    ----------
    name : str
        The file.
    lines : FileLines
        What is to be said of it.
    kept : ndarray of bool, shape (n_samples,)
        Which of its samples were kept.

    Returns
    -------
    DataFrame
        The columns of a reading's rejected table, in the order of the rows, whole columns
        first. ``cells`` is 0 for a row.
    """
    counts = [int(kept[line.sample].sum()) for line in lines.columns]
    whole = [
        (line.column, line.text, line.problem, cells)
        for line, cells in zip(lines.columns, counts, strict=True)
        if cells or not len(line.sample)
    ]
    columns = pd.DataFrame(whole, columns=list(PROBLEM_COLUMNS[2:]))
    tables = [
        columns.assign(file=name, row=pd.array([None] * len(columns), dtype="Int64")),
        *(_table(line, PROBLEM_COLUMNS).assign(cells=0) for line in lines.rows),
        *(_table(line.of_kept(kept), PROBLEM_COLUMNS).assign(cells=1) for line in lines.cells),
    ]
    return _in_order(name, tables, PROBLEM_COLUMNS)


def question_table(name: str, lines: FileLines, kept: npt.NDArray[np.bool_]) -> pd.DataFrame:
    """Write the unusual cells of one file as a table; see `rejected_table`."""
    tables = [_table(line.of_kept(kept), QUESTION_COLUMNS) for line in lines.questions]
    return _in_order(name, tables, QUESTION_COLUMNS)


def assumption_table(files: Iterable[tuple[str, FileLines]]) -> pd.DataFrame:
    """Write what was taken for granted in all files as a table."""
    rows = [(name, *said) for name, lines in files for said in lines.assumptions]
    return pd.DataFrame(rows, columns=list(ASSUMPTION_COLUMNS), dtype="str")


def _table(lines: Lines, columns: Sequence[str]) -> pd.DataFrame:
    column = pa.nulls(len(lines.row), pa.string())
    if lines.column is not None:
        column = pa.repeat(pa.scalar(lines.column, pa.string()), len(lines.row))
    shown = pc.utf8_slice_codeunits(lines.text, 0, _SHOWN)
    texts = zip(columns[2:5], (column, shown, lines.said), strict=True)
    row = pd.array(lines.row, dtype="Int64")
    return pd.DataFrame({"row": row} | {title: pd.Series(x, dtype="str") for title, x in texts})


def _in_order(name: str, tables: list[pd.DataFrame], columns: Sequence[str]) -> pd.DataFrame:
    """Join tables in the order of the rows; whole columns come first."""
    filled = [table for table in tables if len(table)]
    if not filled:
        return _with_types(pd.DataFrame(columns=list(columns)))
    table = pd.concat(filled, ignore_index=True) if len(filled) > 1 else filled[0]
    order = np.argsort(table["row"].to_numpy(dtype=np.int64, na_value=0), kind="stable")
    table = table.take(order).reset_index(drop=True)
    file = pd.Series(pa.repeat(pa.scalar(name, pa.string()), len(table)), dtype="str")
    return _with_types(table.assign(file=file)[list(columns)])


def _with_types(table: pd.DataFrame) -> pd.DataFrame:
    numbers = {"row": "Int64", "kept_row": "Int64", "cells": "int64"}
    return table.astype({name: numbers.get(name, "str") for name in table.columns})
