"""One line of a log for several units: a sample of each."""

import re
from collections.abc import Collection, Sequence
from functools import cache

from chemcheck.intake.characters import plain
from chemcheck.intake.word_lists import word_list

_LONGEST, _MOST = 30, 40  # of a unit's name [characters], and units in a line
_NAME = re.compile(r"(?P<prefix>[^\d]*?)(?P<number>\d+)(?P<suffix>[A-Za-z]?)")


def units_of(text: str, known: Collection[str]) -> Sequence[str]:
    """Return the units that one cell names.

    Parameters
    ----------
    text : str
        ``BUS-13, 14 and 15``, ``T4/T7``, ``BUS-13``.
    known : collection of str
        Units that stand alone elsewhere in the file.

    Returns
    -------
    sequence of str
        One where the cell names one, or may: names that differ by more than their number
        are several units only where each stands alone elsewhere.

    Examples
    --------
    >>> units_of("BUS-13, 14 & BUS-15", ()), units_of("T4/T7", ()), units_of("12/13", ())
    (['BUS-13', 'BUS-14', 'BUS-15'], ['T4', 'T7'], ['12/13'])
    >>> units_of("Building 3, Loop 2", ()), units_of("Crane, Tug", {"Crane", "Tug"})
    (['Building 3, Loop 2'], ['Crane', 'Tug'])
    """
    for pattern, slash in ((_joined_by(), False), (re.compile(r" ?/ ?"), True)):
        parts = [part.strip() for part in pattern.split(plain(text))]
        if not 1 < len(parts) <= _MOST or not all(0 < len(part) <= _LONGEST for part in parts):
            continue
        if all(part in known for part in parts):
            return parts
        named = _of_one_kind(parts, with_prefix=slash)
        if named is not None:
            return named
    return [text]


@cache
def _joined_by() -> re.Pattern[str]:
    words = "|".join(map(re.escape, map(str, word_list("cell_words")["and"])))
    return re.compile(rf" *[,;&+] *(?:(?:{words}) )?| (?:{words}) ", re.IGNORECASE)


def _of_one_kind(parts: Sequence[str], *, with_prefix: bool) -> list[str] | None:
    """Complete numbers by the name of the first; None where the names differ by more.

    Between slashes bare numbers may be one name.
    """
    names = [_NAME.fullmatch(part) for part in parts]
    first = names[0]
    if first is None or (with_prefix and not first["prefix"]):
        return None
    completed = []
    for part, name in zip(parts, names, strict=True):
        if name is None or name["prefix"].casefold() not in ("", first["prefix"].casefold()):
            return None
        completed.append(part if name["prefix"] else first["prefix"] + part)
    return completed if len(set(completed)) == len(completed) else None
