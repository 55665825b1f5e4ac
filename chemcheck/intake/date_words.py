"""Dates written with a month's name, in four languages."""

import re
import unicodedata
from functools import cache

import pyarrow as pa

from chemcheck.intake.characters import plain
from chemcheck.intake.word_lists import word_list

_WORD = re.compile(r"[^\W\d_]+")
_TIME = re.compile(
    r"[T ,]+(?:at |um |à |a las )?(\d{1,2}[:h]\d{2}.*)$|(?<=\d)T(\d{2}:?\d{2}.*)$", re.IGNORECASE
)


def numeric_month_names(texts: pa.Array) -> pa.Array:
    """Write dates with a month's name as year-month-day; leave other texts alone.

    Parameters
    ----------
    texts : pyarrow string array, shape (n,)
        Distinct texts.

    Returns
    -------
    pyarrow string array, shape (n,)

    Examples
    --------
    >>> numeric_month_names(pa.array(["Thu, 3 April 2025 14:30", "3. März 25"])).to_pylist()
    ['2025-04-03 14:30', '2025-03-03']
    """
    return pa.array([_numeric(text) for text in texts.to_pylist()], type=pa.string())


def _numeric(text: str) -> str:
    cleaned = plain(text)
    found = _TIME.search(cleaned)
    day_text = cleaned[: found.start()] if found else cleaned
    time = f" {found[1] or found[2]}" if found else ""
    date = _date(day_text)
    return cleaned if date is None else date + time


def _date(text: str) -> str | None:
    """Return a date with one month name, a day and a year as year-month-day."""
    months = []
    for word in _WORD.findall(text):
        key = _bare(word)
        if key in _months():
            months.append(_months()[key])
        elif key not in _other_words():
            return None
    numbers = re.findall(r"\d+", text)
    if len(months) != 1 or len(numbers) != 2:
        return None
    first, second = numbers
    day, year = (second, first) if len(first) == 4 else (first, second)
    if len(day) > 2 or len(year) not in (2, 4):
        return None
    if len(year) == 2:
        year = f"{'20' if int(year) < 70 else '19'}{year}"
    return f"{year}-{months[0]:02d}-{int(day):02d}"


def _bare(word: str) -> str:
    """Write a word without case and accents."""
    split = unicodedata.normalize("NFKD", word.casefold())
    return "".join(character for character in split if not unicodedata.combining(character))


@cache
def _months() -> dict[str, int]:
    names = word_list("month_names")["months"]
    return {_bare(word): number for number, words in names.items() for word in words}


@cache
def _other_words() -> frozenset[str]:
    lists = word_list("month_names")
    words = [word for day in lists["weekdays"] for word in day]
    return frozenset(_bare(word) for word in (*words, *lists["joining"], *lists["ordinals"]))
