"""One cell text that is no plain number: marks, ranges, words, flags."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

from chemcheck.intake.cell_words import UNIT, CellRead, any_of, known_word, may_be_unit, rejected
from chemcheck.intake.characters import plain
from chemcheck.intake.decimal_mark import read_number
from chemcheck.intake.word_lists import word_list

NAN, INF = float("nan"), float("inf")
EXPECTED = "expected a number, a range such as 100-250, or a mark such as <0.5, >300 or ND"


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
    word = known_word(cleaned)
    if word is not None:
        return word
    instead = _words_for_numbers().get(cleaned.casefold())
    if instead is not None:
        return rejected(instead)
    setting = _Setting(decimal, floor, mix)
    for shape, read in _shapes():
        found = shape.fullmatch(cleaned)
        if found is not None:
            cell = read(found, setting)
            if cell is not None:
                return cell
    if decimal is not None and read_cell(text, None, floor=floor, mix=mix).kind == "read":
        return rejected(f"the decimal mark of this file is {decimal!r}; expected a number with it")
    return rejected(EXPECTED)


def _unguarded(text: str) -> str:
    """Take off what spreadsheets put around a text: ``="0.5"``, a leading apostrophe."""
    guarded = re.fullmatch(r'="(.*)"', text)
    return guarded[1].strip() if guarded else text.removeprefix("'").strip()


@cache
def _words_for_numbers() -> dict[str, str]:
    """Return what is to be done about each word where a number belongs."""
    return {str(word): problem for word, problem in word_list("cell_words")["no_number"].items()}


# The shapes of a cell. A number may have thousands marks; read_number judges it.
_N = r"[+-]?(?:\d[\d.,' ]*|[.,]\d+)(?:[eE][+-]?\d+)?"
_U = rf"(?P<unit>{UNIT})?"
_BEFORE = r"(?:(?P<name>pH|ph|PH|nD|SG) ?[=:]? ?)?"


@cache
def _shapes() -> tuple[
    tuple[re.Pattern[str], Callable[[re.Match[str], _Setting], CellRead | None]], ...
]:
    """Return the shapes in the order in which they are tried."""
    not_found = r"(?:{})".format(any_of("not_detected"))
    flags = any_of("flags")
    less, more = any_of("less_than"), any_of("more_than")
    shapes: tuple[tuple[str, Callable[[re.Match[str], _Setting], CellRead | None]], ...] = (
        (rf"{_BEFORE}(?P<n>{_N}) ?{_U}", _one_number),
        (rf"(?:<=?|=<|(?i:{less})) ?(?P<n>{_N}) ?{_U}", _below),
        (rf"(?:>=?|=>|(?i:{more})) ?(?P<n>{_N}) ?{_U}", _above),
        (rf"(?P<n>{_N}) ?\+ ?{_U}", _above),
        (rf"(?i:{not_found})[ :=@]*[<(\[]* ?(?P<n>{_N}) ?{_U} ?[)\]]?", _below),
        (rf"(?P<n><? ?{_N}) ?{_U} ?[(\[]?(?i:{not_found})[)\]]?", _below),
        (rf"(?P<cell>.+?) ?\(?(?P<flag>{flags})\)?", _flagged),
        (r"(?P<cell>.*\d.*?) ?(?P<flag>\*{1,3})", _flagged),
        (rf"(?:~|(?i:{any_of('about')})) ?(?P<n>{_N}) ?{_U}", _about),
        (rf"(?P<n>{_N}) ?{_U} ?(?i:{any_of('ish')})", _about),
        (rf"(?P<n>{_N}) ?\+/?- ?(?P<m>{_N}) ?{_U}", _plus_minus),
        (rf"{_BEFORE}(?P<n>{_N}) ?(?:-|\.\.+|(?i:{any_of('to')})) ?(?P<m>{_N}) ?{_U}", _range),
        (
            rf"(?i:{any_of('between')}) (?P<n>{_N}) ?(?i:{any_of('and')}) ?(?P<m>{_N}) ?{_U}",
            _range,
        ),
        (rf"{_BEFORE}(?P<n>{_N}) ?(?P<sign>[/:]) ?(?P<m>{_N}) ?{_U}", _ratio),
        (rf"(?P<n>{_N}) ?[x*·] ?10(?:\^ ?(?P<e>[+-]?\d+)|(?P<s>[⁺⁻]?[⁰¹²³⁴-⁹]+)) ?{_U}", _power),
        (rf"(?i:{any_of('minus')}) ?(?P<n>{_N}) ?{_U}", _below_zero),
        (rf"(?P<n>{_N}) ?{_U} ?(?i:{any_of('below_zero')})", _below_zero),
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
    return value if abs(value) != INF else rejected("the number is too large")


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
        return rejected("below what is possible here")
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
        return rejected("the range runs backwards; expected the smaller number first")
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
        return rejected("a ratio; expected a number")
    if not first < second:
        return rejected("neither a number nor a range; expected one of the two numbers")
    return _cell(found, first, second, f"read as a range, {first:g} to {second:g}")


def _share(first: float, second: float) -> CellRead:
    if first == second and first > 0.0:
        return CellRead("read", 50.0, 50.0, "%")
    return rejected("concentrate or water first? expected the percent of concentrate")


_SUPERSCRIPTS = str.maketrans("⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "+-0123456789")


def _power(found: re.Match[str], setting: _Setting) -> CellRead | None:
    values, instead, good = _numbers(found, setting, "n")
    if not good:
        return instead
    exponent = int(found["e"] or found["s"].translate(_SUPERSCRIPTS))
    if abs(exponent) > 30:
        return rejected("the number is too large or too small")
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
        return rejected(f"the laboratory rejected this result itself ({flag})")
    if meaning == "not_detected":
        return replace(cell, lower=setting.floor)
    return replace(cell, question=meaning or "a footnote mark stands at the number")
