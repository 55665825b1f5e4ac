"""Shares as a person writes them: ``50 %``, ``45-50 vol%``, ``50/50``."""

from chemcheck.errors import UnitError
from chemcheck.remedies.estimate import Estimate, between
from chemcheck.remedies.quantity_text import Written, in_unit
from chemcheck.units import Unit, parse_unit

_COUNTS = {"percent": "", "volume fraction": "volume", "mass fraction": "mass"}
_UNITS = {"": "%", "volume": "vol%", "mass": "mass%"}


def read_share(
    text: str, name: str, *, of_a_mix: bool = True, by_mass: bool = False
) -> tuple[Estimate, str]:
    """Read a share: of glycol or concentrate in a mix, or of what is left.

    Parameters
    ----------
    text : str
        What was written; ``50/50`` and ``1:1`` are 50 %.
    name : str
        What it is called in an error.
    of_a_mix : bool
        Whether no coolant has a share of 1 % or less: then ``0.5 %`` may be meant as 50 %.
        A number without a unit may always be.
    by_mass : bool
        Whether a share by mass is taken.

    Returns
    -------
    share : Estimate
        [%].
    by : {"volume", "mass", ""}
        What it counts; empty where the text does not say.

    Raises
    ------
    QuantityError
        Where it is no share from 0 to 100 %, or can be read in two ways.

    Examples
    --------
    >>> share, by = read_share("45-50 vol%", "--current")
    >>> float(share.lower), float(share.upper), by
    (45.0, 50.0, 'volume')
    >>> read_share("0.5", "--target")
    Traceback (most recent call last):
        ...
    chemcheck.errors.QuantityError: --target '0.5' can be 50 % or 0.5 %: write '50 %' or '0.5 vol%'
    """
    written = Written(text, name, "50 %")
    cell = written.cell(mix=True)
    unit = _unit(written, cell.unit)
    by = "" if unit is None else _COUNTS[unit.dimension]
    if by == "mass" and not by_mass:
        problem = (
            " counts by mass: give it by volume, as in '50 vol%' (50 mass% of ethylene glycol "
            "are 47.6 vol%)"
        )
        raise written.error(problem)
    plain = unit is None or (of_a_mix and unit.symbol == "%")
    if plain and 0.0 < cell.upper <= 1.0:
        small = f"{cell.upper:g} {'vol%' if of_a_mix else '%'}"
        large = f"{100.0 * cell.upper:g} %"
        problem = f" can be {large} or {cell.upper:g} %: write {large!r} or {small!r}"
        raise written.error(problem)
    share = between(cell.lower, cell.upper) if unit is None else in_unit(cell, unit, _UNITS[by])
    if share.lower < 0.0 or share.upper > 100.0:
        problem = " is not from 0 to 100 %"
        raise written.error(problem)
    return share, by


def read_efficiency(text: str, name: str) -> Estimate:
    """Read an efficiency, of which 1 is perfect and a per cent is none.

    Parameters
    ----------
    text : str
        ``0.8`` or ``80 %``.
    name : str
        What it is called in an error.

    Returns
    -------
    Estimate
        [%].

    Raises
    ------
    QuantityError
        As for `read_share`.

    Examples
    --------
    >>> float(read_efficiency("0.8", "--efficiency").value)
    80.0
    """
    cell = Written(text, name, "80 %").cell()
    if cell.unit is None and cell.upper <= 1.0:
        return between(100.0 * cell.lower, 100.0 * cell.upper)
    return read_share(text, name, of_a_mix=False)[0]


def _unit(written: Written, stated: str | None) -> Unit | None:
    if stated is None:
        return None
    try:
        unit = parse_unit(stated)
    except UnitError as error:
        problem = f": {error}"
        raise written.error(problem) from None
    if unit.dimension not in _COUNTS:
        problem = f": expected a share, as in {written.example!r}"
        raise written.error(problem)
    return unit
