"""Wide files: a row per sample, a column per analyte."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.analytes import analyte
from chemcheck.intake.assemble import FileResults
from chemcheck.intake.cell_records import Measured
from chemcheck.intake.cell_values import ColumnReader
from chemcheck.intake.choices import Choices
from chemcheck.intake.column_plan import Column, ColumnPlan, free_name
from chemcheck.intake.coolant_density import coolant_density
from chemcheck.intake.decimal_mark import decimal_evidence
from chemcheck.intake.ditto import blocks, ditto_texts, filled
from chemcheck.intake.material import SampleKinds, sample_kinds
from chemcheck.intake.measuring import Measuring
from chemcheck.intake.other_fluids import without_other_fluids
from chemcheck.intake.remarks import CodedCells, with_marks
from chemcheck.intake.row_values import ColumnLines, RowReader, RowValues, merge_twin
from chemcheck.intake.samples import AXES, SampleFacts, read_facts, text_column
from chemcheck.intake.set_aside import FileLines, Lines, row_lines
from chemcheck.intake.table import TextTable
from chemcheck.readings.record import BLANK, Coded, ReadingColumn

# A reading of these above zero makes a row coolant where nothing else says what it is.
_OF_COOLANT = ("glycol", "coolant_concentrate", "reserve_alkalinity")
_SHARES_OF_GLYCOL = ("glycol", "coolant_concentrate")
PPM = (
    "ppm in coolant may be mg/kg or mg/L: both are carried to the verdict; settle it with "
    "'ppm: mg/kg' or 'ppm: mg/L' in a columns file (--columns)"
)
_Codes = npt.NDArray[np.int32]


def read_wide(table: TextTable, plan: ColumnPlan, choices: Choices) -> FileResults:
    """Read the samples and readings of a wide file.

    Parameters
    ----------
    table : TextTable
        The file.
    plan : ColumnPlan
        What its columns are.
    choices : Choices
        What the user settled.

    Returns
    -------
    FileResults
        A sample for every row of the table; rows that only hold an event are none.
    """
    return _WideFile(table, plan, choices).results()


class _WideFile:
    """One wide file while it is read."""

    def __init__(self, table: TextTable, plan: ColumnPlan, choices: Choices) -> None:
        self.plan, self.choices = plan, choices
        self.assumptions = list(plan.assumptions)
        beside = (plan.roles.get("material"), self._free("fluid"))
        samples, self.other_fluids = without_other_fluids(table, *beside)
        self.rows_read = table.rows_read - len(samples.row)
        self.table = self._without_event_rows(samples)
        self.rows_read += len(self.table.row)
        self.lines = ColumnLines()
        self.coded = {c.place: self._cells(c) for c in plan.readings}
        self.proved: str | None = None
        self.found = [self.table.found, *plan.found]
        self.decimal = self._decimal()
        self.readers = [
            ColumnReader(c.header, self.coded[c.place][0], choices, self.decimal, c.kit, c.zero)
            for c in plan.readings
        ]
        if plan.copies_results:
            self._copy_results()
        self.measures = [ReadingColumn(reader.analyte.key, reader.basis) for reader in self.readers]
        self.columns = tuple(dict.fromkeys(self.measures))
        shape = (len(self.table.row), len(self.columns))
        self.lower, self.upper = np.empty(shape, order="F"), np.empty(shape, order="F")
        self.status = np.empty(shape, dtype=np.int8, order="F")
        self.shared: npt.NDArray[np.float32] | None = None
        self.density: tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]] | None = None

    def results(self) -> FileResults:
        """Read everything."""
        table, plan = self.table, self.plan
        facts = read_facts(table, plan.roles, self.decimal, self.choices.date_order)
        # Beside events a fluid is what was added to the unit, not what was sampled.
        fluid = None if self._free("event") is not None else self._free("fluid")
        kinds = sample_kinds(table, plan.roles, fluid, self._glycol_found(), self.choices)
        self.assumptions += kinds.assumptions
        measuring = Measuring(
            table, plan.roles, kinds.material, self.choices, kinds.not_by_refraction
        )
        self.assumptions += measuring.assumptions
        self._fill(measuring)
        lines = FileLines(
            [*([row_lines(table.rejected)] if table.rejected else []), *self.other_fluids],
            [*facts.whole, *self.lines.whole],
            [*facts.cells, *self.lines.cells],
            self.lines.questions,
            self.assumptions,
        )
        laboratory, about_laboratory = measuring.laboratory.coded(len(self.columns))
        lot, about_lot = measuring.lot.coded(len(self.columns))
        for role, said in (("laboratory", about_laboratory), ("lot", about_lot)):
            if said is not None:
                self.assumptions.append((plan.roles[role].title, said))
        return FileResults(
            name=table.name,
            layout="wide",
            found="; ".join([*self.found, *facts.found]),
            rows_read=self.rows_read,
            samples=self._samples(facts, kinds),
            columns=self.columns,
            lower=self.lower,
            upper=self.upper,
            status=self.status,
            shared_factor=self.shared,
            lines=lines,
            dates_as_written=facts.dates_as_written,
            method=self._methods(measuring),
            laboratory=laboratory,
            lot=lot,
            decimal=self.proved,
            date_order=facts.date_order,
        )

    def _without_event_rows(self, table: TextTable) -> TextTable:
        """Leave out rows that log an event and hold no reading."""
        event = next((c for c in self.plan.free.values() if c.header.role == "event"), None)
        if event is None:
            return table
        only = text_column(table, event).notna().to_numpy()
        for column in self.plan.readings:
            texts, codes = table.coded(column.place)
            only = only & np.asarray(pc.equal(pc.utf8_trim_whitespace(texts), ""))[codes]
        if not only.any():
            return table
        said = f"{int(only.sum()):,} rows log an event and hold no reading: no samples"
        if only.sum() == 1:
            said = "1 row logs an event and holds no reading: no sample"
        self.assumptions.append((None, said))
        return replace(table, cells=table.cells.filter(pa.array(~only)), row=table.row[~only])

    def _cells(self, column: Column) -> CodedCells:
        """Return the distinct texts of a column, flags and limits beside it brought in."""
        cells = self.table.coded(column.place)
        if column.flag is None and column.limit is None:
            return cells
        flags, limits = (
            None if place is None else self.table.coded(place)
            for place in (column.flag, column.limit)
        )
        marked = with_marks(cells, flags, limits, column.limit_unit)
        for flag, rows in marked.unknown:
            said = pa.repeat(f"the flag {flag!r} beside it is not known here", len(rows))
            texts = marked.texts.take(pa.array(marked.codes[rows]))
            line = Lines(column.title, self.table.row[rows], texts, said, rows)
            self.lines.questions.append(line)
        return marked.texts, marked.codes

    def _copy_results(self) -> None:
        """Put the result above in place of ditto marks."""
        titles, marks = [], 0
        block = blocks(self.table.row, self.table.rejected)
        for column, reader in zip(self.plan.readings, self.readers, strict=True):
            texts, codes = self.coded[column.place]
            ditto = ditto_texts(texts)
            if ditto.any():
                meant = filled(codes, ditto, reader.parsed.kind == BLANK, block)
                titles.append(column.title)
                marks += int((meant != codes).sum())
                self.coded[column.place] = texts, meant
        if marks:
            times = "1 ditto mark takes" if marks == 1 else f"{marks:,} ditto marks take"
            said = f"{times} the result above; 'ditto: refused' in a columns file sets them aside"
            self.assumptions.append((", ".join(titles), said))

    def _decimal(self) -> str | None:
        """Return the decimal mark, from the user or from every number of the file."""
        if self.choices.decimal is not None:
            self.found.append(f"decimal mark {self.choices.decimal} as stated")
            self.proved = self.choices.decimal
            return self.choices.decimal
        numbers = {
            c.title: self.coded[c.place][0]
            for c in self.plan.readings
            if not analyte(str(c.header.analyte)).words
        }
        for role in AXES:
            if role in self.plan.roles:
                column = self.plan.roles[role]
                numbers[column.title] = self.table.coded(column.place)[0]
        evidence = decimal_evidence(numbers, self.table.layout.separator)
        self.found.append(evidence.why)
        self.proved = evidence.mark if evidence.proved else None
        return evidence.mark

    def _free(self, role: str) -> Column | None:
        return next((c for c in self.plan.free.values() if c.header.role == role), None)

    def _glycol_found(self) -> npt.NDArray[np.bool_]:
        found = np.zeros(len(self.table.row), dtype=bool)
        for column, reader in zip(self.plan.readings, self.readers, strict=True):
            if reader.analyte.key in _OF_COOLANT:
                found |= (reader.parsed.lower > 0)[self.coded[column.place][1]]
        return found

    def _fill(self, measuring: Measuring) -> None:
        """Read every column; glycol first, because shares by mass need the density."""
        order = sorted(
            range(len(self.readers)),
            key=lambda k: self.readers[k].analyte.key not in _SHARES_OF_GLYCOL,
        )
        ways: dict[str | None, tuple[_Codes | None, list[Measured]]] = {}
        filled: dict[ReadingColumn, Column] = {}
        assumed: dict[str, list[str]] = {}
        for k in order:
            column, reader, measures = self.plan.readings[k], self.readers[k], self.measures[k]
            if column.method not in ways:
                ways[column.method] = measuring.ways(measuring.of_column(column.method))
            rows = RowReader(
                column.title, self.table.row, *self.coded[column.place], *ways[column.method]
            )
            place = self.columns.index(measures)
            into = RowValues(self.lower[:, place], self.upper[:, place], self.status[:, place])
            if measures in filled:
                values, lines = rows.read(reader, self._densities, into.empty_copy())
                into = replace(into, shared_factor=self._shared_factor()[:, place])
                lines = merge_twin(into, values, lines, rows, filled[measures].title)
            else:
                filled[measures] = column
                values, lines = rows.read(reader, self._densities, into)
                if values.shared_factor is not None:
                    self._shared_factor()[:, place] = values.shared_factor
            self.lines.extend(lines)
            for said in reader.assumed:
                assumed.setdefault(said, []).append(column.title)
        self.assumptions += [(", ".join(titles), said) for said, titles in assumed.items()]
        if self.shared is not None and (self.shared > 1).any():
            self.assumptions.append((None, PPM))

    def _shared_factor(self) -> npt.NDArray[np.float32]:
        if self.shared is None:
            self.shared = np.ones(self.lower.shape, dtype=np.float32, order="F")
        return self.shared

    def _densities(self) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
        """Return between which densities each sample lies, by its glycol where that was read."""
        if self.density is None:
            low, high = (np.full(len(self.table.row), np.nan) for _ in range(2))
            for place, column in enumerate(self.columns):
                if column.analyte in _SHARES_OF_GLYCOL:
                    here = np.isnan(low)
                    np.copyto(low, self.lower[:, place], where=here)
                    np.copyto(high, self.upper[:, place], where=here)
            self.density = coolant_density(low, high)
        return self.density

    def _methods(self, measuring: Measuring) -> Coded:
        """Return the method of each reading."""
        own = {
            measures: column.method
            for column, measures in zip(self.plan.readings, self.measures, strict=True)
            if column.method is not None
        }
        same, _ = measuring.method.coded(len(self.columns))
        if not own:
            return same
        names = {name: place for place, name in enumerate(same.names)}
        codes = np.array(same.codes, order="F")
        for measures, method in own.items():
            text = measuring.of_column(method)
            number = [names.setdefault(name, len(names)) for name in text.names]
            codes[:, self.columns.index(measures)] = np.array(number, dtype=np.int16)[text.codes]
        return Coded(codes, tuple(names))

    def _samples(self, facts: SampleFacts, kinds: SampleKinds) -> pd.DataFrame:
        """Put the samples table together; what could not be read is kept as it stands."""
        free = dict(self.plan.free)
        not_read = ["taken_on"] if facts.dates_as_written is not None else []
        for role in (*not_read, *kinds.not_read):
            column = self.plan.roles[role]
            free[free_name(column.title, free)] = column
        texts = {name: text_column(self.table, column) for name, column in free.items()}
        row = {"row": pd.Series(self.table.row)}
        return pd.DataFrame(row | facts.columns | kinds.columns | texts)
