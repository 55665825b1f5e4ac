"""Files of results to readings."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pandas as pd

from chemcheck.errors import IntakeError, Problem, not_one_of
from chemcheck.history.record import Events
from chemcheck.intake.assemble import FileResults, assemble
from chemcheck.intake.choices import Choices
from chemcheck.intake.columns_file import read_columns_file
from chemcheck.intake.dates import DATE_ORDERS
from chemcheck.intake.decimal_mark import DECIMAL_MARKS
from chemcheck.intake.events import has_events, read_events
from chemcheck.intake.headers import read_header
from chemcheck.intake.one_file import is_wqx, open_tables, read_file
from chemcheck.intake.standards import unused_standards, with_standards
from chemcheck.intake.table import TextTable
from chemcheck.intake.used_choices import UsedChoices
from chemcheck.intake.wqx_limits import (
    Limits,
    file_read,
    limit_columns,
    no_results,
    read_limits,
    with_limits,
)
from chemcheck.progress import steps
from chemcheck.readings.record import PROBLEM_COLUMNS, Readings


def read_results(
    paths: str | Path | Sequence[str | Path],
    columns: str | Path | None = None,
    *,
    decimal: str | None = None,
    date_order: str | None = None,
    material: str | None = None,
    technology: str | None = None,
) -> Readings:
    r"""Read the results of strips and laboratories from CSV files.

    Encoding, separator, decimal mark, date order and layout (a row per sample, a row per
    result, or the open WQX result layout) are recognised from each file as a whole.

    Parameters
    ----------
    paths : str, Path or sequence of these
        The files; ``-`` is standard input.
    columns : str or Path, optional
        A columns file: what columns are, and choices that files leave open.
    decimal : {".", ","}, optional
        The decimal mark.
    date_order : {"dmy", "mdy", "ymd"}, optional
        The order of day and month.
    material : {"water", "coolant"}, optional
        Of rows that do not say.
    technology : str, optional
        Of coolant that does not say.

    Returns
    -------
    Readings
        Every sample with its readings as intervals, and a line for everything that was
        set aside, is unusual, stands twice or was taken for granted. A file of several
        that cannot be read is one line among what was set aside.

    Raises
    ------
    IntakeError
        Where nothing can be read from any file.
    LimitFileError
        Where the columns file is wrong.
    UnknownTechnologyError
        Where the technology is not known.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "tap.csv")
    ...     _ = file.write_text("Sample No;pH;Cl [mg/L]\nTap 1;7,8;<0,5\n", encoding="utf-8")
    ...     readings = read_results(file)
    >>> [column.analyte for column in readings.columns]
    ['ph', 'chloride']
    >>> readings.lower.tolist(), readings.upper.tolist()
    ([[7.8, 0.0]], [[7.8, 0.5]])
    """
    options = Choices(
        decimal=_checked(decimal, DECIMAL_MARKS, "decimal mark"),
        date_order=_checked(date_order, DATE_ORDERS, "date order"),
        material=_checked(material, ("water", "coolant"), "material"),
        technology=technology,
    )
    choices = options if columns is None else options.over(read_columns_file(columns))
    files = _Files(choices)
    for path in steps([paths] if isinstance(paths, str | Path) else list(paths), "reading files"):
        files.add(path)
    results, problems, logs = files.results(), files.problems, files.logs
    if not results:
        raise IntakeError(problems or [Problem("", None, None, "", "no file was named")])
    problems += files.used.problems()
    standards = choices.standards
    problems += unused_standards([one.samples for one in results], standards, choices.file or "")
    readings = assemble(results)
    if files.limits:
        about = [file_read(one, files.limits_used) for one in files.limits]
        readings = replace(readings, files=(*readings.files, *about))
    if logs:
        logged = pd.concat([log.table for log in logs], ignore_index=True)
        rejected = pd.concat([readings.rejected, *(log.rejected for log in logs)])
        rejected = rejected.astype(readings.rejected.dtypes).reset_index(drop=True)
        readings = replace(readings, logged=logged, rejected=rejected)
    return readings if not problems else _with_problems(readings, problems)


def _checked(value: str | None, options: Sequence[str], name: str) -> str | None:
    if value is not None and value not in options:
        raise ValueError(not_one_of(value, options, name))
    return value


class _Files:
    """The files of one call while they are read."""

    def __init__(self, choices: Choices) -> None:
        self.choices = choices
        self.problems: list[Problem] = []
        self.logs: list[Events] = []
        self.limits: list[Limits] = []
        self.limits_used = 0
        self.used = UsedChoices(choices)
        # Results in the layout whose limits may stand in another file wait for that.
        self.read: list[FileResults | TextTable] = []

    def add(self, path: str | Path) -> None:
        """Read a file; one that cannot be read is a line."""
        try:
            tables = open_tables(path, self.choices)
        except IntakeError as error:
            self.problems.extend(error.problems)
            return
        for table in tables:
            self._add_table(table)

    def _add_table(self, table: TextTable) -> None:
        try:
            limits = limit_columns(table.layout.header)
            if limits is not None:
                self.limits.append(read_limits(table, limits))
                return
            if is_wqx(table):
                self.read.append(table)
            else:
                table, results = read_file(table, self.choices)
                self.read.append(results)
        except IntakeError as error:
            self.problems.extend(error.problems)
            return
        self.used.note(table)
        if has_events([read_header(title) for title in table.layout.header]):
            log = read_events(table, decimal=self.choices.decimal, order=self.choices.date_order)
            self.logs.append(log)

    def results(self) -> list[FileResults]:
        """Return what the files give, in the order in which they were named."""
        if self.limits and not self.read:
            raise no_results(self.limits)
        found = []
        for one in self.read:
            if isinstance(one, TextTable):
                one, used = with_limits(one, self.limits)
                self.limits_used += used
                try:
                    one = read_file(one, self.choices)[1]
                except IntakeError as error:
                    self.problems.extend(error.problems)
                    continue
            samples = with_standards(one.samples, self.choices.standards)
            found.append(replace(one, samples=samples))
        return found


def _with_problems(readings: Readings, problems: Sequence[Problem]) -> Readings:
    rows = [(p.file, p.row, p.column, p.text, p.problem, 0) for p in problems]
    table = pd.DataFrame(rows, columns=list(PROBLEM_COLUMNS)).astype(readings.rejected.dtypes)
    return replace(readings, rejected=pd.concat([table, readings.rejected], ignore_index=True))
