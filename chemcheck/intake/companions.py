"""Columns of flags and of detection limits that stand beside a column of results."""

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from chemcheck.intake.characters import plain
from chemcheck.intake.headers import Header, read_header
from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list

KINDS = ("flag", "limit")
_BESIDE = r"[\s._\-:]*"


@dataclass(frozen=True, slots=True)
class Companion:
    """A column that only says more about the cells of another.

    Parameters
    ----------
    kind : {"flag", "limit"}
        What it holds.
    owner : int
        The place of the results.
    unit : str or None
        The unit of a limit, where its title says another than that of the results.
    """

    kind: str
    owner: int
    unit: str | None = None


def companions(
    titles: Sequence[str], headers: Sequence[Header], untitled: Collection[int] = ()
) -> Mapping[int, Companion]:
    """Find the columns that only say more about the cells of another.

    Parameters
    ----------
    titles : sequence of str
        Of all columns.
    headers : sequence of Header
        What each means by itself.
    untitled : collection of int
        Places of columns without a title that hold nothing but marks, as `mark_columns`
        finds them.

    Returns
    -------
    mapping of int to Companion
        By the place of such a column. A result has at most one of each kind.

    Examples
    --------
    >>> titles = ["Nitrate.rmk", "Nitrate", "Cl (mg/L)", "Cl DL (mg/L)", "Shelf flag"]
    >>> found = companions(titles, [*map(read_header, titles)])
    >>> {place: (one.kind, one.owner) for place, one in found.items()}
    {0: ('flag', 1), 3: ('limit', 2)}
    """
    found: dict[int, Companion] = {}
    taken: set[tuple[str, int]] = set()
    for place, (title, header) in enumerate(zip(titles, headers, strict=True)):
        if not title or header.role is not None or _is_result(title, header):
            continue
        for kind, base in _bases(title):
            owner = _owner(base, titles, headers, place)
            if owner is not None and (kind, owner) not in taken:
                unit = limit_unit(title, headers[owner]) if kind == "limit" else None
                found[place] = Companion(kind, owner, unit)
                taken.add((kind, owner))
                break
    found = found or _unnamed_flags(titles, headers)
    for place in untitled:  # a mark stands before its number rather than behind it
        for owner in (place + 1, place - 1):
            is_result = 0 <= owner < len(headers) and headers[owner].analyte is not None
            if is_result and ("flag", owner) not in taken:
                found[place] = Companion("flag", owner)
                taken.add(("flag", owner))
                break
    return found


def limit_unit(title: str, results: Header) -> str | None:
    """Return the unit of a column of limits, where its title says another than its results.

    Parameters
    ----------
    title : str
        Of the limits.
    results : Header
        What they belong to.

    Examples
    --------
    >>> limit_unit("Cl DL (ug/L)", read_header("Cl (mg/L)"))
    'ug/L'
    """
    for base in (*(base for _, base in _bases(title)), title):
        unit = read_header(base).unit_text
        if unit is not None and plain(unit).casefold() not in _words("limit"):
            return unit if unit != results.unit_text else None
    return None


def mark_columns(table: TextTable) -> tuple[int, ...]:
    """Return the places of columns without a title that hold nothing but marks such as <.

    Parameters
    ----------
    table : TextTable
        The file.
    """
    found = []
    for place, title in enumerate(table.layout.header):
        if not title:
            texts = {plain(text or "") for text in table.coded(place)[0].to_pylist()}
            if texts - {""} and all(re.fullmatch(r"[<>]=?|~", text) for text in texts - {""}):
                found.append(place)
    return tuple(found)


def _is_result(title: str, header: Header) -> bool:
    """Say whether a title names results by itself; a mark or DL behind a name does not."""
    if header.analyte is None or re.search("[<>]", title):
        return False
    return plain(header.unit_text or "").casefold() not in _words("limit")


@cache
def _words(kind: str) -> frozenset[str]:
    return frozenset(plain(str(word)).casefold() for word in word_list("companion_columns")[kind])


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Return the shapes of such titles: what is left of them is the title of the results."""
    patterns = []
    for kind in KINDS:
        words = sorted(map(str, word_list("companion_columns")[kind]), key=len, reverse=True)
        one = "|".join(re.escape(plain(word)) for word in words)
        behind = (
            rf"(?P<base>.+?){_BESIDE}[(\[]?(?<![^\W\d_])(?:{one})(?![^\W\d_])[)\]]?(?P<unit>.*)"
        )
        before = rf"(?:{one})(?![^\W\d_]){_BESIDE}(?P<base>.+?)(?P<unit>)"
        patterns += [(kind, re.compile(p, re.IGNORECASE)) for p in (behind, before)]
    return tuple(patterns)


def _bases(title: str) -> Iterator[tuple[str, str]]:
    text = plain(title)
    for kind, pattern in _patterns():
        match = pattern.fullmatch(text)
        if match is not None:
            yield kind, match["base"] + match["unit"]


def _owner(base: str, titles: Sequence[str], headers: Sequence[Header], place: int) -> int | None:
    """Return the column of results that a title speaks of: by its title, else by what it is."""
    folded = plain(base).casefold()
    results = [k for k, header in enumerate(headers) if header.analyte is not None and k != place]
    same = [k for k in results if plain(titles[k]).casefold() == folded]
    if not same:
        meant = read_header(base)
        same = [
            k
            for k in results
            if meant.analyte is not None
            and (headers[k].analyte, headers[k].basis) == (meant.analyte, meant.basis)
        ]
    return min(same, key=lambda k: abs(k - place)) if same else None


def _unnamed_flags(titles: Sequence[str], headers: Sequence[Header]) -> dict[int, Companion]:
    """Find flags without a name of their own: one right beside each column of results."""
    flags = [
        k
        for k, title in enumerate(titles)
        if plain(title).casefold() in _words("flag") and not headers[k].known
    ]
    results = {k for k, header in enumerate(headers) if header.analyte is not None}
    for step in (-1, 1):
        if flags and {k + step for k in flags} == results:
            return {k: Companion("flag", k + step) for k in flags}
    return {}
