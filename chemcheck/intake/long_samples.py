"""Which sample each row of a long table belongs to, and what is said of that sample."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.errors import shorten
from chemcheck.intake.column_plan import Column
from chemcheck.intake.set_aside import Lines
from chemcheck.intake.table import TextTable
from chemcheck.intake.wqx_table import combined

# What makes two rows two samples; usage only where neither number nor date tells them apart.
_KEY = ("sample_id", "unit_id", "taken_on", "sampling_point", "sample_type", "material")
_USAGE = ("hours", "distance", "days")
# Facts that rows of one sample may differ in: each result has its own.
_OF_RESULT = ("method", "laboratory", "lot")
_Codes = npt.NDArray[np.int64]
_SHOWN = 5


class SampleRows:
    """The samples of a long table.

    Parameters
    ----------
    table : TextTable
        Its rows.
    roles : mapping of str to Column
        The columns of facts about the sample.
    used : ndarray of bool, shape (n_rows,)
        Rows that measure something known here: others make no sample.

    Attributes
    ----------
    sample : ndarray of int64, shape (n_rows,)
        Of each row, in the order in which samples begin; -1 where the row is not used.
    first : ndarray of int64, shape (n_samples,)
        The first row of each sample.
    said : list of (str or None, str)
        What was taken for granted.
    questions : list of Lines
        Facts of one sample that do not agree.
    """

    def __init__(
        self, table: TextTable, roles: Mapping[str, Column], used: npt.NDArray[np.bool_]
    ) -> None:
        self.table, self.roles = table, roles
        self.said: list[tuple[str | None, str]] = []
        self.questions: list[Lines] = []
        told = "sample_id" in roles or "taken_on" in roles
        keys = [roles[role] for role in (*_KEY, *(() if told else _USAGE)) if role in roles]
        stated = [self._codes(column) for column in keys]
        self.owner = owner = self._merged_cells(keys, stated)
        stated = [codes[owner] for codes in stated]
        if "sample_id" in roles:
            stated = [stated[0], *(_completed(codes, stated[0]) for codes in stated[1:])]
        key = np.zeros(len(table.row), dtype=np.int64)
        for codes in stated:
            key = combined(key, codes + 1)
        rows = np.flatnonzero(used)
        codes, self.first = _in_order(key[rows])
        self.first = rows[self.first]
        self.sample = np.full(len(table.row), -1, dtype=np.int64)
        self.sample[rows] = codes
        if not keys:
            self.said.append((None, "no column tells samples apart: all rows are one sample"))

    @property
    def count(self) -> int:
        """How many samples there are."""
        return len(self.first)

    def _codes(self, column: Column) -> _Codes:
        """Return a number for each distinct text of a column; -1 where it is blank."""
        texts, codes = self.table.coded(column.place)
        plain = pc.utf8_trim_whitespace(texts).to_pylist()
        numbers: dict[str, int] = {}
        number = [numbers.setdefault(text, len(numbers)) if text else -1 for text in plain]
        return np.array([*number, -1], dtype=np.int64)[codes]

    def _merged_cells(self, keys: list[Column], stated: list[_Codes]) -> _Codes:
        """Return the row that tells the sample of each row: its own, or one above.

        A spreadsheet shows a sample's number once for a block of rows.
        """
        rows = np.arange(len(self.table.row))
        if not keys:
            return rows
        blank = np.all([codes < 0 for codes in stated], axis=0)
        if not blank.any() or blank.all():
            return rows
        owner = np.maximum.accumulate(np.where(blank, 0, rows))
        lead = int(np.argmax(~blank))
        owner[:lead] = rows[:lead]
        moved = int((owner != rows).sum())
        if moved:
            titles = ", ".join(column.title for column in keys)
            what = f"{moved:,} rows without a sample of their own belong to the sample above"
            self.said.append((titles, what))
        return owner

    def table_of_samples(self) -> TextTable:
        """Return a table with a row for each sample: of each fact, the first that is stated."""
        table = self.table
        cells = table.cells.take(pa.array(self.owner[self.first]))
        for role, column in self.roles.items():
            texts = self._first_stated(column, ask=role not in _OF_RESULT)
            cells = cells.set_column(column.place, cells.column_names[column.place], texts)
        return replace(table, cells=cells, row=table.row[self.first], rejected=())

    def _first_stated(self, column: Column, *, ask: bool) -> pa.Array:
        """Return the first text of each sample that is not blank; ask where others differ."""
        own = self._codes(column)
        place = np.where(own >= 0, np.arange(len(own)), self.owner)
        codes = own[place]
        rows = np.flatnonzero((codes >= 0) & (self.sample >= 0))
        samples, first = np.unique(self.sample[rows], return_index=True)
        source = np.full(len(self.first), -1, dtype=np.int64)
        source[samples] = rows[first]
        text = self.table.text(column.place)
        if ask:
            differs = rows[codes[rows] != codes[source[self.sample[rows]]]]
            if len(differs):
                shown = place[source[self.sample[differs]]]
                other = text.take(pa.array(shown)).to_pylist()
                said = [f"not the {shorten(one, 30)!r} of the sample's first row" for one in other]
                line = Lines(
                    column.title,
                    self.table.row[differs],
                    text.take(pa.array(differs)),
                    pa.array(said, pa.string()),
                    self.sample[differs],
                )
                self.questions.append(line)
        found = text.take(pa.array(place[np.maximum(source, 0)]))
        return pc.if_else(pa.array(source >= 0), found, "")

    def same_in_each_sample(self, free: Mapping[str, Column]) -> dict[str, Column]:
        """Return the free columns that say one thing of each sample; the others are not kept."""
        kept, others = {}, []
        used = np.flatnonzero(self.sample >= 0)
        for name, column in free.items():
            codes = self._codes(column)[self.owner]
            same = codes[used] == codes[self.first[self.sample[used]]]
            if same.all():
                kept[name] = column
            else:
                others.append(column.title)
        if others:
            names = ", ".join(shorten(title, 30) for title in others[:_SHOWN])
            more = ", …" if len(others) > _SHOWN else ""
            what = "not kept: rows of one sample differ in it"
            self.said.append((names + more, what))
        return kept


def _in_order(key: _Codes) -> tuple[_Codes, _Codes]:
    """Give distinct keys numbers in the order in which they begin, and say where each begins."""
    codes, _ = pd.factorize(key)
    _, first = np.unique(codes, return_index=True)
    return codes.astype(np.int64), first


def _completed(codes: _Codes, sample: _Codes) -> _Codes:
    """Fill blanks of one sample number where its other rows say one thing."""
    stated = (codes >= 0) & (sample >= 0)
    if stated.all() or not stated.any():
        return codes
    least = np.full(int(sample.max()) + 1, np.iinfo(np.int64).max)
    most = np.full(len(least), -1, dtype=np.int64)
    np.minimum.at(least, sample[stated], codes[stated])
    np.maximum.at(most, sample[stated], codes[stated])
    known = np.where(least == most, most, -1)
    return np.where((codes < 0) & (sample >= 0), known[sample], codes)
