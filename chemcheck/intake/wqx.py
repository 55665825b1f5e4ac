"""The open WQX result layout: a row for each result, one sample for each activity."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.intake.assemble import FileResults, RepeatedRows
from chemcheck.intake.dates import date_order, parse_dates
from chemcheck.intake.decimal_mark import decimal_evidence
from chemcheck.intake.same_result import JoinedResults, join_results
from chemcheck.intake.set_aside import FileLines, Lines, row_lines
from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list
from chemcheck.intake.wqx_columns import sample_type, wqx_columns
from chemcheck.intake.wqx_results import read_rows
from chemcheck.intake.wqx_table import WqxTable
from chemcheck.readings.record import ABSENT, READ, REJECTED, Coded

_Codes = npt.NDArray[np.int64]
_Mask = npt.NDArray[np.bool_]


def read_wqx(
    table: TextTable, *, decimal: str | None = None, order: str | None = None
) -> FileResults:
    """Read a table of the open WQX result layout.

    Parameters
    ----------
    table : TextTable
        A table whose header `chemcheck.intake.wqx_columns.wqx_columns` recognises.
    decimal : {".", ","}, optional
        The decimal mark; by default the file decides.
    order : {"dmy", "mdy", "ymd"}, optional
        The order of day and month; by default the file decides.

    Returns
    -------
    FileResults
        One sample for each activity: its number is the activity's, its unit the
        monitoring location, its date the local date and time. Blanks, replicates and
        spikes are samples with their own ``sample_type``. Each result row is a cell of its
        sample (read, blank or rejected), or says again what another row says, or is
        rejected as a whole: other media than water, names no analyte has, parts of a
        sample, and unusable results beside a usable one.

    Raises
    ------
    ValueError
        If the table is not of this layout.
    """
    places = wqx_columns(table.layout.header)
    if places is None:
        message = f"{table.name} has not the columns of the WQX result layout"
        raise ValueError(message)
    return _Reader(WqxTable(table, places), decimal, order).results()


class _Reader:
    """One table while its samples are put together."""

    def __init__(self, table: WqxTable, decimal: str | None, order: str | None) -> None:
        self.table = table
        texts = {name: table.texts(name) for name in ("value", "limit")}
        evidence = decimal_evidence(texts, table.table.layout.separator)
        self.rows = read_rows(table, decimal or evidence.mark)
        self.decimal_why = evidence.why if decimal is None else f"decimal mark {decimal} as stated"
        self.order = order
        self.used = np.flatnonzero(self.rows.column >= 0)
        self.sample, self.first = table.samples(self.used)
        self.shape = (len(self.first), len(self.rows.columns))

    def results(self) -> FileResults:
        """Return the samples with their readings and what is to be said of them."""
        rows, used = self.rows, self.used
        cell = rows.column[used] * self.shape[0] + self.sample
        joined = join_results(
            cell, rows.lower[used], rows.upper[used], rows.rounding[used], rows.status[used]
        )
        at = cell[joined.place]
        samples, date_lines = self._samples()
        written = self._text("date", self.first) if date_lines else None
        return FileResults(
            name=self.table.table.name,
            layout="wqx",
            found=self._found(),
            rows_read=self.table.table.rows_read,
            samples=samples,
            columns=rows.columns,
            lower=self._placed(at, joined.lower, np.nan),
            upper=self._placed(at, joined.upper, np.nan),
            status=self._placed(at, joined.status, ABSENT),
            method=self._coded("method", at, joined),
            laboratory=self._coded("laboratory", at, joined),
            lines=self._lines(joined, date_lines),
            dates_as_written=written,
            repeated=self._repeated(joined),
        )

    def _found(self) -> str:
        return (
            f"{self.table.table.found}; {len(self.first):,} activities from "
            f"{len(self.table):,} results; {self.decimal_why}"
        )

    def _placed(self, at: _Codes, values: npt.NDArray[Any], fill: object) -> npt.NDArray[Any]:
        """Put one value of each cell where it belongs."""
        flat = np.full(self.shape[0] * self.shape[1], fill, dtype=values.dtype)
        flat[at] = values
        return flat.reshape(self.shape, order="F")

    def _coded(self, column: str, at: _Codes, joined: JoinedResults) -> Coded:
        """Return the text of a column for each cell."""
        texts, codes = self.table.texts(column), self.table.codes(column)
        names = tuple(dict.fromkeys(text for text in texts if text))
        place = {text: number for number, text in enumerate(names)}
        number = np.array([place.get(text, -1) for text in texts], dtype=np.int16)
        of_cell = number[codes[self.used[joined.place]]]
        return Coded(self._placed(at, of_cell, np.int16(-1)), names)

    def _samples(self) -> tuple[pd.DataFrame, tuple[Lines, ...]]:
        """Return the table of the samples, and lines about dates that cannot be used."""
        first = self.first
        data: dict[str, object] = {"row": self.table.table.row[first]}
        data["sample_id"] = self._text("activity", first)
        data["unit_id"] = self._text("site", first)
        data["taken_on"], lines = self._dates(first)
        data["material"] = _same("water", len(first))
        data["sampling_point"] = self._depths(first)
        for column in ("technology", "glycol_type"):
            data[column] = pd.Series([None] * len(first), dtype="str")
        types = [sample_type(text) for text in self.table.texts("activity_type")]
        codes = self.table.codes("activity_type")[first]
        data["sample_type"] = pd.Series(types, dtype="str").take(codes).reset_index(drop=True)
        for axis in ("hours", "distance", "days"):
            data[axis] = np.full(len(first), np.nan)
        header = self.table.table.layout.header
        for place, title in enumerate(header):
            if title.strip() in word_list("wqx")["kept"]:
                texts, all_codes = self.table.table.coded(place)
                data[title] = _taken(texts.to_pylist(), all_codes[first])
        return pd.DataFrame(data), lines

    def _text(self, column: str, rows: _Codes) -> pd.Series:
        return _taken(self.table.texts(column), self.table.codes(column)[rows])

    def _depths(self, first: _Codes) -> pd.Series:
        """Return the depth of each sample, which tells samples of one activity apart."""
        depth = pd.Series([None] * len(first), dtype="str")
        for name in ("result_depth", "depth"):
            value, unit = self._text(name, first), self._text(f"{name}_unit", first).fillna("")
            depth = depth.fillna(("depth " + value + " " + unit).str.strip())
        return depth

    def _dates(self, first: _Codes) -> tuple[npt.NDArray[np.datetime64], tuple[Lines, ...]]:
        """Return the moment of each sample; the day alone where the time cannot be used."""
        day = self._text("date", first).fillna("")
        time = self._text("time", first).fillna("")
        codes, texts = pd.factorize(day + " " + time)
        days, day_texts = pd.factorize(day)
        order = self.order or date_order({"": pa.array(day_texts, pa.string())}).order
        whole = parse_dates(pa.array(texts, pa.string()), order)
        alone = parse_dates(pa.array(day_texts, pa.string()), order)
        values = whole.values[codes]
        values = np.where(np.isnat(values), alone.values[days], values)
        bad = np.flatnonzero((alone.bad | alone.ambiguous)[days])
        if not len(bad):
            return values, ()
        open_order = "the day or the month first? nothing in the file decides; say --date-order"
        said = [
            open_order if alone.ambiguous[days[sample]] else "expected a date, such as 2025-04-03"
            for sample in bad.tolist()
        ]
        line = Lines(
            self.table.title("date"),
            self.table.table.row[first[bad]],
            pa.array(day.iloc[bad], pa.string()),
            pa.array(said, pa.string()),
            bad,
        )
        return values, (line,)

    def _repeated(self, joined: JoinedResults) -> RepeatedRows:
        """Return the rows whose result another row of their sample already gives."""
        again = self._again(joined)
        row = self.table.table.row[self.used]
        return RepeatedRows(row[again], self.sample[again], row[joined.kept[again]])

    def _again(self, joined: JoinedResults) -> _Mask:
        status = self.rows.status[self.used]
        other = joined.kept != np.arange(len(self.used))
        return np.asarray(other & (status != REJECTED))

    def _lines(self, joined: JoinedResults, date_lines: tuple[Lines, ...]) -> FileLines:
        """Write what was set aside, and what is unusual."""
        rows, used = self.rows, self.used
        whole = rows.column < 0
        rejected = rows.status[used] == REJECTED
        beside = rejected & (joined.kept != np.arange(len(used)))
        whole[used[beside]] = True
        of_row = np.full(len(self.table), -1, dtype=np.int64)
        of_row[used] = self.sample
        cells = (rows.status == REJECTED) & ~whole
        asked = (rows.question >= 0) & (rows.status == READ)
        said = [row_lines(self.table.table.rejected)] if self.table.table.rejected else []
        return FileLines(
            rows=(*said, *self._each(whole, rows.problem, rows.problems, None)),
            cells=(*self._each(cells, rows.problem, rows.problems, of_row), *date_lines),
            questions=(
                *self._each(asked, rows.question, rows.questions, of_row),
                *self._contradictions(joined, of_row),
            ),
            assumptions=[(None, text) for text in rows.assumptions],
        )

    def _each(
        self, mask: _Mask, code: _Codes, texts: tuple[str, ...], of_row: _Codes | None
    ) -> Iterator[Lines]:
        """Give the lines of some rows, by characteristic where they are about cells."""
        names, codes = self.table.texts("characteristic"), self.table.codes("characteristic")
        for number in np.unique(codes[mask]).tolist() if of_row is not None else [-1]:
            here = np.flatnonzero(mask & ((codes == number) | (number < 0)))
            if not len(here):
                continue
            yield Lines(
                names[number] if of_row is not None else None,
                self.table.table.row[here],
                self._shown(here),
                pa.array(texts, pa.string()).take(pa.array(code[here])),
                None if of_row is None else of_row[here],
            )

    def _shown(self, rows: _Codes) -> pa.Array:
        """Return the text of a result: what was measured, its number and its unit."""
        names = ("characteristic", "value", "unit", "condition")
        parts = [self._text(name, rows).fillna("") for name in names]
        shown = parts[0] + " " + parts[1] + " " + parts[2] + " " + parts[3]
        return pc.utf8_trim_whitespace(
            pc.replace_substring_regex(pa.array(shown, pa.string()), r"\s+", " ")
        )

    def _contradictions(self, joined: JoinedResults, of_row: _Codes) -> Iterator[Lines]:
        """Ask about readings whose results of one activity do not agree."""
        place = joined.place[joined.differs]
        rows = self.used[place]
        low, high = joined.lower[joined.differs], joined.upper[joined.differs]
        names, codes = self.table.texts("characteristic"), self.table.codes("characteristic")
        for number in np.unique(codes[rows]).tolist():
            here = codes[rows] == number
            said = [
                f"results of one activity differ: carried as the range {a:g} to {b:g}"
                for a, b in zip(low[here].tolist(), high[here].tolist(), strict=True)
            ]
            yield Lines(
                names[number],
                self.table.table.row[rows[here]],
                self._shown(rows[here]),
                pa.array(said, pa.string()),
                of_row[rows[here]],
            )


def _taken(texts: list[str], codes: npt.NDArray[np.integer]) -> pd.Series:
    """Return the text of each row, null where it is empty."""
    known = pd.Series([(text or "").strip() or None for text in texts], dtype="str")
    return known.take(codes).reset_index(drop=True)


def _same(text: str, count: int) -> pd.Series:
    return pd.Series(pa.repeat(pa.scalar(text, pa.string()), count), dtype="str")
