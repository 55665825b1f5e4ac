"""Result cells to intervals: each distinct text once, plain numbers as a whole column."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.analytes import Analyte
from chemcheck.intake.cell_grammar import read_cell
from chemcheck.intake.cell_words import CellRead, may_be_unit, read_ordered_word
from chemcheck.intake.decimal_mark import Texts
from chemcheck.readings.record import BLANK, READ, REJECTED

# Besides READ, BLANK and REJECTED of the readings: what only the assembly can finish.
NOT_DETECTED, OVER_RANGE, AMBIGUOUS = np.int8(4), np.int8(5), np.int8(6)
_KINDS = {
    "read": READ,
    "blank": BLANK,
    "rejected": REJECTED,
    "not_detected": NOT_DETECTED,
    "over_range": OVER_RANGE,
    "ambiguous": AMBIGUOUS,
}

_Places = npt.NDArray[np.int64]

# Numbers with only one reading under each decimal mark.
_DIGITS = {
    ".": r"\d+(?:\.\d*)?|\.\d+",
    ",": r"\d+(?:,\d*)?|,\d+",
    None: r"\d+(?:[.,](?:\d{1,2}|\d{4,}))?|0[.,]\d+",
}
_EXPONENT = r"(?:[eE][+-]?\d+)?"
# A mark, a number, a unit: the forms of nearly all cells that are no plain numbers.
_MARK = r"(?P<mark><=|>=|<|>|≤|≥)?"
_UNIT = r"(?P<unit>%[^\d<>]{0,30}|[a-zA-Zµμ°][^\d<>=~+;\\]{0,30})?"


@dataclass(frozen=True, slots=True)
class ParsedCells:
    """What distinct cell texts say.

    Parameters
    ----------
    lower, upper : ndarray of float64, shape (n,)
        The ends of each reading, in the unit the cell or else its header states; NaN in
        both unless ``kind`` is ``READ``.
    kind : ndarray of int8, shape (n,)
        ``READ``, ``BLANK``, ``REJECTED``, ``NOT_DETECTED`` (a non-detect without a
        limit: 0 to the method's limit, or rejected), ``OVER_RANGE`` (above what the
        method shows, without a number) or ``AMBIGUOUS`` (depends on the decimal mark).
    unit : ndarray of int32, shape (n,)
        Position in ``units``; -1 where the cell states none.
    units : tuple of str
        The distinct units found in cells, as written.
    problem : ndarray of int32, shape (n,)
        Position in ``problems``; -1 where there is none.
    problems : tuple of str
        What is wrong with a rejected or ambiguous cell, and what was expected.
    question : ndarray of int32, shape (n,)
        Position in ``questions``; -1 where there is none.
    questions : tuple of str
        What is unusual about a cell that was read.
    """

    lower: npt.NDArray[np.float64]
    upper: npt.NDArray[np.float64]
    kind: npt.NDArray[np.int8]
    unit: npt.NDArray[np.int32]
    units: tuple[str, ...]
    problem: npt.NDArray[np.int32]
    problems: tuple[str, ...]
    question: npt.NDArray[np.int32]
    questions: tuple[str, ...]


def parse_cells(
    texts: Texts, decimal: str | None = ".", *, floor: float = 0.0, mix: bool = False
) -> ParsedCells:
    """Read distinct cell texts as intervals.

    Parameters
    ----------
    texts : sequence of str, ndarray of object or pyarrow string array, shape (n,)
        Distinct texts; None is blank.
    decimal : {".", ","} or None
        The file's decimal mark. None reads every cell that has only one reading and
        calls the others ambiguous.
    floor : float
        The least value of the quantity, where ``<5`` begins [unit of the cell]: 0 for
        a concentration, minus infinity for a temperature.
    mix : bool
        The column is a share of a mix, where ``50/50`` and ``1:1`` mean 50 %.

    Returns
    -------
    ParsedCells
        In the order of the texts.

    Notes
    -----
    ``<0.5`` is ``floor`` to 0.5 and ``>300`` is 300 to infinity. ``~1200`` and
    ``1200-ish`` are taken to half a unit of the last digit that is not a zero: 1150 to
    1250. A zero stays zero.

    Examples
    --------
    >>> cells = parse_cells(["7.8", "<0.5", "100-250", "45 ppm", "ND", "-", "purple"])
    >>> cells.lower.tolist()
    [7.8, 0.0, 100.0, 45.0, nan, nan, nan]
    >>> cells.upper.tolist()
    [7.8, 0.5, 250.0, 45.0, nan, nan, nan]
    >>> cells.kind.tolist(), cells.units
    ([0, 0, 0, 0, 4, 1, 2], ('ppm',))
    """
    array = _array(texts)
    build = _Build(len(array))
    rest = _plain_numbers(array, decimal, build)
    for read in (_marked_numbers, _numbers_with_units):
        if len(rest):
            texts = _plain_characters(array.take(pa.array(rest)))
            rest = read(texts, rest, decimal, floor, build)
    for place, text in zip(rest.tolist(), array.take(pa.array(rest)).to_pylist(), strict=True):
        build.put(place, read_cell(text or "", decimal, floor=floor, mix=mix))
    return build.finished()


def ordered_words(texts: Texts, analyte: Analyte) -> ParsedCells:
    """Read distinct texts of an analyte that is judged in ordered words.

    Parameters
    ----------
    texts : sequence of str, shape (n,)
        Distinct texts; None is blank.
    analyte : Analyte
        Its ``words`` are the scale, mildest first.

    Returns
    -------
    ParsedCells
        Ends are ranks; ``slight to heavy`` spans two. A number is rejected, because
        the scale behind it is not known.
    """
    array = _array(texts)
    build = _Build(len(array))
    for place, text in enumerate(array.to_pylist()):
        build.put(place, read_ordered_word(text or "", analyte.words))
    return build.finished()


class _Build:
    """The arrays of a result while they are filled."""

    def __init__(self, size: int) -> None:
        self.lower = np.full(size, np.nan)
        self.upper = np.full(size, np.nan)
        self.kind = np.full(size, READ, dtype=np.int8)
        self.codes = {
            name: np.full(size, -1, dtype=np.int32) for name in ("unit", "problem", "question")
        }
        self.names: dict[str, dict[str, int]] = {"unit": {}, "problem": {}, "question": {}}

    def put(self, place: int, cell: CellRead) -> None:
        """Enter one cell."""
        self.lower[place], self.upper[place] = cell.lower, cell.upper
        self.kind[place] = _KINDS[cell.kind]
        for name, text in (
            ("unit", cell.unit),
            ("problem", cell.problem),
            ("question", cell.question),
        ):
            if text:
                names = self.names[name]
                self.codes[name][place] = names.setdefault(text, len(names))

    def put_units(self, places: _Places, units: pa.Array) -> None:
        """Enter the units of many cells; an empty text is no unit."""
        coded = units.dictionary_encode()
        names = self.names["unit"]
        known = [
            names.setdefault(text, len(names)) if text else -1
            for text in coded.dictionary.to_pylist()
        ]
        codes = np.asarray(coded.indices, dtype=np.int64)
        self.codes["unit"][places] = np.asarray(known, dtype=np.int32)[codes]

    def finished(self) -> ParsedCells:
        """Return what was filled in."""
        return ParsedCells(
            lower=self.lower,
            upper=self.upper,
            kind=self.kind,
            unit=self.codes["unit"],
            units=tuple(self.names["unit"]),
            problem=self.codes["problem"],
            problems=tuple(self.names["problem"]),
            question=self.codes["question"],
            questions=tuple(self.names["question"]),
        )


def _array(texts: Texts) -> pa.Array:
    """Return the texts as one array without nulls."""
    if isinstance(texts, pa.ChunkedArray):
        texts = texts.combine_chunks()
    array = texts if isinstance(texts, pa.Array) else pa.array(texts, type=pa.string())
    return array if array.null_count == 0 else pc.fill_null(array, "")


def _plain_numbers(array: pa.Array, decimal: str | None, build: _Build) -> _Places:
    """Read the texts that are numbers and nothing else; return where the others stand."""
    # Only where a point may mark thousands can a plain cast misread.
    if decimal == "." or not pc.any(pc.match_substring(array, ".")).as_py():
        try:
            values = np.asarray(pc.cast(array, pa.float64()))
        except pa.ArrowInvalid:
            pass  # something else than numbers is among them
        else:
            return _enter(build, np.arange(len(array)), values)
    array = pc.utf8_trim_whitespace(array)
    plain = np.asarray(pc.match_substring_regex(array, f"^[+-]?(?:{_DIGITS[decimal]}){_EXPONENT}$"))
    numbers = _as_numbers(array.filter(pa.array(plain)))
    odd = _enter(build, np.flatnonzero(plain), numbers)
    return np.sort(np.concatenate([np.flatnonzero(~plain), odd]))


def _as_numbers(texts: pa.Array) -> npt.NDArray[np.float64]:
    return np.asarray(pc.cast(pc.replace_substring(texts, ",", "."), pa.float64()))


def _enter(build: _Build, places: _Places, values: npt.NDArray[np.float64]) -> _Places:
    """Enter exact numbers; return the places of those that are not finite."""
    build.lower[places] = values
    build.upper[places] = values
    return places[~np.isfinite(values)]


def _marked_numbers(
    texts: pa.Array, places: _Places, decimal: str | None, floor: float, build: _Build
) -> _Places:
    """Read the cells of a mark and a number; return where the others stand."""
    pattern = rf"^(?:<=?|>=?|≤|≥) *[+-]?(?:{_DIGITS[decimal]}){_EXPONENT}$"
    marked = pc.match_substring_regex(texts, pattern)
    found = np.asarray(marked)
    if not found.any():
        return places
    some = texts.filter(marked)
    values = _as_numbers(pc.ascii_ltrim(pc.utf8_ltrim(some, characters="<>=≤≥"), characters=" "))
    below = np.asarray(pc.match_substring_regex(some, "^[<≤]"))
    good = np.isfinite(values) & ~(below & (values < floor))
    here = places[found][good]
    build.lower[here] = np.where(below, floor, values)[good]
    build.upper[here] = np.where(below, values, np.inf)[good]
    return np.sort(np.concatenate([places[~found], places[found][~good]]))


def _numbers_with_units(
    texts: pa.Array, places: _Places, decimal: str | None, floor: float, build: _Build
) -> _Places:
    """Read the cells of a mark, a number and a unit; return where the others stand."""
    number = rf"(?P<number>[+-]?(?:{_DIGITS[decimal]}){_EXPONENT})"
    parts = pc.extract_regex(texts, f"^{_MARK} *{number} ?{_UNIT}$")
    found = np.asarray(parts.is_valid())
    if not found.any():
        return places
    parts = parts.filter(pa.array(found))
    mark, unit = parts.field("mark"), parts.field("unit")
    values = _as_numbers(parts.field("number"))
    below = np.asarray(pc.match_substring_regex(mark, "^[<≤]"))
    above = np.asarray(pc.match_substring_regex(mark, "^[>≥]"))
    good = np.isfinite(values) & ~(below & (values < floor)) & _are_units(unit)
    here = places[found][good]
    build.lower[here] = np.where(below, floor, values)[good]
    build.upper[here] = np.where(above, np.inf, values)[good]
    build.put_units(here, unit.filter(pa.array(good)))
    return np.sort(np.concatenate([places[~found], places[found][~good]]))


def _are_units(units: pa.Array) -> npt.NDArray[np.bool_]:
    """Say which texts can be units, the empty one included."""
    coded = units.dictionary_encode()
    known = np.array(
        [not text or may_be_unit(text) for text in coded.dictionary.to_pylist()], dtype=bool
    )
    return np.asarray(known[np.asarray(coded.indices)], dtype=np.bool_)


def _plain_characters(texts: pa.Array) -> pa.Array:
    """Bring the commonest unusual characters to plain form, whole columns at a time."""
    texts = pc.utf8_trim_whitespace(texts)
    if pc.all(pc.string_is_ascii(texts)).as_py():
        return texts
    texts = pc.replace_substring_regex(texts, "[\u2212\u2013]", "-")
    return pc.replace_substring_regex(texts, "[\u00a0\u2009\u202f]", " ")
