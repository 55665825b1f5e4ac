"""Result rows of the WQX layout as intervals in canonical units."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from chemcheck.analytes import analyte, plain_name
from chemcheck.errors import UnitError
from chemcheck.intake.cells import NOT_DETECTED, OVER_RANGE, ParsedCells, parse_cells
from chemcheck.intake.result_rows import RowResults
from chemcheck.intake.same_result import half_steps
from chemcheck.intake.word_lists import word_list
from chemcheck.intake.wqx_columns import meanings
from chemcheck.intake.wqx_meaning import Meaning, detection_limit, meaning
from chemcheck.intake.wqx_table import WqxTable, combined
from chemcheck.readings.record import BLANK, READ, REJECTED
from chemcheck.units import parse_unit

_Floats = npt.NDArray[np.float64]
_Codes = npt.NDArray[np.int64]
_Mask = npt.NDArray[np.bool_]


def read_rows(table: WqxTable, decimal: str | None) -> RowResults:
    """Read every result row.

    Parameters
    ----------
    table : WqxTable
        The rows.
    decimal : {".", ","} or None
        The file's decimal mark.

    Returns
    -------
    RowResults
        A non-detect is 0 to its limit, whose unit is its own; above the range is the
        limit to infinity. A non-detect without a limit lies below that of its method, if
        the library knows it; else it is rejected.
    """
    reader = _Reader(table, decimal)
    reader.refuse()
    reader.fill()
    reader.judge_ranges()
    return reader.results()


class _Said:
    """What is said of each row: the first word counts."""

    def __init__(self, rows: int) -> None:
        self.code = np.full(rows, -1, dtype=np.int64)
        self.names: dict[str, int] = {}

    def say(self, rows: _Mask, text: str) -> None:
        """Say something of some rows, unless something was said before."""
        if text and rows.any():
            number = self.names.setdefault(text, len(self.names))
            self.code[rows & (self.code < 0)] = number

    def say_each(self, rows: _Mask, codes: npt.NDArray[np.integer], texts: Sequence[str]) -> None:
        """Say of some rows the text of their code; an empty text says nothing."""
        for number in np.unique(codes[rows]).tolist():
            if number >= 0:
                self.say(rows & (codes == number), texts[number])

    @property
    def silent(self) -> _Mask:
        """The rows nothing was said of."""
        return np.asarray(self.code < 0)


class _Meanings:
    """The meaning of each row under one column of units."""

    def __init__(self, table: WqxTable, unit_texts: Sequence[str], unit: _Codes) -> None:
        columns = ("characteristic", "fraction", "speciation", "temperature_basis")
        key = table.codes(columns[0])
        for column in columns[1:]:
            key = combined(key, table.codes(column))
        _, first, self.code = np.unique(combined(key, unit), return_index=True, return_inverse=True)
        self.in_order = np.argsort(first).tolist()
        self.all: list[Meaning] = [
            meaning(*(table.texts(c)[table.codes(c)[row]] for c in columns), unit_texts[unit[row]])
            for row in first.tolist()
        ]
        changes = [one.change for one in self.all]
        none = float("nan")
        self.factor = np.array([none if c is None else c.factor for c in changes])[self.code]
        divisors = [none if c is None or c.divisor is None else c.divisor for c in changes]
        self.divisor = np.array(divisors)[self.code]
        self.offset = np.array([none if c is None else c.offset for c in changes])[self.code]

    def apply(self, cells: ParsedCells, codes: _Codes, name: str) -> _Floats:
        """Return one end of cells in canonical units."""
        values = getattr(cells, name)[codes]
        multiplied = np.isnan(self.divisor)
        return np.asarray(
            np.where(multiplied, values * self.factor, values / self.divisor) + self.offset
        )

    @property
    def problems(self) -> list[str]:
        """Why the numbers of a meaning cannot be read, empty where they can."""
        return [one.problem for one in self.all]


class _Reader:
    """One table while its results are read."""

    def __init__(self, table: WqxTable, decimal: str | None) -> None:
        rows = len(table)
        self.table = table
        self.said, self.asked = _Said(rows), _Said(rows)
        self.value, self.limit = table.codes("value"), table.codes("limit")
        self.values = parse_cells(pa.array(table.texts("value")), decimal, floor=-np.inf)
        self.limits = parse_cells(pa.array(table.texts("limit")), decimal, floor=-np.inf)
        self.kind = self.values.kind[self.value]
        texts, unit = self._units()
        self.what = _Meanings(table, texts, unit)
        self.limit_what = _Meanings(table, *self._limit_units(texts, unit))
        columns = [one.column for one in self.what.all]
        used = dict.fromkeys(columns[code] for code in self.what.in_order)
        self.columns = tuple(column for column in used if column is not None)
        place = {column: number for number, column in enumerate(self.columns)}
        known = np.array([-1 if one is None else place[one] for one in columns], dtype=np.int64)
        self.column = known[self.what.code]
        self.lower, self.upper = np.full(rows, np.nan), np.full(rows, np.nan)
        self.status = np.full(rows, REJECTED)
        self.assumed: list[str] = []

    def _units(self) -> tuple[list[str], _Codes]:
        """Return the unit of each value; one in the cell itself must not contradict it."""
        texts, unit = list(self.table.texts("unit")), self.table.codes("unit").copy()
        in_cell = self.values.unit[self.value]
        for number in np.unique(in_cell[in_cell >= 0]).tolist():
            stated = self.values.units[number]
            for code in np.unique(unit[in_cell == number]).tolist():
                here = (in_cell == number) & (unit == code)
                if not texts[code]:
                    texts.append(stated)
                    unit[here] = len(texts) - 1
                elif not _same_unit(stated, texts[code]):
                    problem = f"{stated} in the cell, {texts[code]} in its unit column"
                    self.said.say(here, problem)
        return texts, unit

    def _limit_units(self, texts: list[str], unit: _Codes) -> tuple[list[str], _Codes]:
        """Return the unit of each limit: its own, else that of the value."""
        own = self.table.texts("limit_unit")
        code = self.table.codes("limit_unit")
        blank = np.array([not text for text in own], dtype=bool)[code]
        return [*own, *texts], np.where(blank, unit + len(own), code)

    def refuse(self) -> None:
        """Say why rows and results are not used, whatever their numbers."""
        table, known = self.table, meanings("media")
        media = [not text or plain_name(text) in known for text in table.texts("medium")]
        for number, text in enumerate(table.texts("medium")):
            if not media[number]:
                self.said.say(table.codes("medium") == number, f"{text!r} is no water")
        self.column[~np.array(media, dtype=bool)[table.codes("medium")]] = -1
        self.said.say_each(self.column < 0, self.what.code, self.what.problems)
        withdrawn = {plain_name(text) for text in word_list("wqx")["withdrawn"]}
        for number, text in enumerate(table.texts("status")):
            if plain_name(text) in withdrawn:
                self.said.say(table.codes("status") == number, f"its own source marks it {text!r}")
        for number, text in enumerate(table.texts("statistic")):
            if text:
                problem = f"a statistic ({text}) of several results; expected the results"
                self.said.say(table.codes("statistic") == number, problem)

    def fill(self) -> None:
        """Put value, condition and limit of each row together."""
        condition = self._condition()
        blank = self.kind == BLANK
        self.said.say((condition == "missing") & ~blank, "marked as not measured beside a value")
        rejected = self.values.problem[self.value]
        self.said.say_each(rejected >= 0, rejected, self.values.problems)
        self.said.say_each(self.kind == READ, self.what.code, self.what.problems)
        self.status[blank & ((condition == "") | (condition == "missing"))] = BLANK
        self._below(condition)
        self._above(condition)
        plain = (condition == "") & (self.kind == READ)
        self._enter(
            plain,
            self.what.apply(self.values, self.value, "lower"),
            self.what.apply(self.values, self.value, "upper"),
        )

    def _condition(self) -> npt.NDArray[np.object_]:
        """Return what each row's detection condition means; refuse the unusable ones."""
        known, texts = meanings("conditions"), self.table.texts("condition")
        codes = self.table.codes("condition")
        said = [known.get(plain_name(text), "unknown") if text else "" for text in texts]
        for number, text in enumerate(texts):
            if said[number] == "refused":
                self.said.say(codes == number, f"marked {text!r}: no result")
            elif said[number] == "unknown":
                self.said.say(codes == number, f"{text!r} is no detection condition known here")
        return np.array(said, dtype=object)[codes]

    def _below(self, condition: npt.NDArray[np.object_]) -> None:
        """Fill the non-detects: up to the limit, and up to a number that stands beside it."""
        marked = condition == "below"
        limit = self.limit_what.apply(self.limits, self.limit, "upper")
        number = np.where(
            self.kind == READ, self.what.apply(self.values, self.value, "upper"), np.nan
        )
        here = marked & ((self.kind == READ) | (self.kind == BLANK) | (self.kind == NOT_DETECTED))
        here |= (condition == "") & (self.kind == NOT_DETECTED)
        limit = np.where(np.isnan(limit), self._method_limits(here & np.isnan(number)), limit)
        self._refuse_limits(here & np.isnan(number), limit, "not detected, and no limit is stated")
        upper = np.fmax(limit, number)
        self._enter(here, np.full(len(upper), -np.inf), upper)

    def _method_limits(self, rows: _Mask) -> _Floats:
        """Return the detection limit of the method of rows without a limit of their own."""
        limits = np.full(len(rows), np.nan)
        rows = rows & (self.column >= 0) & (self.limits.kind[self.limit] == BLANK)
        names, codes = self.table.texts("method"), self.table.codes("method")
        pair = combined(self.column + 1, codes)
        for number, row in zip(*np.unique(pair[rows], return_index=True), strict=True):
            at = int(np.flatnonzero(rows)[row])
            known = analyte(self.columns[self.column[at]].analyte)
            limit = detection_limit(names[codes[at]], known.key)
            if limit is not None:
                limits[rows & (pair == number)] = limit
                why = f"not detected, without a limit: below the method's {limit:g} {known.unit}"
                self.assumed.append(f"{known.title} {why}")
        return limits

    def _above(self, condition: npt.NDArray[np.object_]) -> None:
        """Fill what lies above the range: from the number, else from the limit."""
        marked = condition == "above"
        limit = self.limit_what.apply(self.limits, self.limit, "upper")
        number = np.where(
            self.kind == READ, self.what.apply(self.values, self.value, "lower"), np.nan
        )
        here = marked & ((self.kind == READ) | (self.kind == BLANK) | (self.kind == OVER_RANGE))
        here |= (condition == "") & (self.kind == OVER_RANGE)
        self._refuse_limits(
            here & np.isnan(number), limit, "above the range, and no limit is stated"
        )
        lower = np.where(np.isnan(number), limit, number)
        self._enter(here, lower, np.full(len(lower), np.inf))

    def _refuse_limits(self, rows: _Mask, limit: _Floats, without: str) -> None:
        """Say why a limit that is needed cannot be used."""
        stated = self.limits.kind[self.limit] == READ
        bad = self.limits.problem[self.limit]
        self.said.say_each(rows & (bad >= 0), bad, self.limits.problems)
        self.said.say_each(rows & stated, self.limit_what.code, self.limit_what.problems)
        self.said.say(rows & np.isnan(limit), without)

    def _enter(self, rows: _Mask, lower: _Floats, upper: _Floats) -> None:
        here = rows & self.said.silent & (self.column >= 0)
        self.lower[here], self.upper[here] = lower[here], upper[here]
        self.status[here] = READ

    def judge_ranges(self) -> None:
        """Refuse what is not possible, ask about what is unusual."""
        asked = self.values.question[self.value]
        self.asked.say_each(asked >= 0, asked, self.values.questions)
        for number, column in enumerate(self.columns):
            known = analyte(column.analyte)
            here = (self.column == number) & (self.status == READ)
            least, most = known.possible
            self.lower[here & np.isneginf(self.lower)] = least
            impossible = here & ((self.upper < least) | (self.lower > most))
            self.said.say(impossible, f"impossible: expected {_span(known.possible, known.unit)}")
            self.status[impossible] = REJECTED
            self.lower[impossible] = self.upper[impossible] = np.nan
            if "water" in known.usual:
                low, high = known.usual["water"]
                odd = here & ((self.upper < low) | (self.lower > high))
                span = _span((low, high), known.unit)
                self.asked.say(odd, f"unusual: {known.title} of water is mostly {span}")

    def results(self) -> RowResults:
        """Return what was read."""
        self.status[~self.said.silent] = REJECTED
        rows = self.status != READ
        self.lower[rows] = self.upper[rows] = np.nan
        half = np.where(
            self.kind == READ,
            half_steps(self.table.texts("value"))[self.value] * np.abs(self.what.factor),
            half_steps(self.table.texts("limit"))[self.limit] * np.abs(self.limit_what.factor),
        )
        used = np.unique(self.what.code[self.status == READ]).tolist()
        assumed = [*self.assumed, *(self.what.all[code].assumed for code in used)]
        if not self.table.has("medium") or "" in self.table.texts("medium"):
            assumed.append("results without a medium are taken as water")
        return RowResults(
            self.columns,
            self.column,
            self.lower,
            self.upper,
            np.nan_to_num(half),
            self.status,
            self.said.code,
            tuple(self.said.names),
            np.where(self.status == READ, self.asked.code, -1),
            tuple(self.asked.names),
            tuple((None, text) for text in dict.fromkeys(assumed) if text),
        )


def _span(ends: tuple[float, float], unit: str) -> str:
    return f"{ends[0]:g} to {ends[1]:g} {unit}"


def _same_unit(one: str, other: str) -> bool:
    try:
        return parse_unit(one) == parse_unit(other)
    except UnitError:
        return one.casefold() == other.casefold()
