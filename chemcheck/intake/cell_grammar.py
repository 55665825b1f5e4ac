"""One cell text that is no plain number: marks, ranges, words, flags."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from chemcheck.analytes import plain_name
from chemcheck.intake.characters import plain
from chemcheck.intake.decimal_mark import read_number
from chemcheck.intake.word_lists import word_list

NAN, INF = float("nan"), float("inf")
EXPECTED = "expected a number, a range such as 100-250, or a mark such as <0.5, >300 or ND"


@dataclass(frozen=True, slots=True)
class CellRead:
    """What one cell says.

    Parameters
    ----------
    kind : str
        ``read``, ``blank``, ``not_detected``, ``over_range``, ``ambiguous`` or
        ``rejected``.
    lower, upper : float
        The ends of the reading; NaN unless read.
    unit, problem, question : str or None
        The unit in the cell; what is wrong; what is unusual.
    """

    kind: str
    lower: float = NAN
    upper: float = NAN
    unit: str | None = None
    problem: str | None = None
    question: str | None = None


_BLANK = CellRead("blank")


def _rejected(problem: str) -> CellRead:
    return CellRead("rejected", problem=problem)


@dataclass(frozen=True, slots=True)
class _Setting:
    """How numbers are read in this column."""

    decimal: str | None
    floor: float
    mix: bool


def read_cell(
    text: str, decimal: str | None = ".", *, floor: float = 0.0, mix: bool = False
) -> CellRead:
    """Read one cell; see `chemcheck.intake.cells.parse_cells`.

    Examples
    --------
    >>> read_cell("between 100 and 250 mg/L").unit
    'mg/L'
    >>> read_cell("250-100").problem
    'the range runs backwards; expected the smaller number first'
    """
    cleaned = _unguarded(plain(text))
    word = _word(cleaned)
    if word is not None:
        return word
    setting = _Setting(decimal, floor, mix)
    for shape, read in _shapes():
        found = shape.fullmatch(cleaned)
        if found is not None:
            cell = read(found, setting)
            if cell is not None:
                return cell
    if decimal is not None and read_cell(text, None, floor=floor, mix=mix).kind == "read":
        return _rejected(f"the decimal mark of this file is {decimal!r}; expected a number with it")
    return _rejected(EXPECTED)


def read_ordered_word(text: str, scale: Sequence[Sequence[str]]) -> CellRead:
    """Read a word of an ordered scale as its rank.

    Parameters
    ----------
    text : str
        The cell.
    scale : sequence of sequence of str
        The words with their synonyms, mildest first.

    Examples
    --------
    >>> scale = (("clear", "bright"), ("hazy",), ("cloudy", "turbid"))
    >>> read_ordered_word("Bright", scale).lower
    0.0
    >>> cell = read_ordered_word("hazy to turbid", scale)
    >>> cell.lower, cell.upper
    (1.0, 2.0)
    """
    cleaned = plain(text)
    rank = _rank(cleaned, scale)
    if rank is not None:
        return CellRead("read", rank, rank)
    word = _word(cleaned)
    if word is not None and word.kind == "not_detected":
        return CellRead("read", 0.0, 0.0)
    if word is not None and word.kind in ("blank", "rejected"):
        return word
    ends = [_rank(part, scale) for part in _between_words().split(cleaned)]
    known = [end for end in ends if end is not None]
    if len(ends) == 2 and len(known) == 2:
        return CellRead("read", min(known), max(known))
    return _rejected(f"expected one of: {', '.join(words[0] for words in scale)}")


def may_be_unit(text: str) -> bool:
    """Say whether text after a number can be a unit; flags and words cannot.

    Examples
    --------
    >>> may_be_unit("mg/L"), may_be_unit("U"), may_be_unit("ish")
    (True, False, False)
    """
    first = _spelling(text).partition(" ")[0]
    return (
        _UNIT.fullmatch(text) is not None
        and text not in word_list("cell_words")["flags"]
        and _spelling(text) not in _words()
        and first not in _after_numbers()
        and not text.replace(" ", "").startswith("x10")
    )


@cache
def _after_numbers() -> frozenset[str]:
    """Return the words after a number that are no unit."""
    lists = word_list("cell_words")
    return frozenset(
        _spelling(word).partition(" ")[0]
        for name in ("to", "and", "ish", "below_zero")
        for word in lists[name]
    )


def _rank(text: str, scale: Sequence[Sequence[str]]) -> float | None:
    key = plain_name(text)
    for rank, words in enumerate(scale):
        if key and any(plain_name(word) == key for word in words):
            return float(rank)
    return None


@cache
def _between_words() -> re.Pattern[str]:
    return re.compile(rf" (?:{_either('to')}) | ?[-/] ?", re.IGNORECASE)


def _unguarded(text: str) -> str:
    """Take off what spreadsheets put around a text: ``="0.5"``, a leading apostrophe."""
    guarded = re.fullmatch(r'="(.*)"', text)
    return guarded[1].strip() if guarded else text.removeprefix("'").strip()


@cache
def _words() -> dict[str, CellRead]:
    lists = word_list("cell_words")
    known = {
        _spelling(str(word)): CellRead(kind)
        for kind in ("blank", "not_detected", "over_range")
        for word in lists[kind]
    }
    return known | {
        _spelling(word): _rejected(problem) for word, problem in lists["refused"].items()
    }


def _spelling(text: str) -> str:
    """Write a word as it is compared: no case, no space after a mark."""
    return re.sub(r"([<>]=?) *", r"\1", " ".join(text.casefold().split()))


def _word(text: str) -> CellRead | None:
    return _BLANK if not text else _words().get(_spelling(text))


# The shapes of a cell. A number may have thousands marks; read_number judges it.
_N = r"[+-]?(?:\d[\d.,' ]*|[.,]\d+)(?:[eE][+-]?\d+)?"
_U = r"(?P<unit>%[^\d<>]{0,30}|[a-zA-Z°µμ][^<>=~\\;]{0,30})?"
_UNIT = re.compile(r"%[^\d<>]{0,30}|[a-zA-Z°µμ][^<>=~\\;]{0,30}")
_BEFORE = r"(?:(?P<name>pH|ph|PH|nD|SG) ?[=:]? ?)?"


def _either(name: str) -> str:
    words = sorted(word_list("cell_words")[name], key=len, reverse=True)
    return "|".join(re.escape(str(word)) for word in words)


@cache
def _shapes() -> tuple[
    tuple[re.Pattern[str], Callable[[re.Match[str], _Setting], CellRead | None]], ...
]:
    """Return the shapes in the order in which they are tried."""
    not_found = r"(?:{})".format(_either("not_detected"))
    flags = _either("flags")
    less, more = _either("less_than"), _either("more_than")
    shapes: tuple[tuple[str, Callable[[re.Match[str], _Setting], CellRead | None]], ...] = (
        (rf"{_BEFORE}(?P<n>{_N}) ?{_U}", _one_number),
        (rf"(?:<=?|=<|(?i:{less})) ?(?P<n>{_N}) ?{_U}", _below),
        (rf"(?:>=?|=>|(?i:{more})) ?(?P<n>{_N}) ?{_U}", _above),
        (rf"(?P<n>{_N}) ?\+ ?{_U}", _above),
        (rf"(?i:{not_found})[ :=@]*[<(\[]* ?(?P<n>{_N}) ?{_U} ?[)\]]?", _below),
        (rf"(?P<n><? ?{_N}) ?{_U} ?[(\[]?(?i:{not_found})[)\]]?", _below),
        (rf"(?P<cell>.+?) ?\(?(?P<flag>{flags})\)?", _flagged),
        (r"(?P<cell>.*\d.*?) ?(?P<flag>\*{1,3})", _flagged),
        (rf"(?:~|(?i:{_either('about')})) ?(?P<n>{_N}) ?{_U}", _about),
        (rf"(?P<n>{_N}) ?{_U} ?(?i:{_either('ish')})", _about),
        (rf"(?P<n>{_N}) ?\+/?- ?(?P<m>{_N}) ?{_U}", _plus_minus),
        (rf"{_BEFORE}(?P<n>{_N}) ?(?:-|\.\.+|(?i:{_either('to')})) ?(?P<m>{_N}) ?{_U}", _range),
        (
            rf"(?i:{_either('between')}) (?P<n>{_N}) ?(?i:{_either('and')}) ?(?P<m>{_N}) ?{_U}",
            _range,
        ),
        (rf"{_BEFORE}(?P<n>{_N}) ?(?P<sign>[/:]) ?(?P<m>{_N}) ?{_U}", _ratio),
        (rf"(?P<n>{_N}) ?[x*·] ?10(?:\^ ?(?P<e>[+-]?\d+)|(?P<s>[⁺⁻]?[⁰¹²³⁴-⁹]+)) ?{_U}", _power),
        (rf"(?i:{_either('minus')}) ?(?P<n>{_N}) ?{_U}", _below_zero),
        (rf"(?P<n>{_N}) ?{_U} ?(?i:{_either('below_zero')})", _below_zero),
    )
    return tuple((re.compile(pattern), read) for pattern, read in shapes)


def _number(text: str, setting: _Setting) -> float | CellRead | None:
    """Return a number, a cell that says why there is none, or None where it is none."""
    value = read_number(text.strip().lstrip("<").strip(), setting.decimal)
    if value is None:
        return None
    if value != value:
        return CellRead(
            "ambiguous",
            problem="thousands or decimals? nothing in the file decides; "
            "say --decimal . or --decimal ,",
        )
    return value if abs(value) != INF else _rejected("the number is too large")


def _numbers(
    found: re.Match[str], setting: _Setting, *names: str
) -> tuple[list[float], CellRead | None, bool]:
    """Return the numbers of a cell, or the cell that stands for them, or False."""
    values = []
    for name in names:
        value = _number(found[name], setting)
        if value is None:
            return [], None, False
        if isinstance(value, CellRead):
            return [], value, False
        values.append(value)
    return values, None, True


def _unit(found: re.Match[str]) -> str | None:
    groups = found.groupdict()
    return (groups.get("unit") or groups.get("name") or "").strip() or None


def _cell(found: re.Match[str], lower: float, upper: float, question: str = "") -> CellRead | None:
    """Return a cell that was read, None where what follows the number is no unit."""
    unit = _unit(found)
    if unit is not None and not may_be_unit(unit):
        return None
    if lower > upper:
        return _rejected("below what is possible here")
    return CellRead("read", lower, upper, unit, question=question or None)


def _one_number(found: re.Match[str], setting: _Setting) -> CellRead | None:
    values, instead, good = _numbers(found, setting, "n")
    return _cell(found, values[0], values[0]) if good else instead


def _below(found: re.Match[str], setting: _Setting) -> CellRead | None:
    values, instead, good = _numbers(found, setting, "n")
    return _cell(found, setting.floor, values[0]) if good else instead


def _above(found: re.Match[str], setting: _Setting) -> CellRead | None:
    values, instead, good = _numbers(found, setting, "n")
    return _cell(found, values[0], INF) if good else instead


def _about(found: re.Match[str], setting: _Setting) -> CellRead | None:
    values, instead, good = _numbers(found, setting, "n")
    if not good:
        return instead
    half = _half_step(values[0])
    return _cell(
        found,
        values[0] - half,
        values[0] + half,
        f"read to half a unit of its last digit, {values[0] - half:g} to {values[0] + half:g}",
    )


def _half_step(value: float) -> float:
    """Return half a unit of the last digit of a number that is not a zero."""
    digits, _, exponent = f"{abs(value):.12e}".partition("e")
    places = len(digits.replace(".", "").rstrip("0")) - 1
    return 0.5 * 10.0 ** (int(exponent) - max(places, 0))


def _plus_minus(found: re.Match[str], setting: _Setting) -> CellRead | None:
    values, instead, good = _numbers(found, setting, "n", "m")
    if not good:
        return instead
    return _cell(found, values[0] - abs(values[1]), values[0] + abs(values[1]))


def _range(found: re.Match[str], setting: _Setting) -> CellRead | None:
    values, instead, good = _numbers(found, setting, "n", "m")
    if not good:
        return instead
    low, high = values
    if low > high and high < 0.0 and low < 0.0:
        low, high = high, low  # -34 to -37: colder means larger, and only one span is meant
    if low > high:
        return _rejected("the range runs backwards; expected the smaller number first")
    return _cell(found, low, high)


def _ratio(found: re.Match[str], setting: _Setting) -> CellRead | None:
    """Read 50/50 and 1:1 of a mix as a share, 7/8 of anything else as a range."""
    values, instead, good = _numbers(found, setting, "n", "m")
    if not good:
        return instead
    first, second = values
    if setting.mix:
        return _share(first, second)
    if found["sign"] == ":":
        return _rejected("a ratio; expected a number")
    if not first < second:
        return _rejected("neither a number nor a range; expected one of the two numbers")
    return _cell(found, first, second, f"read as a range, {first:g} to {second:g}")


def _share(first: float, second: float) -> CellRead:
    if first == second and first > 0.0:
        return CellRead("read", 50.0, 50.0, "%")
    return _rejected("concentrate or water first? expected the percent of concentrate")


_SUPERSCRIPTS = str.maketrans("⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "+-0123456789")


def _power(found: re.Match[str], setting: _Setting) -> CellRead | None:
    values, instead, good = _numbers(found, setting, "n")
    if not good:
        return instead
    exponent = int(found["e"] or found["s"].translate(_SUPERSCRIPTS))
    if abs(exponent) > 30:
        return _rejected("the number is too large or too small")
    value = float(f"{values[0]!r}e{exponent}") if "e" not in repr(values[0]) else NAN
    return _cell(found, value, value) if value == value else None


def _below_zero(found: re.Match[str], setting: _Setting) -> CellRead | None:
    values, instead, good = _numbers(found, setting, "n")
    if not good:
        return instead
    return _cell(found, -abs(values[0]), -abs(values[0]))


def _flagged(found: re.Match[str], setting: _Setting) -> CellRead | None:
    """Read a number that a laboratory marked."""
    cell = read_cell(found["cell"], setting.decimal, floor=setting.floor, mix=setting.mix)
    if cell.kind != "read":
        return None if cell.kind != "ambiguous" else cell
    flag = found["flag"]
    meaning = word_list("cell_words")["flags"].get(flag)
    if meaning == "refused":
        return _rejected(f"the laboratory rejected this result itself ({flag})")
    if meaning == "not_detected":
        return replace(cell, lower=setting.floor)
    return replace(cell, question=meaning or "a footnote mark stands at the number")
