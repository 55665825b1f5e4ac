"""The open WQX result layout: a row for each result, one sample for each activity."""

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.intake.assemble import FileResults
from chemcheck.intake.dates import date_order, parse_dates
from chemcheck.intake.decimal_mark import decimal_evidence
from chemcheck.intake.result_rows import RowNames, SampleCells
from chemcheck.intake.set_aside import Lines, row_lines
from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list
from chemcheck.intake.wqx_columns import sample_type, wqx_columns
from chemcheck.intake.wqx_results import read_rows
from chemcheck.intake.wqx_table import WqxTable

_Codes = npt.NDArray[np.int64]


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
        self.decimal = decimal or (evidence.mark if evidence.proved else None)
        self.decimal_why = evidence.why if decimal is None else f"decimal mark {decimal} as stated"
        self.order = order
        used = np.flatnonzero(self.rows.column >= 0)
        sample, self.first = table.samples(used)
        called = RowNames(
            table.table.row,
            table.texts("characteristic"),
            table.codes("characteristic"),
            self._shown,
        )
        self.cells = SampleCells(self.rows, used, sample, len(self.first), called)

    def results(self) -> FileResults:
        """Return the samples with their readings and what is to be said of them."""
        cells, table = self.cells, self.table
        samples, date_lines = self._samples()
        written = self._text("date", self.first) if date_lines else None
        said = [row_lines(table.table.rejected)] if table.table.rejected else []
        return FileResults(
            name=table.table.name,
            layout="wqx",
            found=self._found(),
            rows_read=table.table.rows_read,
            samples=samples,
            columns=self.rows.columns,
            lower=cells.lower(),
            upper=cells.upper(),
            status=cells.status(),
            method=cells.coded(table.texts("method"), table.codes("method")),
            laboratory=cells.coded(table.texts("laboratory"), table.codes("laboratory")),
            lines=cells.lines(said, date_lines),
            dates_as_written=written,
            repeated=cells.repeated(),
            decimal=self.decimal,
        )

    def _found(self) -> str:
        return (
            f"{self.table.table.found}; {len(self.first):,} activities from "
            f"{len(self.table):,} results; {self.decimal_why}"
        )

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

    def _shown(self, rows: _Codes) -> pa.Array:
        """Return the text of a result: what was measured, its number and its unit."""
        names = ("characteristic", "value", "unit", "condition")
        parts = [self._text(name, rows).fillna("") for name in names]
        shown = parts[0] + " " + parts[1] + " " + parts[2] + " " + parts[3]
        return pc.utf8_trim_whitespace(
            pc.replace_substring_regex(pa.array(shown, pa.string()), r"\s+", " ")
        )


def _taken(texts: list[str], codes: npt.NDArray[np.integer]) -> pd.Series:
    """Return the text of each row, null where it is empty."""
    known = pd.Series([(text or "").strip() or None for text in texts], dtype="str")
    return known.take(codes).reset_index(drop=True)


def _same(text: str, count: int) -> pd.Series:
    return pd.Series(pa.repeat(pa.scalar(text, pa.string()), count), dtype="str")
