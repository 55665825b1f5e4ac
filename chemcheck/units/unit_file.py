"""The units that ``units.yaml`` names, found by every spelling of theirs."""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import prod
from pathlib import Path
from typing import Any

from chemcheck.errors import LimitFileError
from chemcheck.units.yaml_file import read_yaml

UNIT_FILE = Path(__file__).with_name("units.yaml")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of measurement.

    Parameters
    ----------
    symbol : str
        How chemcheck writes it.
    dimension : str
        What it measures.
    factor, offset : float
        A value in this unit is ``value * factor + offset`` in the dimension's base.
    """

    symbol: str
    dimension: str
    factor: float = 1.0
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class Spellings:
    """Where the plain spelling of a unit leads.

    Parameters
    ----------
    exact : mapping of str to Unit
        By plain spelling, upper and lower case kept.
    folded : mapping of str to Unit
        By plain spelling in lower case, where that is one unit's alone.
    """

    exact: Mapping[str, Unit]
    folded: Mapping[str, Unit]

    def find(self, text: str) -> Unit | None:
        """Return the unit a text spells, None where it spells none."""
        plain = plain_spelling(text)
        return self.exact.get(plain) or self.folded.get(plain.casefold())


# Degree words and signs become one mark; a masculine ordinal is a mistyped degree sign.
_DEGREE = re.compile(r"º|°|˚|\b(?:degrees?|degs?)\b\.?|\bdeg(?=[A-Z])", re.IGNORECASE)
# L⁻¹ and L^-1 are per litre.
_RECIPROCAL = re.compile(r"[·.*\s]*([A-Za-z]+)\^?[-−]1(?!\d)")
_PER = re.compile(r"\s+per\s+|(?<=[A-Za-z])\s*÷\s*", re.IGNORECASE)
_DROPPED = re.compile(r"[\s.·*^()\[\]{}]+")
_MICRO = str.maketrans({"µ": "u", "μ": "u", "−": "-", "⁄": "/", "∕": "/", "″": '"', "′": "'"})


def plain_spelling(text: str) -> str:
    """Write a unit's text without what spellings differ in.

    Examples
    --------
    >>> plain_spelling("mg·L⁻¹"), plain_spelling("° dH"), plain_spelling("µS / cm")
    ('mg/L', '°dH', 'uS/cm')
    """
    marked = _DEGREE.sub("°", text)
    plain = unicodedata.normalize("NFKC", marked).translate(_MICRO)
    plain = _DEGREE.sub("°", _PER.sub("/", plain))
    return _DROPPED.sub("", _RECIPROCAL.sub(r"/\1", plain))


def _number(value: float | str) -> float:
    """Work out a number, or a product and quotient of numbers."""
    if not isinstance(value, str):
        return float(value)
    top, *bottom = value.split("/")
    return prod(float(part) for part in top.split("*")) / prod(float(part) for part in bottom)


def load_units(path: Path) -> Spellings:
    """Read a file of units.

    Raises
    ------
    LimitFileError
        Where a unit's entry is wrong, or two units claim one spelling.
    """
    exact: dict[str, Unit] = {}
    folded: dict[str, set[Unit]] = {}
    for dimension, entries in read_yaml(path).items():
        for symbol, entry in entries.items():
            unit = _unit(path, dimension, symbol, entry)
            for spelling in (symbol, *entry.get("spellings", ())):
                plain = plain_spelling(spelling)
                other = exact.setdefault(plain, unit)
                if other != unit:
                    problem = f"the spelling {spelling!r} is {other.symbol}'s already"
                    raise LimitFileError(str(path), None, f"{dimension}.{symbol}", problem)
                folded.setdefault(plain.casefold(), set()).add(unit)
    alone = {plain: units.pop() for plain, units in folded.items() if len(units) == 1}
    return Spellings(exact, alone)


def _unit(path: Path, dimension: str, symbol: str, entry: Mapping[str, Any]) -> Unit:
    unknown = set(entry) - {"factor", "offset", "spellings"}
    if unknown:
        problem = f"unknown key {min(unknown)!r}; expected factor, offset, spellings"
        raise LimitFileError(str(path), None, f"{dimension}.{symbol}", problem)
    try:
        factor, offset = _number(entry.get("factor", 1)), _number(entry.get("offset", 0))
    except ValueError:
        problem = "expected numbers joined by * and /"
        raise LimitFileError(str(path), None, f"{dimension}.{symbol}", problem) from None
    return Unit(symbol, dimension, factor, offset)


@cache
def known_units() -> Spellings:
    """Return the units that ship with the package."""
    return load_units(UNIT_FILE)
