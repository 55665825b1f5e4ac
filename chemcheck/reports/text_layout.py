"""Plain text 80 columns wide: paragraphs, lists and tables that break at words."""

import re
import unicodedata
from collections.abc import Sequence
from textwrap import TextWrapper

WIDTH = 80
GAP = 2
# A number and what belongs to it stay on one line.
TIED = "\u00a0"
_UNITS = "mg/L|mg|g|kg|mL|L|%|vol%|mass%|kPa|psi|deg C|C|F|m|mm|uS/cm|h|hours|days|km|mmol/L"
_APART = re.compile(rf"(?<=\d) (?=(?:{_UNITS})(?![\w/%]))")
# A longer word is cut where a column has no room for it: an id may have any length.
LONGEST_WORD = 40


def paragraph(text: str, indent: str = "", hanging: str | None = None) -> str:
    """Break a text at its words.

    Parameters
    ----------
    text : str
        What to break. A non-breaking space is written as a space and never broken at.
    indent : str
        Before the first line.
    hanging : str or None
        Before the other lines; as ``indent`` if None.

    Examples
    --------
    >>> print(paragraph("Chloride is 45 mg/L above the bound.", "- ", "  "))
    - Chloride is 45 mg/L above the bound.
    """
    return "\n".join(_wrap(text, WIDTH, indent, indent if hanging is None else hanging))


def bullets(texts: Sequence[str]) -> str:
    """Write texts as a list, a dash before each.

    Examples
    --------
    >>> print(bullets(["one", "two"]))
    - one
    - two
    """
    return "\n".join(paragraph(text, "- ", "  ") for text in texts)


def heading(text: str) -> str:
    """Write a heading with a line under it; a long one breaks at its words.

    Examples
    --------
    >>> print(heading("Sources"))
    Sources
    -------
    """
    lines = _wrap(text, WIDTH)
    return "\n".join([*lines, "-" * max(map(display_width, lines), default=0)])


def table(titles: Sequence[str], rows: Sequence[Sequence[str]], numeric: Sequence[int] = ()) -> str:
    """Write rows under titles, in 80 columns.

    Columns of words share the room that is left and break at words, and a word of more than
    40 letters is cut; columns of numbers are as wide as they need, and break between words
    only where the row would be wider than the page.

    Parameters
    ----------
    titles : sequence of str
        The head of each column.
    rows : sequence of sequence of str
        The cells; a row may be shorter than the titles.
    numeric : sequence of int
        Positions of the columns that stand to the right and break last.

    Examples
    --------
    >>> print(table(["analyte", "reading"], [["chloride", "85"], ["pH", "7.6"]], numeric=[1]))
    analyte   reading
    --------  -------
    chloride       85
    pH            7.6
    """
    # Escaped before they are measured: an escape is wider than what it stands for.
    cells = [[*map(visible, row), *[""] * (len(titles) - len(row))] for row in rows]
    widths = _widths(titles, cells, numeric)
    longest = [_longest_word(column) for column in zip(titles, *cells, strict=True)]
    for k in sorted(range(len(longest)), key=longest.__getitem__, reverse=True):
        if _row_width(widths) <= WIDTH:
            break
        cells = [[*row[:k], loosened(row[k]), *row[k + 1 :]] for row in cells]
        widths = _widths(titles, cells, numeric)
    lines = _row(titles, widths, numeric)
    lines.append((" " * GAP).join("-" * width for width in widths))
    for row in cells:
        lines.extend(_row(row, widths, numeric))
    return "\n".join(lines)


def display_width(text: str) -> int:
    """Return how many columns of a terminal a text takes.

    Examples
    --------
    >>> display_width("pH"), display_width("\u6c34"), display_width("e\u0301")
    (2, 2, 1)
    """
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(letter) else 1 + (unicodedata.east_asian_width(letter) in "WF")
        for letter in text
    )


def loosened(text: str) -> str:
    r"""Let go of all ties but those of a number to its unit and its half width.

    Examples
    --------
    >>> loosened(f"at{TIED}least{TIED}2{TIED}(50{TIED}%{TIED}of{TIED}fresh)").split(" ")
    ['at', 'least', '2', '(50\xa0%', 'of', 'fresh)']
    """
    loose = text.replace(TIED, " ").replace(" \u00b1 ", f"{TIED}\u00b1{TIED}")
    return _APART.sub(TIED, loose)


def visible(text: str) -> str:
    r"""Write control characters as escapes, so that a cell's text cannot steer a terminal.

    Line feeds stay.

    Examples
    --------
    >>> visible("a\x1b[31m b\n")
    'a\\x1b[31m b\n'
    """
    if text.isprintable():
        return text
    return "".join(
        letter
        if letter == "\n" or unicodedata.category(letter) not in ("Cc", "Cf", "Cs")
        else letter.encode("unicode_escape").decode("ascii")
        for letter in text
    )


def _widths(
    titles: Sequence[str], rows: Sequence[Sequence[str]], numeric: Sequence[int]
) -> list[int]:
    """Give every column what it needs, then let the columns of words share what is left."""
    columns = list(zip(titles, *rows, strict=True))
    wanted = [max(display_width(cell) for cell in column) for column in columns]
    words = [k for k in range(len(wanted)) if k not in numeric]
    for may_break in (words, list(numeric)):
        _share(wanted, columns, [k for k in may_break if k < len(wanted)])
    return wanted


def _share(wanted: list[int], columns: Sequence[Sequence[str]], may_break: list[int]) -> None:
    """Narrow the widest of some columns until the row fits or none can be narrower."""
    excess = _row_width(wanted) - WIDTH
    least = {k: _longest_word(columns[k]) for k in may_break}
    while excess > 0 and may_break:
        widest = max(may_break, key=lambda k: wanted[k])
        if wanted[widest] <= least[widest]:
            may_break.remove(widest)
            continue
        wanted[widest] -= 1
        excess -= 1


def _row_width(widths: Sequence[int]) -> int:
    return sum(widths) + GAP * (len(widths) - 1)


def _longest_word(column: Sequence[str]) -> int:
    words = (word for cell in column for word in _APART.sub(TIED, cell).split(" "))
    longest = max(map(display_width, words), default=1)
    return min(longest, LONGEST_WORD)


def _row(cells: Sequence[str], widths: Sequence[int], numeric: Sequence[int]) -> list[str]:
    parts = [_broken(cell, width) or [""] for cell, width in zip(cells, widths, strict=True)]
    lines = []
    for line in range(max(len(part) for part in parts)):
        pieces = []
        for column, (part, width) in enumerate(zip(parts, widths, strict=True)):
            piece = part[line] if line < len(part) else ""
            pad = " " * (width - display_width(piece))
            pieces.append(pad + piece if column in numeric else piece + pad)
        lines.append((" " * GAP).join(pieces).rstrip())
    return lines


def _broken(cell: str, width: int) -> list[str]:
    """Break a cell at its words, and those that are too long for any column."""
    lines: list[str] = []
    for line in _wrap(cell, width):
        if display_width(line) <= max(width, LONGEST_WORD) or len(line) <= LONGEST_WORD:
            lines.append(line)
        else:
            lines += [line[k : k + width] for k in range(0, len(line), width)]
    return lines


def _wrap(text: str, width: int, indent: str = "", hanging: str = "") -> list[str]:
    wrapper = TextWrapper(
        width=max(width, 1),
        initial_indent=indent,
        subsequent_indent=hanging,
        break_long_words=False,
        break_on_hyphens=False,
    )
    lines = wrapper.wrap(_APART.sub(TIED, visible(text)))
    return [line.replace(TIED, " ") for line in lines]
