"""File names of units, whatever their ids are made of."""

import re
from collections.abc import Iterable
from hashlib import sha256

_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
_OTHER = re.compile(r"[^A-Za-z0-9_-]+")
# Some systems keep these names for devices, whatever follows a point.
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d|index)", re.IGNORECASE)
_LETTERS, _MARKS = 30, 10


def unit_names(unit_ids: Iterable[str]) -> dict[str, str]:
    """Return a safe and distinct stem of a file name for each unit.

    A plain id is its own name. Of any other the plain letters stay, and marks reckoned from
    the whole id tell it from others; so they do where ids differ only in their case.

    Parameters
    ----------
    unit_ids : iterable of str
        As in the files.

    Returns
    -------
    dict of str to str
        By unit.

    Examples
    --------
    >>> names = unit_names(["HT-07", "../etc", "ht-07"])
    >>> names["HT-07"], names["../etc"][:4], names["ht-07"][:6]
    ('HT-07', 'etc-', 'ht-07-')
    """
    names: dict[str, str] = {}
    taken: set[str] = set()
    # Plain ids first, so that no other takes their names.
    for unit in sorted(dict.fromkeys(unit_ids), key=lambda unit: not _is_plain(unit)):
        name = unit if _is_plain(unit) and unit.casefold() not in taken else _marked(unit, taken)
        names[unit] = name
        taken.add(name.casefold())
    return names


def _is_plain(unit: str) -> bool:
    return bool(_PLAIN.fullmatch(unit)) and not _RESERVED.fullmatch(unit)


def _marked(unit: str, taken: set[str]) -> str:
    letters = _OTHER.sub("-", unit).strip("-_")[:_LETTERS]
    digest = sha256(unit.encode("utf-8", "surrogatepass")).hexdigest()
    for length in range(_MARKS, len(digest) + 1):
        name = f"{letters}-{digest[:length]}".lstrip("-")
        if name not in taken:
            return name
    message = "two units have one digest"  # pragma: no cover - nobody has found such a pair
    raise ValueError(message)
