"""Pressures and heights as a person writes them, gauge and absolute told apart."""

import re

from chemcheck.chemistry.standard_atmosphere import ALTITUDE_RANGE, SEA_LEVEL_PRESSURE
from chemcheck.errors import UnitError, shorten
from chemcheck.limit_library.assumed_values import cooling_circuit
from chemcheck.remedies.estimate import Estimate
from chemcheck.remedies.quantity_text import Written, in_unit
from chemcheck.units import Unit, convert, parse_unit

_ABSOLUTE = re.compile(r"(?i)(?P<unit>.*?)[\s(\[]*(?:absolute|abs|a)[)\].]*")
_GAUGE = re.compile(r"(?i)gauge|\(g\)|psig|barg|kpag")


def read_cap(text: str, name: str = "--cap") -> Estimate:
    """Read a cap's rating, which is a gauge pressure: above the air's.

    Parameters
    ----------
    text : str
        What was written.
    name : str
        What it is called in an error.

    Returns
    -------
    Estimate
        [kPa gauge].

    Raises
    ------
    QuantityError
        Where it is no pressure, is absolute, or is so high that it may be meant as absolute
        and does not say ``gauge``.

    Examples
    --------
    >>> round(float(read_cap("15 psi").value), 1)
    103.4
    >>> read_cap("205 kPa")
    Traceback (most recent call last):
        ...
    chemcheck.errors.QuantityError: --cap '205 kPa' is high for a cap: write '104 kPa' if it ...
    """
    written = Written(text, name, "15 psi")
    cell = written.cell()
    absolute = _ABSOLUTE.fullmatch((cell.unit or "").strip())
    if absolute is not None and (unit := _pressure(absolute["unit"])):
        problem = (
            " is absolute, and a cap is rated above the air's pressure: at sea level write "
            f"'{_above_air(cell.upper, unit):.0f} kPa'"
        )
        raise written.error(problem)
    unit = written.unit(cell.unit, "kPa")
    found = in_unit(cell, unit, "kPa")
    if found.lower < 0.0:
        problem = " is below zero: a cap holds pressure above the air's"
        raise written.error(problem)
    if found.upper > cooling_circuit()["cap_possible"].upper:
        problem = " is more than any cap holds: check number and unit"
        raise written.error(problem)
    if found.upper > cooling_circuit()["cap_rating"].upper and not _GAUGE.search(text):
        problem = (
            f" is high for a cap: write '{_above_air(cell.upper, unit):.0f} kPa' if it is "
            f"absolute, or '{shorten(text.strip())} gauge'"
        )
        raise written.error(problem)
    return found


def read_air_pressure(text: str, name: str = "--ambient-pressure") -> Estimate:
    """Read the pressure of the air outside, which is absolute.

    Parameters
    ----------
    text : str
        What was written.
    name : str
        What it is called in an error.

    Returns
    -------
    Estimate
        [kPa].

    Raises
    ------
    QuantityError
        Where it is no pressure, or none that air has where people work.

    Examples
    --------
    >>> float(read_air_pressure("985 hPa").value)
    98.5
    """
    written = Written(text, name, "98 kPa")
    cell = written.cell()
    absolute = _ABSOLUTE.fullmatch((cell.unit or "").strip())
    unit = _pressure(absolute["unit"]) if absolute is not None else None
    found = in_unit(cell, unit or written.unit(cell.unit, "kPa"), "kPa")
    if found.lower < 30.0 or found.upper > 150.0:
        problem = " is no pressure of the air: expected an absolute one from 30 to 150 kPa"
        raise written.error(problem)
    return found


def read_altitude(text: str, name: str = "--altitude") -> Estimate:
    """Read a height above sea level.

    Parameters
    ----------
    text : str
        What was written.
    name : str
        What it is called in an error.

    Returns
    -------
    Estimate
        [m].

    Raises
    ------
    QuantityError
        Where it is no height, below the shores of the Dead Sea, or above the troposphere.

    Examples
    --------
    >>> round(float(read_altitude("8200 ft").value))
    2499
    """
    written = Written(text, name, "1500 m")
    cell = written.cell()
    found = in_unit(cell, written.unit(cell.unit, "m"), "m")
    lowest = cooling_circuit()["lowest_land"].lower
    if found.lower < lowest:
        problem = (
            f" is below the shores of the Dead Sea ({lowest:.0f} m): in a mine give the air's "
            "pressure, as in --ambient-pressure '110 kPa'"
        )
        raise written.error(problem)
    if found.upper > ALTITUDE_RANGE[1]:
        problem = f" is above {ALTITUDE_RANGE[1]:,.0f} m, where the standard atmosphere ends here"
        raise written.error(problem)
    return found


def _pressure(unit: str) -> Unit | None:
    try:
        parsed = parse_unit(unit.strip())
    except UnitError:
        return None
    return parsed if parsed.dimension == "pressure" else None


def _above_air(value: float, unit: Unit) -> float:
    """Return what an absolute pressure is above the standard atmosphere [kPa]."""
    return float(convert(value, unit, "kPa")) - SEA_LEVEL_PRESSURE
