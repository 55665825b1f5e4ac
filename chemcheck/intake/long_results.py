"""Result rows of a long table as intervals in canonical units."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from chemcheck.intake.cell_records import Said
from chemcheck.intake.cell_values import ColumnReader
from chemcheck.intake.choices import Choices
from chemcheck.intake.coolant_density import coolant_density
from chemcheck.intake.decimal_mark import decimal_evidence
from chemcheck.intake.kits import COUNTED_BY, counts_drops
from chemcheck.intake.long_columns import LongPlan
from chemcheck.intake.long_names import Named, read_named_result
from chemcheck.intake.measuring import Measuring
from chemcheck.intake.remarks import CodedCells, Marked, with_marks
from chemcheck.intake.result_rows import RowResults
from chemcheck.intake.row_values import ColumnLines, RowReader, RowValues
from chemcheck.intake.same_result import half_steps
from chemcheck.intake.table import TextTable
from chemcheck.intake.wqx_table import combined
from chemcheck.readings.record import READ, REJECTED, ReadingColumn

_Codes = npt.NDArray[np.int64]
_OF_COOLANT = ("glycol", "coolant_concentrate", "reserve_alkalinity")
_SHARES_OF_GLYCOL = ("glycol", "coolant_concentrate")
_NAMING = ("parameter", "unit", "form", "fraction")


@dataclass(slots=True)
class Group:
    """Rows of one name, unit, form and fraction.

    Parameters
    ----------
    named : Named
        What they measure.
    title : str
        What the file calls it.
    rows : ndarray of int64
        Which they are.
    reader : ColumnReader or None
        Of their distinct texts; None where they measure nothing known here.
    codes : ndarray of int32
        Which of those texts each of these rows has.
    texts : pyarrow string array
        The distinct texts.
    """

    named: Named
    title: str
    rows: _Codes
    reader: ColumnReader | None
    codes: npt.NDArray[np.int32]
    texts: pa.Array

    @property
    def column(self) -> ReadingColumn | None:
        """What the rows measure, as a column of readings."""
        if self.reader is None:
            return None
        return ReadingColumn(self.reader.analyte.key, self.reader.basis)


class LongResults:
    """The results of a long table while they are read.

    Parameters
    ----------
    table : TextTable
        Its rows.
    plan : LongPlan
        What its columns are.
    choices : Choices
        What the user settled.
    """

    def __init__(self, table: TextTable, plan: LongPlan, choices: Choices) -> None:
        self.table, self.plan, self.choices = table, plan, choices
        self.cells = self._marked()
        self.coded = {name: self._coded(name) for name in _NAMING}
        key = self.coded[_NAMING[0]][1]
        for name in _NAMING[1:]:
            key = combined(key, self.coded[name][1])
        self.found: list[str] = []
        self.groups = self._groups(key)
        self.said = Said()

    def _coded(self, role: str) -> tuple[list[str], _Codes]:
        """Return the distinct texts of a column, and which of them each row has."""
        if role not in self.plan.places:
            return [""], np.zeros(len(self.table.row), dtype=np.int64)
        texts, codes = self.table.coded(self.plan.places[role])
        return [(text or "").strip() for text in texts.to_pylist()], codes.astype(np.int64)

    def _marked(self) -> Marked:
        """Return the values with the flags and limits beside them."""
        places = self.plan.places
        values = self.table.coded(places["value"])
        flags = self.table.coded(places["flag"]) if "flag" in places else None
        limits = self._limits()
        if flags is None and limits is None:
            return Marked(*values)
        return with_marks(values, flags, limits)

    def _limits(self) -> CodedCells | None:
        """Return the detection limits, each with its own unit where that is stated."""
        places = self.plan.places
        if "limit" not in places:
            return None
        texts, codes = self.table.coded(places["limit"])
        if "limit_unit" not in places:
            return texts, codes
        units, of_unit = self.table.coded(places["limit_unit"])
        pair = codes.astype(np.int64) * len(units) + of_unit
        distinct, first = np.unique(pair, return_inverse=True)
        joined = [
            f"{texts[one // len(units)].as_py().strip()} {units[one % len(units)].as_py()}".strip()
            if texts[one // len(units)].as_py().strip()
            else ""
            for one in distinct.tolist()
        ]
        return pa.array(joined, pa.string()), first.astype(np.int32)

    def _groups(self, key: _Codes) -> list[Group]:
        """Split the rows by what they measure, in the order of the file."""
        _, first, number = np.unique(key, return_index=True, return_inverse=True)
        order = np.argsort(number, kind="stable")
        ends = np.cumsum(np.bincount(number, minlength=len(first)))
        parts = np.split(order, ends[:-1]) if len(first) else []
        drafts = []
        for place in np.argsort(first).tolist():
            row = int(first[place])
            name, unit, form, fraction = (
                self.coded[one][0][self.coded[one][1][row]] for one in _NAMING
            )
            named = read_named_result(name, unit, form, fraction, self.choices)
            codes, within = np.unique(self.cells.codes[parts[place]], return_inverse=True)
            distinct = self.cells.texts.take(pa.array(codes))
            drafts.append((named, name, parts[place], distinct, within.astype(np.int32)))
        decimal = self._decimal([(one[1], one[3]) for one in drafts if one[0].header is not None])
        return [
            Group(
                named,
                title,
                rows,
                None
                if named.header is None
                else ColumnReader(
                    named.header, texts, self.choices, decimal, named.kit, named.zero
                ),
                within,
                texts,
            )
            for named, title, rows, texts, within in drafts
        ]

    def _decimal(self, texts: list[tuple[str, pa.Array]]) -> str | None:
        """Return the decimal mark, from the user or from every number of the file."""
        if self.choices.decimal is not None:
            self.found.append(f"decimal mark {self.choices.decimal} as stated")
            self.decimal: str | None = self.choices.decimal
            self.proved: str | None = self.choices.decimal
            return self.decimal
        numbers: dict[str, pa.Array] = {}
        for title, some in texts:
            numbers[title] = pa.concat_arrays([numbers[title], some]) if title in numbers else some
        evidence = decimal_evidence(numbers, self.table.layout.separator)
        self.found.append(evidence.why)
        self.decimal = evidence.mark
        self.proved = evidence.mark if evidence.proved else None
        return evidence.mark

    @property
    def is_result(self) -> npt.NDArray[np.bool_]:
        """Which rows measure something that is known here."""
        found = np.zeros(len(self.table.row), dtype=bool)
        for group in self.groups:
            found[group.rows] = group.reader is not None
        return found

    def glycol_found(self, sample: _Codes, samples: int) -> npt.NDArray[np.bool_]:
        """Say in which samples something was found that only coolant has.

        Parameters
        ----------
        sample : ndarray of int64, shape (n_rows,)
            Of each row; -1 none.
        samples : int
            How many there are.
        """
        found = np.zeros(samples + 1, dtype=bool)
        for group in self.groups:
            if group.reader is not None and group.reader.analyte.key in _OF_COOLANT:
                there = (group.reader.parsed.lower > 0)[group.codes]
                found[sample[group.rows[there]]] = True
        return found[:samples]

    def read(self, measuring: Measuring, sample: _Codes, samples: int) -> RowResults:
        """Read every row.

        Parameters
        ----------
        measuring : Measuring
            How each row was measured.
        sample : ndarray of int64, shape (n_rows,)
            Of each row; -1 none.
        samples : int
            How many there are.
        """
        columns = tuple(dict.fromkeys(g.column for g in self.groups if g.column is not None))
        build = _Rows(len(self.table.row), self.said)
        densities = _Densities(sample, samples)
        order = sorted(self.groups, key=lambda group: not _tells_density(group))
        for group in order:
            if group.reader is None:
                build.refuse(group.rows, group.named.problem)
                continue
            assert group.column is not None
            build.column[group.rows] = columns.index(group.column)
            values = self._read_group(group, measuring, densities, build)
            if _tells_density(group):
                densities.note(group.rows, values)
        self._ask_about_flags(build)
        return build.finished(columns, self._assumed())

    def _read_group(
        self, group: Group, measuring: Measuring, densities: "_Densities", build: "_Rows"
    ) -> RowValues:
        assert group.reader is not None
        way, ways = measuring.ways(measuring.of_column(self._method(group)))
        of_row: npt.NDArray[np.int32] | None = None
        if way is not None:  # only the ways of these rows, so that nothing is said of others
            used, place = np.unique(way[group.rows], return_inverse=True)
            ways, of_row = [ways[one] for one in used.tolist()], place.astype(np.int32)
        reader = RowReader(
            group.title, self.table.row[group.rows], group.texts, group.codes, of_row, ways
        )
        size = len(group.rows)
        into = RowValues(np.empty(size), np.empty(size), np.empty(size, dtype=np.int8))
        values, lines = reader.read(group.reader, densities.of(group.rows), into)
        factors = np.concatenate([group.reader.factors(one) for one in ways])
        rounding = half_steps(group.texts.to_pylist())[group.codes] * factors[reader.place]
        build.enter(group.rows, values, rounding, lines)
        return values

    def _method(self, group: Group) -> str | None:
        """Return the method of a group, where it is not that of its rows."""
        header = group.named.header
        if group.named.method is not None or header is None:
            return group.named.method
        stated = "method" in self.plan.roles or self.choices.method is not None
        return COUNTED_BY if counts_drops(header.unit_text) and not stated else None

    def methods(self, measuring: Measuring) -> tuple[list[str], npt.NDArray[np.int64]]:
        """Return the methods of the rows: their names, and which of them each row has.

        Parameters
        ----------
        measuring : Measuring
            How each row was measured.
        """
        names = list(measuring.method.names)
        codes = measuring.method.codes.astype(np.int64)
        for group in self.groups:
            own = self._method(group)
            if own is not None:
                text = measuring.of_column(own)
                names += [name for name in text.names if name not in names]
                number = np.array([names.index(name) for name in text.names], dtype=np.int64)
                codes[group.rows] = number[text.codes[group.rows]]
        return names, codes

    def _ask_about_flags(self, build: "_Rows") -> None:
        for flag, rows in self.cells.unknown:
            build.ask(rows, f"the flag {flag!r} beside it is not known here")

    def _assumed(self) -> tuple[tuple[str | None, str], ...]:
        """Return what was taken for granted, with the names it is about."""
        names: dict[str, dict[str, None]] = {}
        for group in self.groups:
            for said in group.reader.assumed if group.reader is not None else ():
                names.setdefault(said, {}).setdefault(group.title)
        return tuple((", ".join(titles), said) for said, titles in names.items())


def _tells_density(group: Group) -> bool:
    return group.reader is not None and group.reader.analyte.key in _SHARES_OF_GLYCOL


class _Densities:
    """Between which ends the density of each sample lies, by its glycol where that was read."""

    def __init__(self, sample: _Codes, samples: int) -> None:
        self.sample = sample
        self.low, self.high = np.full(samples + 1, np.nan), np.full(samples + 1, np.nan)

    def note(self, rows: _Codes, values: RowValues) -> None:
        """Take the glycol of some rows; what was read first counts."""
        read = values.status == READ
        samples = self.sample[rows[read]][::-1]
        open_yet = np.isnan(self.low[samples])
        self.low[samples[open_yet]] = values.lower[read][::-1][open_yet]
        self.high[samples[open_yet]] = values.upper[read][::-1][open_yet]

    def of(
        self, rows: _Codes
    ) -> Callable[[], tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]]:
        """Return a way to ask for the densities of some rows."""

        def ask() -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
            sample = self.sample[rows]
            return coolant_density(self.low[sample], self.high[sample])

        return ask


class _Rows:
    """What each row says, while it is filled in."""

    def __init__(self, rows: int, said: Said) -> None:
        self.column = np.full(rows, -1, dtype=np.int64)
        self.lower, self.upper = np.full(rows, np.nan), np.full(rows, np.nan)
        self.rounding = np.zeros(rows)
        self.status = np.full(rows, REJECTED)
        self.problem = np.full(rows, -1, dtype=np.int64)
        self.question = np.full(rows, -1, dtype=np.int64)
        self.open = np.zeros(rows, dtype=bool)
        self.shared: npt.NDArray[np.float32] | None = None
        self.said = said

    def refuse(self, rows: _Codes, problem: str) -> None:
        """Set rows aside as a whole."""
        self.problem[rows] = self.said.number(problem)

    def ask(self, rows: _Codes, question: str) -> None:
        """Ask about rows that were read, unless something was asked before."""
        here = rows[self.question[rows] < 0]
        self.question[here] = self.said.number(question)

    def enter(
        self,
        rows: _Codes,
        values: RowValues,
        rounding: npt.NDArray[np.float64],
        lines: ColumnLines,
    ) -> None:
        """Take over the readings of some rows, and what is said of them."""
        self.lower[rows], self.upper[rows] = values.lower, values.upper
        self.status[rows] = values.status
        self.rounding[rows] = np.nan_to_num(rounding)
        if values.shared_factor is not None:
            if self.shared is None:
                self.shared = np.ones(len(self.lower), dtype=np.float32)
            self.shared[rows] = values.shared_factor
        for lists, codes in ((lines.cells, self.problem), (lines.questions, self.question)):
            for line in lists:
                assert line.sample is not None
                coded = line.said.dictionary_encode()
                number = np.array([*map(self.said.number, coded.dictionary.to_pylist())])
                codes[rows[line.sample]] = number[np.asarray(coded.indices)]
        for whole in lines.whole:
            self.problem[rows[whole.sample]] = self.said.number(whole.problem)
            self.open[rows[whole.sample]] = True

    def finished(
        self,
        columns: tuple[ReadingColumn, ...],
        assumed: tuple[tuple[str | None, str], ...],
    ) -> RowResults:
        """Return what was filled in."""
        texts = tuple(self.said.texts)
        return RowResults(
            columns,
            self.column,
            self.lower,
            self.upper,
            self.rounding,
            self.status,
            self.problem,
            texts,
            self.question,
            texts,
            assumed,
            self.open,
            self.shared,
        )
