"""One file to results, in the layout that it shows."""

from dataclasses import replace
from pathlib import Path

from chemcheck.errors import IntakeError, Problem, shorten
from chemcheck.intake.assemble import FileResults
from chemcheck.intake.choices import Choices
from chemcheck.intake.column_plan import means_something, plan_columns
from chemcheck.intake.companions import mark_columns
from chemcheck.intake.encoding import read_text
from chemcheck.intake.format import Format, find_format
from chemcheck.intake.hand_kept import as_meant
from chemcheck.intake.headers import read_header, suggest
from chemcheck.intake.ion_sums import with_equivalents
from chemcheck.intake.long import read_long
from chemcheck.intake.long_columns import is_long_title, plan_long
from chemcheck.intake.lumped_potassium import without_lumped_potassium
from chemcheck.intake.second_header import split_header_rows, units_row_problem
from chemcheck.intake.several_tables import split_tables
from chemcheck.intake.table import TextTable, read_table
from chemcheck.intake.transposed import TRANSPOSED, as_rows_of_samples
from chemcheck.intake.wide import read_wide
from chemcheck.intake.wqx import read_wqx
from chemcheck.intake.wqx_columns import is_wqx_title, wqx_columns

_SHOWN = 5
_NOT_LONG = (
    "no column names analytes, or none holds their values; say '{fact: parameter}' and "
    "'{fact: value}' of them in a columns file (--columns)"
)

_NOT_TRANSPOSED = "the first column names too few analytes, or other columns than samples follow"


def open_tables(path: str | Path, choices: Choices) -> tuple[TextTable, ...]:
    """Read a file as one table of text, or as the several that stand in it.

    Parameters
    ----------
    path : str or Path
        The file; ``-`` is standard input.
    choices : Choices
        What the user settled.

    Raises
    ------
    IntakeError
        Where it is no table with a column known here.
    """
    file = read_text(path)

    def known(title: str) -> bool:
        return is_wqx_title(title) or is_long_title(title) or means_something(title, choices)

    table = read_table(file, find_format(file, known, choices.header_row))
    return tuple(
        one if is_wqx(one) else as_rows_of_samples(one, choices)
        for one in split_tables(file, table, known)
    )


def is_wqx(table: TextTable) -> bool:
    """Say whether a table is of the open WQX result layout."""
    return wqx_columns(table.layout.header) is not None


def read_file(table: TextTable, choices: Choices) -> tuple[TextTable, FileResults]:
    """Read a table in the layout that it shows.

    Parameters
    ----------
    table : TextTable
        The file.
    choices : Choices
        What the user settled; a layout stated comes first.

    Returns
    -------
    table : TextTable
        As its reader understood it: without rows of units, ditto marks written out.
    results : FileResults
        The samples and readings.

    Raises
    ------
    IntakeError
        Where it holds no results.
    """
    if choices.layout in (None, "wqx") and is_wqx(table):
        table = _with_rows(table)
        return table, read_wqx(table, decimal=choices.decimal, order=choices.date_order)
    if choices.layout == "wqx":
        raise _other_layout(table, "it has not the columns of the WQX result layout")
    if choices.layout == TRANSPOSED and not table.transposed:
        raise _other_layout(table, _NOT_TRANSPOSED)
    plan = plan_long(table, choices) if choices.layout in (None, "long") else None
    if plan is None and choices.layout == "long":
        raise _other_layout(table, _NOT_LONG)
    if plan is None:
        table, results = _read_wide(table, choices)
    else:
        log = as_meant(_with_rows(table), plan.roles, choices)
        plan = replace(plan, assumptions=(*plan.assumptions, *log.assumptions))
        table, results = log.table, read_long(log.table, plan, choices)
    return table, without_lumped_potassium(results, choices)


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
    plan = with_equivalents(plan, log.table, choices)
    return log.table, read_wide(log.table, plan, choices)


def _with_rows(table: TextTable) -> TextTable:
    """Refuse a table none of whose rows can be used."""
    if not len(table.row):
        problem = Problem(table.name, None, None, "", "no rows below the header")
        raise IntakeError(table.rejected or [problem])
    return table


def _other_layout(table: TextTable, problem: str) -> IntakeError:
    """Say that a table is not laid out as the user says."""
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
