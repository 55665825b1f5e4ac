"""Long tables: a row for each result, with its analyte, value and unit."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.intake.assemble import FileResults
from chemcheck.intake.choices import Choices
from chemcheck.intake.column_plan import Column, free_name
from chemcheck.intake.long_columns import LongPlan
from chemcheck.intake.long_results import LongResults
from chemcheck.intake.long_samples import SampleRows
from chemcheck.intake.material import SampleKinds, sample_kinds
from chemcheck.intake.measuring import Measuring
from chemcheck.intake.other_fluids import without_other_fluids
from chemcheck.intake.result_rows import RowNames, SampleCells
from chemcheck.intake.samples import SampleFacts, read_facts, text_column
from chemcheck.intake.set_aside import row_lines
from chemcheck.intake.table import TextTable
from chemcheck.intake.wide import PPM

_SHOWN = ("parameter", "value", "unit", "flag")


def read_long(table: TextTable, plan: LongPlan, choices: Choices) -> FileResults:
    """Read the samples and readings of a table with a row for each result.

    Parameters
    ----------
    table : TextTable
        The file.
    plan : LongPlan
        What its columns are.
    choices : Choices
        What the user settled.

    Returns
    -------
    FileResults
        Rows that agree in sample number, unit, date, sampling point, sample type, material
        and usage are one sample. Each row is a cell of its sample (read, blank or
        rejected), or says again what another row says, or is rejected as a whole: names no
        analyte has, parts of a sample, and unusable results beside a usable one. Results
        of one sample and analyte that do not agree are carried as the range between them.
    """
    return _LongFile(table, plan, choices).results()


class _LongFile:
    """One long table while it is read."""

    def __init__(self, table: TextTable, plan: LongPlan, choices: Choices) -> None:
        self.plan, self.choices = plan, choices
        self.rows_read = table.rows_read
        self.fluid = next((c for c in plan.free.values() if c.header.role == "fluid"), None)
        self.table, self.other_fluids = without_other_fluids(
            table, plan.roles.get("material"), self.fluid
        )
        self.read = LongResults(self.table, plan, choices)
        self.samples = SampleRows(self.table, plan.roles, self.read.is_result)

    def results(self) -> FileResults:
        """Read everything."""
        table, plan, samples = self.table, self.plan, self.samples
        count = samples.count
        of_samples = samples.table_of_samples()
        facts = read_facts(of_samples, plan.roles, self.read.decimal, self.choices.date_order)
        found = self.read.glycol_found(samples.sample, count)
        kinds = sample_kinds(of_samples, plan.roles, self.fluid, found, self.choices)
        measuring = self._measuring(kinds)
        rows = self.read.read(measuring, samples.sample, count)
        used = np.flatnonzero(samples.sample >= 0)
        texts, codes = table.coded(plan.places["parameter"])
        called = RowNames(
            table.row,
            [(text or "").strip() for text in texts.to_pylist()],
            codes.astype(np.int64),
            self._shown,
        )
        cells = SampleCells(rows, used, samples.sample[used], count, called)
        rejected = [row_lines(table.rejected)] if table.rejected else []
        lines = cells.lines([*rejected, *self.other_fluids], facts.cells)
        free = samples.same_in_each_sample(plan.free)
        shared = cells.shared_factor()
        said = [*plan.assumptions, *samples.said, *kinds.assumptions, *measuring.assumptions]
        said += lines.assumptions
        if shared is not None and (shared > 1).any():
            said.append((None, PPM))
        counted = f"{count:,} samples from {len(used):,} results"
        return FileResults(
            name=table.name,
            layout="long",
            found="; ".join([table.found, counted, *self.read.found, *facts.found]),
            rows_read=self.rows_read,
            samples=self._samples(of_samples, facts, kinds, free),
            columns=rows.columns,
            lower=cells.lower(),
            upper=cells.upper(),
            status=cells.status(),
            shared_factor=shared,
            method=cells.coded(*self.read.methods(measuring)),
            laboratory=cells.coded(measuring.laboratory.names, measuring.laboratory.codes),
            lot=cells.coded(measuring.lot.names, measuring.lot.codes),
            lines=replace(
                lines,
                columns=[*facts.whole, *lines.columns],
                questions=[*lines.questions, *samples.questions],
                assumptions=said,
            ),
            dates_as_written=facts.dates_as_written,
            repeated=cells.repeated(),
            decimal=self.read.proved,
            date_order=facts.date_order,
        )

    def _measuring(self, kinds: SampleKinds) -> Measuring:
        """Return how each row was measured; rows of no sample count as water."""
        sample = self.samples.sample
        material = np.append(kinds.material, np.int8(0))[sample]
        mixes = kinds.not_by_refraction
        of_row = None if mixes is None else np.append(mixes, False)[sample]
        return Measuring(self.table, self.plan.roles, material, self.choices, of_row)

    def _shown(self, rows: npt.NDArray[np.int64]) -> pa.Array:
        """Return the text of some rows: what was measured, its number and its unit."""
        places = [self.plan.places[role] for role in _SHOWN if role in self.plan.places]
        chosen = pa.array(rows)
        parts = [self.table.text(place).take(chosen) for place in places]
        shown = pc.binary_join_element_wise(*parts, " ")
        return pc.utf8_trim_whitespace(pc.replace_substring_regex(shown, r"\s+", " "))

    def _samples(
        self,
        table: TextTable,
        facts: SampleFacts,
        kinds: SampleKinds,
        free: dict[str, Column],
    ) -> pd.DataFrame:
        """Put the samples table together; what could not be read is kept as it stands."""
        not_read = ["taken_on"] if facts.dates_as_written is not None else []
        for role in (*not_read, *kinds.not_read):
            column = self.plan.roles[role]
            free[free_name(column.title, free)] = column
        texts = {name: text_column(table, column) for name, column in free.items()}
        row = {"row": pd.Series(table.row)}
        return pd.DataFrame(row | facts.columns | kinds.columns | texts)
