"""Readings of rinses as a person writes them: glycol or conductivity, one after the other."""

from dataclasses import dataclass

from chemcheck.errors import QuantityError, UnitError
from chemcheck.remedies.estimate import Estimate, exact
from chemcheck.remedies.quantity_text import Written, read_amount, split_readings
from chemcheck.remedies.share_text import read_share
from chemcheck.units import parse_unit

GLYCOL, CONDUCTIVITY = "glycol", "conductivity"
_UNIT = "uS/cm"


@dataclass(frozen=True, slots=True)
class RinseReadings:
    """Readings before the first rinse and after each.

    Parameters
    ----------
    analyte : {"glycol", "conductivity"}
        What was read.
    values : tuple of Estimate
        In the order of reading [% or uS/cm].
    background : Estimate
        What the rinse water itself reads [the same unit].
    """

    analyte: str
    values: tuple[Estimate, ...]
    background: Estimate


def read_rinse_reading(text: str, name: str) -> tuple[str, Estimate]:
    """Read one reading of a rinse.

    Parameters
    ----------
    text : str
        ``16.7 %`` or ``760 uS/cm``.
    name : str
        What it is called in an error.

    Returns
    -------
    analyte : {"glycol", "conductivity"}
        What was read.
    value : Estimate
        [% or uS/cm].

    Raises
    ------
    QuantityError
        Where it is neither.

    Examples
    --------
    >>> read_rinse_reading("0.76 mS/cm", "--water")[0]
    'conductivity'
    """
    written = Written(text, name, "760 uS/cm")
    cell = written.cell()
    try:
        conducts = cell.unit is not None and parse_unit(cell.unit).dimension == CONDUCTIVITY
    except UnitError:
        conducts = False
    if conducts:
        return CONDUCTIVITY, read_amount(text, name, _UNIT, written.example)
    return GLYCOL, read_share(text, name, of_a_mix=False)[0]


def read_rinse_readings(text: str, name: str) -> RinseReadings:
    """Read the readings of all rinses.

    Parameters
    ----------
    text : str
        ``50; 16.7; 5.6 %``.
    name : str
        What it is called in an error.

    Returns
    -------
    RinseReadings
        The rinse water itself reads nothing.

    Raises
    ------
    QuantityError
        As for `read_rinse_reading`, and where they are not all of one kind.

    Examples
    --------
    >>> len(read_rinse_readings("2100; 760; 300 uS/cm", "--readings").values)
    3
    """
    found = [read_rinse_reading(one, name) for one in split_readings(text, name)]
    if len({analyte for analyte, _ in found}) > 1:
        problem = ": expected all of glycol, or all of conductivity"
        raise Written(text, name, "").error(problem)
    return RinseReadings(found[0][0], tuple(value for _, value in found), exact(0.0))


def with_rinse_water(
    readings: RinseReadings | None, water: tuple[str, Estimate] | None
) -> RinseReadings | None:
    """Take into account what the rinse water itself reads.

    Parameters
    ----------
    readings : RinseReadings or None
        Of the rinses.
    water : tuple of (str, Estimate) or None
        As from `read_rinse_reading`.

    Raises
    ------
    QuantityError
        Where the two are of different kinds, or the water is read alone.

    Examples
    --------
    >>> readings = read_rinse_readings("2100; 760 uS/cm", "--readings")
    >>> float(with_rinse_water(readings, ("conductivity", exact(20.0))).background.value)
    20.0
    """
    if water is None:
        return readings
    if readings is None:
        message = "what the rinse water reads is of no use without the readings of the rinses"
        raise QuantityError(message)
    if water[0] != readings.analyte:
        message = f"the rinses were read by {readings.analyte}, the rinse water by {water[0]}"
        raise QuantityError(message)
    return RinseReadings(readings.analyte, readings.values, water[1])
