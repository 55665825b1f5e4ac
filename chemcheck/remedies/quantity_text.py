"""Quantities as a person writes them: a number or a range, with its unit in the text.

The grammar is that of result cells: ``8 L``, ``8-9 L``, ``8 ± 0.5 L``, ``<0.5 mg/L``. Where
a text can be read in two ways it is refused, with both ways to write it.
"""

import math
import re
from dataclasses import dataclass

from chemcheck.errors import QuantityError, UnitError, shorten
from chemcheck.intake.cell_grammar import read_cell
from chemcheck.intake.cell_words import CellRead
from chemcheck.remedies.estimate import Estimate, between
from chemcheck.units import Unit, convert, linear_map, parse_unit

ABSOLUTE_ZERO = -273.15  # [deg C]
_PLACES = re.compile(r"\s*;\s*|,\s+")
# Commas between digits part readings where they cannot be marks of decimals or thousands.
_COMMAS = re.compile(r"[^,]*\.[^,]*,.*|.*,[^,]*\..*|[^,]*,[^,]*,.*", re.DOTALL)
_GROUPED = re.compile(r"\s*\d{1,3}(,\d{3})+(\.\d*)?\D*")


@dataclass(frozen=True, slots=True)
class Written:
    """A quantity as it was written.

    Parameters
    ----------
    text : str
        What was written.
    name : str
        What it is called in an error, such as the option.
    example : str
        What it could have been.
    """

    text: str
    name: str
    example: str

    def error(self, problem: str) -> QuantityError:
        """Return an error that names the quantity and the text."""
        return QuantityError(f"{self.name} {shorten(self.text)!r}{problem}")

    def cell(self, floor: float = 0.0, *, mix: bool = False) -> CellRead:
        """Read the text as a cell with two finite ends; of a mix also as 50/50."""
        decimal = None if "," in self.text else "."
        cell = read_cell(self.text, decimal, floor=floor, mix=mix)
        if cell.kind == "ambiguous":
            digits = self.text.strip()
            plain, point = digits.replace(",", ""), digits.replace(",", ".")
            problem = f" can be read in two ways: write {shorten(plain)!r} or {shorten(point)!r}"
            raise self.error(problem)
        if cell.kind != "read":
            problem = f": {cell.problem or 'expected a number'}; such as {self.example!r}"
            raise self.error(problem)
        if math.isinf(cell.upper) or math.isinf(cell.lower):
            problem = " has no other end: give a number or a range"
            raise self.error(problem)
        return cell

    def unit(self, stated: str | None, wanted: str) -> Unit:
        """Return the unit stated, once it converts to the one wanted."""
        if stated is None:
            problem = f" states no unit: write it behind, as in {self.example!r}"
            raise self.error(problem)
        try:
            parsed = parse_unit(stated)
            linear_map(parsed, wanted)
        except UnitError as error:
            problem = f": {error}"
            raise self.error(problem) from None
        return parsed


def read_amount(text: str, name: str, unit: str, example: str, *, floor: float = 0.0) -> Estimate:
    """Read a quantity that needs a unit.

    Parameters
    ----------
    text : str
        What was written.
    name : str
        What it is called in an error, such as the option.
    unit : str
        Unit of the result; any unit of the same dimension is read.
    example : str
        What it could have been.
    floor : float
        What "less than" reaches down to [the unit of the text].

    Returns
    -------
    Estimate
        [unit].

    Raises
    ------
    QuantityError
        Where it is no such quantity, or can be read in two ways.

    Examples
    --------
    >>> volume = read_amount("2 US gal", "--system", "L", "12 L")
    >>> round(float(volume.value), 3)
    7.571
    >>> read_amount("12", "--system", "L", "12 L")
    Traceback (most recent call last):
        ...
    chemcheck.errors.QuantityError: --system '12' states no unit: write it behind, as in '12 L'
    """
    written = Written(text, name, example)
    cell = written.cell(floor)
    return in_unit(cell, written.unit(cell.unit, unit), unit)


def read_number(text: str, name: str, example: str) -> Estimate:
    """Read a number that has no unit.

    Parameters
    ----------
    text, name, example : str
        As for `read_amount`.

    Returns
    -------
    Estimate
        [1].

    Raises
    ------
    QuantityError
        As for `read_amount`.

    Examples
    --------
    >>> float(read_number("1.3866", "--refractive-index", "1.3866").value)
    1.3866
    """
    written = Written(text, name, example)
    cell = written.cell()
    if cell.unit is not None:
        written.unit(cell.unit, "1")
    return between(cell.lower, cell.upper)


def read_temperature(text: str, name: str, example: str, *, bare_celsius: bool = False) -> Estimate:
    """Read a temperature.

    Parameters
    ----------
    text, name, example : str
        As for `read_amount`.
    bare_celsius : bool
        Whether a number without a unit is deg C; else it is refused with both readings.

    Returns
    -------
    Estimate
        [deg C].

    Raises
    ------
    QuantityError
        As for `read_amount`, and below absolute zero.

    Examples
    --------
    >>> round(float(read_temperature("-34 F", "--freezing-point", "-37 C").value), 1)
    -36.7
    >>> read_temperature("-34", "--coldest", "-30 C")
    Traceback (most recent call last):
        ...
    chemcheck.errors.QuantityError: --coldest '-34' can be C or F: write '-34 C' or '-34 F'
    """
    written = Written(text, name, example)
    cell = written.cell(ABSOLUTE_ZERO)
    if cell.unit is None and not bare_celsius:
        flat = shorten(text.strip())
        problem = f" can be C or F: write '{flat} C' or '{flat} F'"
        raise written.error(problem)
    found = in_unit(cell, written.unit(cell.unit or "deg C", "deg C"), "deg C")
    if found.lower < ABSOLUTE_ZERO:
        problem = " is below absolute zero"
        raise written.error(problem)
    return found


def read_difference(text: str, name: str) -> Estimate:
    """Read a difference between two temperatures.

    Parameters
    ----------
    text, name : str
        As for `read_amount`.

    Returns
    -------
    Estimate
        [deg C], where 9 F are 5 C.

    Raises
    ------
    QuantityError
        As for `read_amount`.

    Examples
    --------
    >>> round(float(read_difference("9 F", "--safety").value), 6)
    5.0
    """
    written = Written(text, name, "5 C")
    cell = written.cell()
    unit = written.unit(cell.unit, "deg C")
    return between(cell.lower * unit.factor, cell.upper * unit.factor)


def states_unit(text: str) -> bool:
    """Say whether a quantity states its unit.

    Examples
    --------
    >>> states_unit("-30"), states_unit("-30 C")
    (False, True)
    """
    return read_cell(text, None, floor=-math.inf, mix=True).unit is not None


def split_readings(text: str, name: str) -> tuple[str, ...]:
    """Split readings written in one text; a unit behind the last one is that of all.

    Parameters
    ----------
    text, name : str
        As for `read_amount`.

    Returns
    -------
    tuple of str
        Each with its unit, where any has one.

    Raises
    ------
    QuantityError
        Where there are not two, or a comma may part two readings or two digits.

    Examples
    --------
    >>> split_readings("50, 16.7, 5.6 %", "--readings")
    ('50 %', '16.7 %', '5.6 %')
    """
    parts = [part for part in _PLACES.split(text.strip()) if part]
    if len(parts) == 1 and _COMMAS.fullmatch(text) and not _GROUPED.fullmatch(text):
        parts = [part.strip() for part in text.split(",") if part.strip()]
    if len(parts) < 2:
        problem = ": expected two readings or more parted by ';', as in '50; 16.7; 5.6 %'"
        raise Written(text, name, "").error(problem)
    unit = re.sub(r"^[\s\d.,+\-±~<>]*", "", parts[-1])
    if unit == parts[-1]:  # no number before it: the last is wrong, not the others
        unit = ""
    return tuple(
        part if re.search(r"[A-Za-z%°µμ]", part) else f"{part} {unit}".strip() for part in parts
    )


def in_unit(cell: CellRead, unit: Unit, wanted: str) -> Estimate:
    """Return a cell's ends in a unit.

    Parameters
    ----------
    cell : CellRead
        With two ends.
    unit : Unit
        Its unit.
    wanted : str
        A unit of the same dimension.

    Returns
    -------
    Estimate
        [wanted].
    """
    return between(convert(cell.lower, unit, wanted), convert(cell.upper, unit, wanted))
