"""Whether a file writes its decimals with a point or with a comma."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

DECIMAL_MARKS = (".", ",")

Texts: TypeAlias = Sequence[str | None] | npt.NDArray[np.object_] | pa.Array

# Only a cell that begins as a number does is looked at, so that remarks decide nothing.
_CELL = r"^[\s\"'(]*(?:[pP][hH]\s*)?[<>=~≤≥≈+\-−–]*\s*[\d.,]"
_LEFT, _RIGHT = r"(?:^|[^\d.,])", r"(?:$|[^\d.,])"
_LOOSE = rf"{_LEFT}[1-9]\d{{0,2}}[.,]\d{{3}}{_RIGHT}"
_FIRST_LOOK = 2_000


@dataclass(frozen=True, slots=True)
class DecimalMark:
    """The decimal mark of a file.

    Parameters
    ----------
    mark : {".", ","} or None
        None where the file leaves it open: then each cell with only one possible
        reading is still read, and the others are set aside.
    why : str
        The evidence, as words for a person.
    """

    mark: str | None
    why: str

    @property
    def proved(self) -> bool:
        """Whether some number of the file can only be read with this mark."""
        return self.why.startswith("decimal")


def decimal_evidence(
    distinct_texts_by_column: Mapping[str, Texts], separator: str | None = None
) -> DecimalMark:
    """Decide the decimal mark from every number of a file.

    Parameters
    ----------
    distinct_texts_by_column : mapping of str to sequence of str
        Header to the distinct texts below it, of the columns that hold numbers; leave
        dates and free text out.
    separator : str, optional
        Between the file's columns. Where the comma separates columns, a lone ``1.073``
        has its usual meaning; where a semicolon or a tab does, it is left open.

    Returns
    -------
    DecimalMark
        ``1.200,5``, ``7,8`` and ``0,500`` speak for the comma, ``1,200.5``, ``7.8`` and
        ``0.500`` for the point. ``300,000`` speaks for neither.

    Examples
    --------
    >>> decimal_evidence({"pH": ["7,8"], "chloride": ["300,000"]})
    DecimalMark(mark=',', why="decimal comma, as in '7,8' (pH)")
    >>> decimal_evidence({"chloride": ["300,000"]}).mark is None
    True
    """
    arrays = {title: _array(texts) for title, texts in distinct_texts_by_column.items()}
    comma = _proof(arrays, ",", other=".")
    point = _proof(arrays, ".", other=",")
    if point and comma:
        return DecimalMark(None, f"both marks are used, as in {point} and {comma}")
    if point:
        return DecimalMark(".", f"decimal point, as in {point}")
    if comma:
        return DecimalMark(",", f"decimal comma, as in {comma}")
    return _without_evidence(arrays, separator)


def read_number(text: str, decimal: str | None) -> float | None:
    """Read one number, thousands marks included.

    Parameters
    ----------
    text : str
        A number without unit, of plain characters.
    decimal : {".", ","} or None
        The file's decimal mark; None reads what has only one reading.

    Returns
    -------
    float or None
        NaN where the reading depends on the decimal mark, None where it is no number.

    Examples
    --------
    >>> read_number("1.200,5", None), read_number("1 200", "."), read_number("7,8", ".")
    (1200.5, 1200.0, None)
    >>> read_number("300,000", None)
    nan
    """
    found = _NUMBER.fullmatch(text)
    if found is None:
        return None
    sign, body, exponent = found["sign"], found["body"], found["exponent"] or ""
    if " " in body or "'" in body:
        if not _SPACED.fullmatch(body):
            return None
        body = body.replace(" ", "").replace("'", "")
        decimal = decimal or _lone_mark(body)
    if exponent:  # nobody groups the thousands of a power of ten
        return _plain_number(sign, body, exponent, decimal)
    if decimal is None:
        if _LOOSE_NUMBER.fullmatch(body):
            return float("nan")
        decimal = _own_mark(body)
    digits = _digits(body, decimal)
    return None if digits is None else float(f"{sign}{digits}")


def _plain_number(sign: str, body: str, exponent: str, decimal: str | None) -> float | None:
    """Read a number with an exponent."""
    mark = decimal or _lone_mark(body) or "."
    if not _UNGROUPED[mark].fullmatch(body):
        return None
    return float(f"{sign}{body.replace(',', '.')}{exponent}")


_NUMBER = re.compile(r"(?P<sign>[+-]?) ?(?P<body>[\d.,' ]*\d[.,]?)(?P<exponent>[eE][+-]?\d+)?")
_SPACED = re.compile(r"\d{1,3}(?:(?: \d{3})+|(?:'\d{3})+)(?:[.,]\d*)?")
_LOOSE_NUMBER = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
_GROUPED = {
    ".": re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d*)?"),
    ",": re.compile(r"[1-9]\d{0,2}(?:\.\d{3})+(?:,\d*)?"),
}
_UNGROUPED = {
    ".": re.compile(r"\d+\.?\d*|\.\d+"),
    ",": re.compile(r"\d+,?\d*|,\d+"),
}


def _digits(body: str, decimal: str) -> str | None:
    """Return the number as Python writes it."""
    other = "," if decimal == "." else "."
    if _UNGROUPED[decimal].fullmatch(body):
        return body.replace(",", ".")
    if _GROUPED[decimal].fullmatch(body):
        return body.replace(other, "").replace(",", ".")
    return None


def _own_mark(body: str) -> str:
    """Return the decimal mark of a number that has only one reading."""
    for mark in DECIMAL_MARKS:
        if _digits(body, mark) is not None:
            return mark
    return "."


def _lone_mark(body: str) -> str | None:
    """Return the mark of a number whose groups are spaced: it can only be the decimal one."""
    return next((mark for mark in DECIMAL_MARKS if mark in body), None)


def _evidence(mark: str) -> str:
    """Return the pattern of numbers in which a mark can only be the decimal one."""
    own = re.escape(mark)
    other = "," if mark == "." else re.escape(".")
    numbers = (
        rf"\d*{own}(?:\d{{1,2}}|\d{{4,}})",
        rf"(?:0\d*|\d{{4,}}|){own}\d{{3}}",
        rf"\d+{own}\d+[eE][+-]?\d+",
        rf"[1-9]\d{{0,2}}(?:{other}\d{{3}})+{own}\d+",
    )
    return f"{_LEFT}(?:{'|'.join(numbers)}){_RIGHT}"


def _array(texts: Texts) -> pa.Array:
    if isinstance(texts, pa.ChunkedArray):
        return texts.combine_chunks()
    return texts if isinstance(texts, pa.Array) else pa.array(texts, type=pa.string())


def _proof(arrays: Mapping[str, pa.Array], mark: str, other: str) -> str | None:
    """Return a number that only this decimal mark makes possible, and where it stands."""
    grouped = rf"{_LEFT}[1-9]\d{{0,2}}(?:{re.escape(other)}\d{{3}}){{2,}}{_RIGHT}"
    return _example(arrays, _evidence(mark), must_have=mark) or _example(
        arrays, grouped, must_have=other
    )


def _example(arrays: Mapping[str, pa.Array], pattern: str, must_have: str) -> str | None:
    """Return the first number that matches, and where it stands."""
    for part in (slice(0, _FIRST_LOOK), slice(_FIRST_LOOK, None)):
        for title, texts in arrays.items():
            some = texts[part]
            some = some.filter(pc.match_substring(some, must_have))
            some = some.filter(pc.match_substring_regex(some, _CELL))
            some = some.filter(pc.match_substring_regex(some, pattern))
            if len(some):
                return f"{some[0].as_py().strip()!r} ({title})"
    return None


def _without_evidence(arrays: Mapping[str, pa.Array], separator: str | None) -> DecimalMark:
    """Decide where at most numbers such as 300,000 are there."""
    with_comma = _example(arrays, _LOOSE, must_have=",")
    with_point = _example(arrays, _LOOSE, must_have=".")
    if with_comma is None and with_point is None:
        return DecimalMark(".", "no number has a decimal mark")
    if with_comma is None and separator == ",":
        return DecimalMark(".", "decimal point; commas separate the columns")
    return DecimalMark(
        None, f"{with_comma or with_point} may have thousands or decimals, and nothing decides"
    )
