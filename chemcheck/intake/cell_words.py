"""Cells that are a word: nothing measured, nothing found, over range, a rank of a scale."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from chemcheck.analytes import plain_name
from chemcheck.intake.characters import plain
from chemcheck.intake.word_lists import word_list

NAN = float("nan")

# What can be a unit behind a number.
UNIT = r"%[^\d<>]{0,30}|[a-zA-Z°µμ][^<>=~\\;]{0,30}"
_UNIT = re.compile(UNIT)


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


def rejected(problem: str) -> CellRead:
    """Return a cell that cannot be read, and why."""
    return CellRead("rejected", problem=problem)


@cache
def _words() -> dict[str, CellRead]:
    lists = word_list("cell_words")
    known = {
        _spelling(str(word)): CellRead(kind)
        for kind in ("blank", "not_detected", "over_range")
        for word in lists[kind]
    }
    ditto = lists["ditto"]
    refused = lists["refused"] | dict.fromkeys(ditto["marks"], ditto["problem"])
    return known | {_spelling(word): rejected(problem) for word, problem in refused.items()}


def _spelling(text: str) -> str:
    """Write a word as it is compared: no case, no space after a mark."""
    return re.sub(r"([<>]=?) *", r"\1", " ".join(text.casefold().split()))


def known_word(text: str) -> CellRead | None:
    """Return what a cell that is a known word says, None where it is none.

    Examples
    --------
    >>> known_word("N.D.").kind, known_word("n/a").kind, known_word("7.8") is None
    ('not_detected', 'blank', True)
    """
    return _BLANK if not text else _words().get(_spelling(text))


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
    word = known_word(cleaned)
    if word is not None and word.kind == "not_detected":
        return CellRead("read", 0.0, 0.0)
    if word is not None and word.kind in ("blank", "rejected"):
        return word
    ends = [_rank(part, scale) for part in _between_words().split(cleaned)]
    known = [end for end in ends if end is not None]
    if len(ends) == 2 and len(known) == 2:
        return CellRead("read", min(known), max(known))
    return rejected(f"expected one of: {', '.join(words[0] for words in scale)}")


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
    return re.compile(rf" (?:{any_of('to')}) | ?[-/] ?", re.IGNORECASE)


def any_of(name: str) -> str:
    """Return the pattern of the words of one list, the longest first.

    Examples
    --------
    >>> any_of("between")
    'zwischen|between|entre'
    """
    words = sorted(word_list("cell_words")[name], key=len, reverse=True)
    return "|".join(re.escape(str(word)) for word in words)
