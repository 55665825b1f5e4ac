"""Where the header of a text table stands, and what separates its columns."""

import csv
import re
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from itertools import islice

from chemcheck.errors import IntakeError, Problem, shorten
from chemcheck.intake.encoding import TextFile

SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
MOST_COLUMNS = 1000
_HEAD = 1 << 20  # a header and some rows stand within it, or this is no table
_RECORDS = 30  # a banner above the header is shorter
_NAMES = 5_000  # looked at in these rows
_SAMPLED = 200
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|$)")
_SEPARATOR_LINE = re.compile(r'"?sep=(.)"?\s*$')


@dataclass(frozen=True, slots=True)
class Format:
    """How a text table is laid out.

    Parameters
    ----------
    separator : str
        Between the columns.
    line_end : bytes
        After most rows.
    header : tuple of str
        The names of the columns, as written; empty where a column has none.
    header_row : int
        The row of the header as a spreadsheet numbers it; rows above are a banner.
    body : int
        Where the row after the header begins in the file's data [bytes].
    """

    separator: str
    line_end: bytes
    header: tuple[str, ...]
    header_row: int
    body: int


def find_format(
    file: TextFile, known: Callable[[str], bool], header_row: int | None = None
) -> Format:
    r"""Find the header and the separator of a table.

    The separator is the one that splits the file's first rows into the most names that
    mean something; the header is the first row with the most of them. A line ``sep=;``
    above it settles the separator. Where a row above has as many cells, most names of a
    header must be known: it is a row of a table of something else otherwise.

    Parameters
    ----------
    file : TextFile
        The table.
    known : callable
        Says whether the name of a column means something here.
    header_row : int, optional
        The row of the header as a spreadsheet numbers it, where the user says it.

    Raises
    ------
    IntakeError
        Where no row holds a known name, or the first lines are no rows of a table.

    Examples
    --------
    >>> table = TextFile("a.csv", b"Town report\npH;Cl, mg/L\n7,8;12,5\n", "UTF-8")
    >>> layout = find_format(table, {"pH", "Cl, mg/L"}.__contains__)
    >>> layout.separator, layout.header, layout.header_row, layout.body
    (';', ('pH', 'Cl, mg/L'), 2, 24)
    """
    head = _head(file)
    stated = _SEPARATOR_LINE.match(_first_line(head))
    candidates = stated[1] if stated else [mark for mark in SEPARATORS if mark in head]
    headers = [_likeliest_header(head, mark, known, header_row) for mark in candidates or [","]]
    best = max(headers, key=lambda header: header.rank)
    if best.rank[0] < 0 and header_row is not None:
        problem = f"no header in row {header_row}: the rows before it are all there is"
        raise _no_table(file.name, header_row, problem)
    if best.rank[0] < 1:
        raise _no_known_column(file.name, best)
    if len(best.names) > MOST_COLUMNS:
        problem = f"{len(best.names):,} columns; at most {MOST_COLUMNS:,} are read"
        raise _no_table(file.name, best.row, problem)
    rows = _records(head[best.end :], best.separator, _SAMPLED)
    body = len(head[: best.end].encode())
    return Format(best.separator, _line_end(head), _fitted(best.names, rows), best.row, body)


@dataclass(frozen=True, slots=True)
class _Header:
    """A row that may be the header: the higher its rank, the likelier."""

    separator: str
    names: tuple[str, ...] = ()
    row: int = 1
    end: int = 0
    rank: tuple[int, int, int] = (-1, 0, 0)


def _likeliest_header(
    head: str, mark: str, known: Callable[[str], bool], stated: int | None
) -> _Header:
    best, looked_at, widest = _Header(mark), 0, 0
    for row, record in enumerate(_records(head, mark, stated or _RECORDS), start=1):
        if stated not in (None, row):
            continue
        names = record.names
        filled = sum(map(bool, names))
        # A name counts once; beyond what is read, the names are only counted.
        distinct = {name for name in names[:MOST_COLUMNS] if name}
        meant = sum(map(known, distinct))
        mostly = 2 * meant >= len(distinct)
        rank = meant if filled > widest or 2 * meant > len(distinct) else 0
        header = _Header(mark, names, row, record.end, (rank, -row, len(names)))
        best = max(best, header, key=lambda header: header.rank)
        widest = max(widest, filled)
        looked_at += len(names)
        if (meant > 1 and mostly) or looked_at > _NAMES:
            break  # a header if ever there was one: the rows below need no look
    return best


@dataclass(frozen=True, slots=True)
class _Record:
    """One row, and where the next begins [characters]."""

    names: tuple[str, ...]
    end: int


def _head(file: TextFile) -> str:
    """Return the first whole lines of a file; a line that never ends is no table."""
    head = file.data[:_HEAD].decode("utf-8", "ignore")
    if len(file.data) <= _HEAD:
        return head
    end = max(head.rfind("\n"), head.rfind("\r"))
    if end < 0:
        problem = f"the first line is longer than {_HEAD:,} bytes; expected a header and rows"
        raise _no_table(file.name, 1, problem)
    return head[: end + 1]


def _first_line(head: str) -> str:
    line = _LINE.match(head)
    return line[0] if line else ""


def _records(head: str, mark: str, most: int) -> Iterator[_Record]:
    """Split the first rows as a spreadsheet does: quoted line breaks do not end a row.

    Ends early at a cell too long to stand in a header.
    """
    end = 0

    def lines() -> Iterator[str]:
        nonlocal end
        for line in _LINE.finditer(head):
            if line.end() == line.start():
                return
            end = line.end()
            yield line[0]

    reader = csv.reader(lines(), delimiter=mark)
    with suppress(csv.Error):
        for cells in islice(reader, most):
            yield _Record(tuple(" ".join(cell.split()) for cell in cells), end)


def _fitted(names: tuple[str, ...], rows: Iterator[_Record]) -> tuple[str, ...]:
    """Fit the header to its rows where they differ by empty cells at the end only.

    Spreadsheets and instruments leave separators at the end of the header or of the rows.
    """
    sampled = [row.names for row in rows if any(row.names)]
    if not sampled:
        return names
    usual = Counter(map(len, sampled)).most_common(1)[0][0]
    if usual > len(names):
        beyond = (row[len(names) :] for row in sampled if len(row) == usual)
        if not any(any(cells) for cells in beyond):
            return names + ("",) * (usual - len(names))
    elif not any(names[usual:]):
        return names[:usual]
    return names


def _line_end(head: str) -> bytes:
    pairs = head.count("\r\n")
    ends = {b"\r\n": pairs, b"\n": head.count("\n") - pairs, b"\r": head.count("\r") - pairs}
    return max(ends, key=lambda end: ends[end]) if any(ends.values()) else b"\n"


def _no_known_column(name: str, likeliest: _Header) -> IntakeError:
    names = [found for found in likeliest.names if found]
    shown = ", ".join(shorten(found, 30) for found in names[:5]) or "nothing"
    more = f" and {len(names) - 5:,} more" if len(names) > 5 else ""
    problem = (
        f"no column known here among {shown}{more}; expected a header such as 'pH' or "
        "'Chloride (mg/L)', or --columns FILE that says what the columns are"
    )
    return _no_table(name, likeliest.row, problem)


def _no_table(name: str, row: int, problem: str) -> IntakeError:
    return IntakeError([Problem(name, row, None, "", problem)])
