"""Text to unit, and text to number with unit."""

import re
from functools import lru_cache

from chemcheck.errors import UnitError, not_one_of, shorten
from chemcheck.units.titration import titration_unit
from chemcheck.units.unit_file import Unit, known_units

_QUANTITY = re.compile(
    r"""\s*(?P<number>[+\-−–]?\s*(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+\-−]?\d+)?)\s*(?P<unit>.*?)\s*""",
    re.DOTALL,
)
# No unit is spelled longer than this.
_LONGEST = 80
# 1,200 is a thousand and more or a little over one, by who wrote it; 0,500 can only be a half.
_UNDECIDABLE = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")


@lru_cache(maxsize=16384)
def parse_unit(text: str) -> Unit:
    """Return the unit a text names.

    Spaces, dots, brackets, micro signs, superscripts and words for *per* do not
    matter; upper and lower case matter only where two units differ by nothing else.

    Parameters
    ----------
    text : str
        ``mg/L``, ``µS/cm``, ``°dH``, ``mg·L⁻¹``, ``grains per gallon``, ...

    Returns
    -------
    Unit
        Its symbol, dimension, and factor and offset to the dimension's base.

    Raises
    ------
    UnitError
        Where the text names no unit known here; with the nearest one.

    Examples
    --------
    >>> parse_unit("µmhos / cm").symbol
    'uS/cm'
    >>> parse_unit("MG/L") == parse_unit("mg l⁻¹")
    True
    >>> parse_unit("tons/day")
    Traceback (most recent call last):
        ...
    chemcheck.errors.UnitError: 'tons/day' is no unit known here; expected one of: ...
    """
    unit = known_units().find(text) or titration_unit(text) if len(text) <= _LONGEST else None
    if unit is None:
        raise UnitError(not_one_of(text.strip(), unit_symbols(), "unit"))
    return unit


def unit_symbols(dimension: str | None = None) -> tuple[str, ...]:
    """Return the symbols of all units, or of those of one dimension, in the file's order.

    Examples
    --------
    >>> unit_symbols("ppm")
    ('ppm', 'ppb')
    """
    units = dict.fromkeys(known_units().exact.values())
    return tuple(unit.symbol for unit in units if dimension in (None, unit.dimension))


def parse_quantity(text: str, default: str | None = None) -> tuple[float, Unit]:
    """Return the number and the unit that a text states.

    Parameters
    ----------
    text : str
        ``12 L``, ``15psi``, ``-34 F``, ``2,5 gal``: point or comma is the decimal mark.
    default : str, optional
        The unit of a text that states none.

    Returns
    -------
    value : float
        As written, in the unit.
    unit : Unit
        The unit.

    Raises
    ------
    UnitError
        Where there is no number, no unit and no default, an unknown unit, or a number
        such as ``1,200`` that can be read in two ways.

    Examples
    --------
    >>> value, unit = parse_quantity("18 gpg")
    >>> value, unit.symbol
    (18.0, 'gpg')
    >>> parse_quantity("−34 °F")[0]
    -34.0
    """
    found = _QUANTITY.fullmatch(text)
    if found is None:
        problem = f"{shorten(text)!r}: expected a number with its unit, such as '12 L'"
        raise UnitError(problem)
    digits = re.sub(r"[−–]", "-", found["number"].replace(" ", ""))
    if _UNDECIDABLE.fullmatch(digits):
        plain, point = digits.replace(",", ""), digits.replace(",", ".")
        problem = f"{shorten(text)!r} can be read as {plain} or {point}: write one of these"
        raise UnitError(problem)
    unit_text = found["unit"] or default
    if not unit_text:
        problem = f"{shorten(text)!r} states no unit; write it behind the number, as in '12 L'"
        raise UnitError(problem)
    return float(digits.replace(",", ".")), parse_unit(unit_text)
