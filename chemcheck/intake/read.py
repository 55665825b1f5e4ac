"""Files of results to readings."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pandas as pd

from chemcheck.errors import IntakeError, Problem, not_one_of, shorten
from chemcheck.history.record import Events
from chemcheck.intake.assemble import FileResults, assemble
from chemcheck.intake.choices import Choices
from chemcheck.intake.column_plan import means_something, plan_columns
from chemcheck.intake.columns_file import read_columns_file
from chemcheck.intake.dates import DATE_ORDERS
from chemcheck.intake.decimal_mark import DECIMAL_MARKS
from chemcheck.intake.encoding import read_text
from chemcheck.intake.events import has_events, read_events
from chemcheck.intake.format import Format, find_format
from chemcheck.intake.headers import read_header, suggest
from chemcheck.intake.table import TextTable, read_table
from chemcheck.intake.wide import read_wide
from chemcheck.intake.wqx import read_wqx
from chemcheck.intake.wqx_columns import is_wqx_title, wqx_columns
from chemcheck.readings.record import PROBLEM_COLUMNS, Readings

_SHOWN = 5


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

    Encoding, separator, decimal mark, date order and layout (a row per sample, or the
    open WQX result layout) are recognised from each file as a whole.

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
    files: list[FileResults] = []
    problems: list[Problem] = []
    titles: set[str] = set()
    logs: list[Events] = []
    for path in [paths] if isinstance(paths, str | Path) else paths:
        try:
            table = _read_table(path, choices)
        except IntakeError as error:
            problems.extend(error.problems)
        else:
            files.append(_read_results(table, choices))
            if has_events([read_header(title) for title in table.layout.header]):
                logs.append(read_events(table, decimal=decimal, order=date_order))
            titles.update(title.casefold() for title in table.layout.header)
    if not files:
        raise IntakeError(problems or [Problem("", None, None, "", "no file was named")])
    problems += _unused(choices, titles)
    readings = assemble(files)
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


def _read_table(path: str | Path, choices: Choices) -> TextTable:
    """Read one file as text, once it is known to hold results."""
    file = read_text(path)
    layout = find_format(file, lambda title: is_wqx_title(title) or means_something(title, choices))
    header = layout.header
    if wqx_columns(header) is None and not plan_columns(header, choices).readings:
        raise _no_readings(file.name, layout)
    table = read_table(file, layout)
    if not len(table.row):
        raise IntakeError(table.rejected)
    return table


def _read_results(table: TextTable, choices: Choices) -> FileResults:
    """Read a table in the layout that its header shows."""
    header = table.layout.header
    if wqx_columns(header) is not None:
        return read_wqx(table, decimal=choices.decimal, order=choices.date_order)
    return read_wide(table, plan_columns(header, choices), choices)


def _no_readings(name: str, layout: Format) -> IntakeError:
    """Show the columns of a file without results, and what they may have been meant for."""
    titles = [title for title in layout.header if title]
    shown = ", ".join(shorten(title, 30) for title in titles[:_SHOWN])
    more = f" and {len(titles) - _SHOWN:,} more" if len(titles) > _SHOWN else ""
    meant = [(title, suggest(read_header(title))) for title in titles]
    near = next((f"; is {title!r} {key}?" for title, key in meant if key), "")
    problem = f"no column of results known here among {shown}{more}{near}"
    return IntakeError([Problem(name, layout.header_row, None, "", problem)])


def _unused(choices: Choices, titles: set[str]) -> list[Problem]:
    """Name what a columns file says of columns that no file has."""
    return [
        Problem(
            choices.file or "",
            choice.line,
            choice.title,
            "",
            not_one_of(choice.title, sorted(titles), "column"),
        )
        for title, choice in choices.columns.items()
        if title not in titles
    ]


def _with_problems(readings: Readings, problems: Sequence[Problem]) -> Readings:
    rows = [(p.file, p.row, p.column, p.text, p.problem, 0) for p in problems]
    table = pd.DataFrame(rows, columns=list(PROBLEM_COLUMNS)).astype(readings.rejected.dtypes)
    return replace(readings, rejected=pd.concat([table, readings.rejected], ignore_index=True))
