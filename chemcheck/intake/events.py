"""The log of changes, top-ups, doses, repairs and meter resets."""

from collections.abc import Sequence
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from chemcheck.analytes import plain_name
from chemcheck.errors import IntakeError, Problem, UnitError, not_one_of
from chemcheck.history.record import EVENT_COLUMNS, EVENT_KINDS, Events
from chemcheck.intake.cells import AMBIGUOUS, ParsedCells, parse_cells
from chemcheck.intake.dates import date_order, parse_dates
from chemcheck.intake.decimal_mark import decimal_evidence
from chemcheck.intake.encoding import read_text
from chemcheck.intake.format import find_format
from chemcheck.intake.headers import Header, read_header, usual_role_unit
from chemcheck.intake.table import TextTable, read_table
from chemcheck.intake.word_lists import word_list
from chemcheck.readings.record import BLANK, PROBLEM_COLUMNS, READ
from chemcheck.units import convert

# The role of a column of the file, and the column of the log.
_TEXTS = {"unit_id": "unit_id", "fluid": "fluid", "note": "note"}
_NUMBERS = ("hours", "distance", "litres")
_OF_THE_SAMPLE = ("taken_on", "hours", "distance")
_NO_PLACE = "neither date nor hours nor distance can be used; expected one of them"


def read_events(
    source: str | Path | TextTable, *, decimal: str | None = None, order: str | None = None
) -> Events:
    r"""Read events from a log of their own, or from the columns of a file of samples.

    Parameters
    ----------
    source : str, Path or TextTable
        The log; or the table of a file of samples, whose rows without an event are
        passed over. What its own intake reports of a row is not reported again.
    decimal : {".", ","}, optional
        The decimal mark; by default the file decides.
    order : {"dmy", "mdy", "ymd"}, optional
        The order of day and month; by default the file decides.

    Returns
    -------
    Events
        Every row of a log is an event or a rejected row. A row needs a unit, an event of
        a known kind, and a date, hours or distance; what else cannot be read is set
        aside with a line, and the row goes on.

    Raises
    ------
    IntakeError
        Where nothing can be read, or the file has no column for the event or the unit.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     log = Path(folder, "log.csv")
    ...     _ = log.write_text("Unit,Date,Event,Volume\nT1,2031-04-01,topped up,12 L\n")
    ...     events = read_events(log)
    >>> events.table[["unit_id", "event", "litres"]].to_numpy().tolist()
    [['T1', 'top-up', 12.0]]
    """
    own_log = not isinstance(source, TextTable)
    table = source if isinstance(source, TextTable) else _table(source)
    headers = [read_header(title) for title in table.layout.header]
    return _Reader(table, headers, decimal, order, own_log).events()


def has_events(headers: Sequence[Header]) -> bool:
    """Say whether a file of samples holds events as well.

    Examples
    --------
    >>> has_events([read_header("Unit"), read_header("Event")])
    True
    """
    return any(header.role == "event" for header in headers)


def event_kind(text: str) -> str | None:
    """Return the kind of event a text names, None where it names none.

    Examples
    --------
    >>> event_kind("Drained and refilled"), event_kind("looked at it")
    ('change', None)
    """
    return _kinds().get(plain_name(text))


@cache
def _kinds() -> dict[str, str]:
    lists = word_list("event_words")
    return {plain_name(str(word)): kind for kind in EVENT_KINDS for word in lists[kind]}


def _table(path: str | Path) -> TextTable:
    file = read_text(path)
    layout = find_format(file, lambda title: read_header(title).role is not None)
    return read_table(file, layout)


class _Reader:
    """One table while its events are read."""

    def __init__(
        self,
        table: TextTable,
        headers: Sequence[Header],
        decimal: str | None,
        order: str | None,
        own_log: bool,
    ) -> None:
        self.table = table
        self.own_log = own_log
        self.places: dict[str, int] = {}
        for place, header in enumerate(headers):
            if header.role is not None:
                self.places.setdefault(header.role, place)
        self.headers = headers
        self.problems = list(table.rejected) if own_log else []
        numbers = {
            headers[place].title: table.coded(place)[0]
            for role, place in self.places.items()
            if role in _NUMBERS
        }
        separator = table.layout.separator
        self.decimal = decimal or decimal_evidence(numbers, separator).mark
        self.order = order

    def events(self) -> Events:
        """Return every event, and what could not be used."""
        for role, wanted in (("event", "the event"), ("unit_id", "the unit")):
            if role not in self.places:
                problem = f"no column for {wanted} of an entry; expected one such as {role!r}"
                raise IntakeError([Problem(self.table.name, None, None, "", problem)])
        texts, codes = self.table.coded(self.places["event"])
        blank = np.array([not (text or "").strip() for text in texts.to_pylist()], dtype=bool)[
            codes
        ]
        rows = np.arange(len(codes)) if self.own_log else np.flatnonzero(~blank)
        frame = self._frame(rows)
        bad = self._refuse(rows, frame)
        frame = frame[~bad].reset_index(drop=True)
        self.problems.sort(key=lambda problem: problem.row or 0)
        return Events(frame[list(EVENT_COLUMNS)], _rejected(self.problems))

    def _frame(self, rows: npt.NDArray[np.int64]) -> pd.DataFrame:
        """Return the rows with everything that can be read of them."""
        data: dict[str, object] = {"file": self.table.name, "row": self.table.row[rows]}
        data["date"] = self._dates(rows)
        for role in _NUMBERS:
            data[role] = self._numbers(role, rows)
        data["event"] = self._kind_column(rows)
        for role, column in _TEXTS.items():
            data[column] = self._text_column(role, rows)
        return pd.DataFrame(data)

    def _refuse(self, rows: npt.NDArray[np.int64], frame: pd.DataFrame) -> npt.NDArray[np.bool_]:
        """Write a line for each row that is no event; return which."""
        no_event = frame["event"].isna().to_numpy()
        no_unit = frame["unit_id"].isna().to_numpy() & ~no_event
        place = frame[["date", "hours", "distance"]].notna().any(axis=1).to_numpy()
        no_place = ~place & ~no_event & ~no_unit
        texts, codes = self.table.coded(self.places["event"])
        for row in np.flatnonzero(no_event):
            text = (texts[int(codes[rows[row]])].as_py() or "").strip()
            problem = _unknown_event(text)
            self._problem(rows[row], None, text, problem)
        for row in np.flatnonzero(no_unit):
            self._problem(rows[row], None, "", "no unit; expected the unit's name or number")
        for row in np.flatnonzero(no_place):
            self._problem(rows[row], None, "", _NO_PLACE)
        return np.asarray(no_event | no_unit | no_place)

    def _problem(self, row: np.int64, role: str | None, text: str, problem: str) -> None:
        if role in _OF_THE_SAMPLE and not self.own_log:
            return
        column = None if role is None else self.headers[self.places[role]].title
        self.problems.append(
            Problem(self.table.name, int(self.table.row[row]), column, text, problem)
        )

    def _coded(
        self, role: str, rows: npt.NDArray[np.int64]
    ) -> tuple[pa.Array, npt.NDArray[np.int32]]:
        texts, codes = self.table.coded(self.places[role])
        return texts, codes[rows]

    def _text_column(self, role: str, rows: npt.NDArray[np.int64]) -> pd.Series:
        if role not in self.places:
            return pd.Series([None] * len(rows), dtype="str")
        texts, codes = self._coded(role, rows)
        known = pd.Series([(text or "").strip() or None for text in texts.to_pylist()], dtype="str")
        return known.take(codes).reset_index(drop=True)

    def _kind_column(self, rows: npt.NDArray[np.int64]) -> pd.Series:
        texts, codes = self._coded("event", rows)
        kinds = pd.Series([event_kind(text or "") for text in texts.to_pylist()], dtype="str")
        return kinds.take(codes).reset_index(drop=True)

    def _dates(self, rows: npt.NDArray[np.int64]) -> npt.NDArray[np.datetime64]:
        if "taken_on" not in self.places:
            return np.full(len(rows), np.datetime64("NaT", "us"))
        texts, codes = self._coded("taken_on", rows)
        decided = date_order({"": texts})
        dates = parse_dates(texts, self.order or decided.order)
        for row in np.flatnonzero((dates.ambiguous | dates.bad)[codes]):
            text = texts[int(codes[row])].as_py()
            problem = (
                "the day or the month first? nothing in the file decides; say --date-order"
                if dates.ambiguous[codes[row]]
                else "expected a date, such as 2025-04-03"
            )
            self._problem(rows[row], "taken_on", text, problem)
        return dates.values[codes]

    def _numbers(self, role: str, rows: npt.NDArray[np.int64]) -> npt.NDArray[np.float64]:
        """Return a number of each row in its usual unit; the middle of a range."""
        if role not in self.places:
            return np.full(len(rows), np.nan)
        texts, codes = self._coded(role, rows)
        cells = parse_cells(texts, self.decimal, floor=-np.inf)
        stated = self.headers[self.places[role]].unit_text
        target = str(usual_role_unit(role))
        values, problems = _in_unit(cells, stated or target, target)
        for row in np.flatnonzero(np.array([bool(text) for text in problems], dtype=bool)[codes]):
            code = int(codes[row])
            self._problem(rows[row], role, texts[code].as_py(), problems[code])
        return values[codes]


def _in_unit(
    cells: ParsedCells, stated: str, target: str
) -> tuple[npt.NDArray[np.float64], list[str]]:
    """Return the distinct numbers in a unit, and what is wrong with each, empty if nothing."""
    read = (cells.kind == READ) & np.isfinite(cells.lower) & np.isfinite(cells.upper)
    values = np.where(read, (cells.lower + cells.upper) / 2.0, np.nan)
    problems = [cells.problems[code] if code >= 0 else "" for code in cells.problem]
    for code in (-1, *range(len(cells.units))):
        here = (cells.unit == code) & read
        unit = stated if code < 0 else cells.units[code]
        try:
            values[here] = convert(values[here], unit, target)
        except UnitError as error:
            values[here] = np.nan
            for place in np.flatnonzero(here):
                problems[place] = str(error)
    for place in np.flatnonzero(np.isnan(values) | (values < 0.0)):
        if not problems[place] and cells.kind[place] not in (BLANK, AMBIGUOUS):
            values[place] = np.nan
            problems[place] = f"expected a number of {target}, 0 or more"
    return values, problems


def _unknown_event(text: str) -> str:
    if not text:
        return f"no event; expected one of: {', '.join(EVENT_KINDS)}"
    nearest = not_one_of(text.casefold(), [*_all_words()], "event")
    return nearest if "nearest" in nearest else not_one_of(text, EVENT_KINDS, "event")


@cache
def _all_words() -> tuple[str, ...]:
    lists = word_list("event_words")
    return tuple(str(word) for kind in EVENT_KINDS for word in lists[kind])


def _rejected(problems: Sequence[Problem]) -> pd.DataFrame:
    rows = [
        (p.file, p.row, p.column, p.text, p.problem, int(p.column is not None)) for p in problems
    ]
    return pd.DataFrame(rows, columns=list(PROBLEM_COLUMNS))
