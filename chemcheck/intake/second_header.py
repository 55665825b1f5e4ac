"""Rows below the header that are no samples: units, or the columns' other names."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from chemcheck.analytes import plain_name, read_unit
from chemcheck.errors import Problem, UnitError, shorten
from chemcheck.intake.characters import plain
from chemcheck.intake.choices import NO_ROW, Choices
from chemcheck.intake.headers import Header, read_header
from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list
from chemcheck.units import parse_unit

_MOST = 2  # rows of the header below its first
_SETTLE = "say which in a columns file (--columns)"
# Columns that name a sample: where one is filled, the row is a sample unless units abound.
_NAMING = ("sample_id", "unit_id", "taken_on")


@dataclass(frozen=True, slots=True)
class HeaderRow:
    """A row below the header that is no sample.

    Parameters
    ----------
    row : int
        The row as a spreadsheet numbers it.
    kind : {"units", "names"}
        What it holds.
    cells : tuple of str
        One a column.
    """

    row: int
    kind: str
    cells: tuple[str, ...]


def split_header_rows(
    table: TextTable, choices: Choices
) -> tuple[TextTable, tuple[HeaderRow, ...]]:
    """Tell the rows of the header from the samples below them.

    A row of units has a unit in each filled column of results, and no number; a row of
    names has names of results there. The user's own word comes first.

    Parameters
    ----------
    table : TextTable
        The file.
    choices : Choices
        What the user settled.

    Returns
    -------
    table : TextTable
        The samples.
    rows : tuple of HeaderRow
        What stands between the header and them.

    Raises
    ------
    IntakeError
        Where the user names a row of units that is none of the first below the header.
    """
    headers = [read_header(title) for title in table.layout.header]
    titles = table.layout.header
    own = [choices.of_title(title) for title in titles]
    headers = [h if c is None else c.header(h) for h, c in zip(headers, own, strict=True)]
    found: list[HeaderRow] = []
    while len(found) < _MOST and len(found) < len(table.row) and choices.units_row != NO_ROW:
        place = len(found)
        cells = tuple(plain(str(table.cells.column(k)[place].as_py())) for k in range(len(headers)))
        row = int(table.row[place])
        kind = "units" if row == choices.units_row else _kind(headers, cells)
        if kind is None or kind in (one.kind for one in found):
            break
        found.append(HeaderRow(row, kind, cells))
    return table.without_first(len(found)), tuple(found)


def units_row_problem(
    name: str, rows: Sequence[HeaderRow], header_row: int, stated: int | None
) -> Problem | None:
    """Say that the row of units the user names is none of the first below the header."""
    if stated in (None, NO_ROW) or any(one.row == stated for one in rows):
        return None
    return Problem(
        name, stated, None, "", f"no row of units here: expected one right below row {header_row}"
    )


def combined(header: Header, rows: Sequence[HeaderRow], place: int) -> Header:
    """Return what a column means by its title and the rows below it.

    Parameters
    ----------
    header : Header
        By its title.
    rows : sequence of HeaderRow
        Below it.
    place : int
        The column.

    Examples
    --------
    >>> units = HeaderRow(2, "units", ("mg/L as N", "mmol/L"))
    >>> combined(read_header("Nitrate"), [units], 0).unit_text
    'mg/L as N'
    >>> combined(read_header("Chloride mg/L"), [units], 1).problem
    'mg/L in the header, mmol/L in row 2: say which in a columns file (--columns)'
    """
    for one in rows:
        cell = one.cells[place]
        if not says_nothing(cell):
            if one.kind == "units":
                header = with_unit(header, _unit_text(cell), "in the header", f"in row {one.row}")
            else:
                header = _with_name(header, cell, one.row)
    return header


def _kind(headers: Sequence[Header], cells: Sequence[str]) -> str | None:
    """Say what a row holds that stands where the first sample might; None for a sample."""
    columns = [
        (header, cell)
        for header, cell in zip(headers, cells, strict=True)
        if not says_nothing(cell) and (header.analyte is not None or _is_measured(header.role))
    ]
    named = sum(
        header.role in _NAMING and not says_nothing(cell) and not _is_unit_word(cell)
        for header, cell in zip(headers, cells, strict=True)
    )
    units = [_unit_kind(header, cell) for header, cell in columns]
    fitting = units.count("fits")
    if None not in units and fitting > named and 2 * fitting >= len(units):
        return "units"
    names = [read_header(cell).analyte for _, cell in columns]
    if len(names) > 1 and None not in names:
        return "names"
    return None


def _unit_kind(header: Header, cell: str) -> str | None:
    """Say whether a text is a unit that fits its column, is another unit, or none."""
    if cell[:1].isdigit():
        return None
    if header.analyte is not None:
        try:
            read_unit(header.analyte, _unit_text(cell))
        except UnitError:
            pass
        else:
            return "fits"
    try:
        parse_unit(_unit_text(cell))
    except UnitError:
        return None
    return "fits" if header.analyte is None else "other"


def _is_measured(role: str | None) -> bool:
    """Say whether a column about the sample has a unit, as the hours of its unit have."""
    return role in word_list("sample_columns")["dimensions"]


def _unit_text(cell: str) -> str:
    """Take the brackets off a unit."""
    return cell[1:-1].strip() if cell[:1] + cell[-1:] in ("()", "[]") else cell


def says_nothing(cell: str) -> bool:
    """Say whether a text is empty or a dash.

    Examples
    --------
    >>> says_nothing("[-]"), says_nothing("%")
    (True, False)
    """
    return not plain_name(cell) and "%" not in cell and "°" not in cell


def _is_unit_word(cell: str) -> bool:
    return plain_name(cell) in map(plain_name, map(str, word_list("sample_columns")["units_row"]))


def with_unit(header: Header, unit: str, above: str, below: str) -> Header:
    """Return what a column means with a unit that stands beside its title.

    Parameters
    ----------
    header : Header
        By its title.
    unit : str
        Beside it.
    above, below : str
        Where the two stand, for what is said where they contradict each other.
    """
    if header.analyte is None:
        return replace(header, unit_text=header.unit_text or unit) if header.role else header
    try:
        stated = read_unit(header.analyte, unit)
    except UnitError as error:
        return replace(header, problem=f"{below}: {error}")
    if header.unit_text is None:
        known = stated.form or header.form
        return replace(header, unit_text=unit, choices=() if known else header.choices)
    own = read_unit(header.analyte, header.unit_text)
    forms, bases = {own.form, stated.form}, {own.basis, stated.basis}
    if own.unit == stated.unit and len(forms - {None}) < 2 and len(bases - {None}) < 2:
        return header if stated.form is None else replace(header, unit_text=unit)
    said = f"{header.unit_text} {above}, {shorten(unit, 30)} {below}: {_SETTLE}"
    return replace(header, problem=said)


def _with_name(header: Header, cell: str, row: int) -> Header:
    below = read_header(cell)
    if not header.known:
        return replace(below, title=header.title)
    if below.analyte is None or header.analyte is None:
        return header
    if below.analyte != header.analyte:
        said = (
            f"{header.title!r} in the header, {shorten(cell, 30)!r} in row {row}: two analytes; "
            f"{_SETTLE}"
        )
        return replace(header, problem=said)
    joined = replace(
        header,
        form=header.form or below.form,
        basis=header.basis or below.basis,
        choices=() if header.form or below.form else header.choices,
    )
    if below.unit_text is None:
        return joined
    return with_unit(joined, below.unit_text, "in the header", f"in row {row}")
