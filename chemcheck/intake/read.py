"""Files of results to readings."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pandas as pd

from chemcheck.errors import IntakeError, Problem, not_one_of, shorten
from chemcheck.history.record import Events
from chemcheck.intake.assemble import FileResults, assemble
from chemcheck.intake.choices import Choices, plain_title
from chemcheck.intake.column_plan import means_something, plan_columns
from chemcheck.intake.columns_file import read_columns_file
from chemcheck.intake.companions import mark_columns
from chemcheck.intake.dates import DATE_ORDERS
from chemcheck.intake.decimal_mark import DECIMAL_MARKS
from chemcheck.intake.encoding import read_text
from chemcheck.intake.events import has_events, read_events
from chemcheck.intake.format import Format, find_format
from chemcheck.intake.hand_kept import as_meant
from chemcheck.intake.headers import read_header, suggest
from chemcheck.intake.long import read_long
from chemcheck.intake.long_columns import is_long_title, plan_long
from chemcheck.intake.second_header import split_header_rows, units_row_problem
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
    names: dict[str, None] = {}
    logs: list[Events] = []
    for path in [paths] if isinstance(paths, str | Path) else paths:
        try:
            table, results = _read_file(path, choices)
        except IntakeError as error:
            problems.extend(error.problems)
        else:
            files.append(results)
            if has_events([read_header(title) for title in table.layout.header]):
                logs.append(read_events(table, decimal=decimal, order=date_order))
            titles.update(map(plain_title, table.layout.header))
            names.update(_names(table, choices) if choices.analytes else ())
    if not files:
        raise IntakeError(problems or [Problem("", None, None, "", "no file was named")])
    problems += _unused(choices, titles, names)
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


def _read_file(path: str | Path, choices: Choices) -> tuple[TextTable, FileResults]:
    """Read one file in the layout that its header shows."""
    file = read_text(path)
    layout = find_format(
        file,
        lambda title: (
            is_wqx_title(title) or is_long_title(title) or means_something(title, choices)
        ),
        choices.header_row,
    )
    table = read_table(file, layout)
    if wqx_columns(layout.header) is not None:
        whole = _with_rows(table)
        return whole, read_wqx(whole, decimal=choices.decimal, order=choices.date_order)
    plan = plan_long(table, choices) if choices.layout in (None, "long") else None
    if plan is not None:
        log = as_meant(_with_rows(table), plan.roles, choices)
        plan = replace(plan, assumptions=(*plan.assumptions, *log.assumptions))
        return log.table, read_long(log.table, plan, choices)
    if choices.layout == "long":
        raise _no_long_table(table)
    return _read_wide(table, choices)


def _read_wide(table: TextTable, choices: Choices) -> tuple[TextTable, FileResults]:
    """Read a table with a row per sample, once it is known to hold results."""
    name, layout = table.name, table.layout
    samples, below = split_header_rows(table, choices)
    problem = units_row_problem(name, below, layout.header_row, choices.units_row)
    if problem is not None:
        raise IntakeError([problem])
    plan = plan_columns(layout.header, choices, below, mark_columns(samples))
    if not plan.readings:
        raise _no_readings(name, layout)
    log = as_meant(_with_rows(samples), plan.roles, choices)
    plan = replace(
        plan,
        assumptions=(*plan.assumptions, *log.assumptions),
        copies_results=log.copies_results,
    )
    return log.table, read_wide(log.table, plan, choices)


def _with_rows(table: TextTable) -> TextTable:
    """Refuse a table none of whose rows can be used."""
    if not len(table.row):
        problem = Problem(table.name, None, None, "", "no rows below the header")
        raise IntakeError(table.rejected or [problem])
    return table


def _no_long_table(table: TextTable) -> IntakeError:
    """Say what is missing in a table that the user calls long."""
    problem = (
        "no column names analytes, or none holds their values; say '{fact: parameter}' and "
        "'{fact: value}' of them in a columns file (--columns)"
    )
    return IntakeError([Problem(table.name, table.layout.header_row, None, "", problem)])


def _no_readings(name: str, layout: Format) -> IntakeError:
    """Show the columns of a file without results, and what they may have been meant for."""
    titles = [title for title in layout.header if title]
    shown = ", ".join(shorten(title, 30) for title in titles[:_SHOWN])
    more = f" and {len(titles) - _SHOWN:,} more" if len(titles) > _SHOWN else ""
    meant = [(title, suggest(read_header(title))) for title in titles]
    near = next((f"; is {title!r} {key}?" for title, key in meant if key), "")
    problem = f"no column of results known here among {shown}{more}{near}"
    return IntakeError([Problem(name, layout.header_row, None, "", problem)])


def _names(table: TextTable, choices: Choices) -> dict[str, None]:
    """Return what a long table names in its rows."""
    plan = plan_long(table, choices)
    if plan is None:
        return {}
    texts = table.coded(plan.places["parameter"])[0].to_pylist()
    return dict.fromkeys(text.strip() for text in texts if text and text.strip())


def _unused(choices: Choices, titles: set[str], names: dict[str, None]) -> list[Problem]:
    """Name what a columns file says of columns and analytes that no file has."""
    known = set(map(plain_title, names))
    unused = [one for name, one in choices.analytes.items() if name not in known]
    named = [
        (name, choice.line)
        for choice in choices.columns.values()
        for name in (choice.title, *(title for _, title in choice.companions))
    ]
    return [
        Problem(choices.file or "", line, name, "", not_one_of(name, sorted(titles), "column"))
        for name, line in named
        if plain_title(name) not in titles
    ] + [
        Problem(choices.file or "", one.line, one.title, "", _no_such_name(one.title, list(names)))
        for one in unused
    ]


def _no_such_name(name: str, names: list[str]) -> str:
    """Say that no row of any file has a name."""
    return not_one_of(name, names, "analyte").replace("known here", "of these files")


def _with_problems(readings: Readings, problems: Sequence[Problem]) -> Readings:
    rows = [(p.file, p.row, p.column, p.text, p.problem, 0) for p in problems]
    table = pd.DataFrame(rows, columns=list(PROBLEM_COLUMNS)).astype(readings.rejected.dtypes)
    return replace(readings, rejected=pd.concat([table, readings.rejected], ignore_index=True))
