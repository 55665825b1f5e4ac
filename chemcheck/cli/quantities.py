"""Kinds of quantities that options take, each with its unit in its text.

The readers are imported when a quantity is given, so that help stays fast.
"""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from chemcheck.remedies.estimate import Estimate
    from chemcheck.remedies.rinse_text import RinseReadings

    # Older releases of click cannot be asked for the type it holds.
    _ParamType = click.ParamType[Any]
else:
    _ParamType = click.ParamType


class Kind(_ParamType):
    """A kind of quantity.

    Parameters
    ----------
    name : str
        As help shows it.
    read : callable
        Takes the text and the option's name.
    """

    def __init__(self, name: str, read: Callable[[str, str], Any]) -> None:
        self.name = name
        self.read = read

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Read a text; what is no text is read already."""
        if not isinstance(value, str):
            return value
        return self.read(value, param.opts[0] if param is not None else "")


def _amount(unit: str, example: str) -> Callable[[str, str], "Estimate"]:
    def read(text: str, name: str) -> "Estimate":
        from chemcheck.remedies.quantity_text import read_amount

        return read_amount(text, name, unit, example)

    return read


def _number(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.quantity_text import read_number

    return read_number(text, name, "1.3866")


def _temperature(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.quantity_text import read_temperature

    return read_temperature(text, name, "-30 C")


def _share_of_a_mix(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.share_text import read_share

    return read_share(text, name)[0]


def _share(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.share_text import read_share

    return read_share(text, name, of_a_mix=False)[0]


def _efficiency(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.share_text import read_efficiency

    return read_efficiency(text, name)


def _shares(text: str, name: str) -> tuple["Estimate", ...]:
    from chemcheck.remedies.quantity_text import split_readings
    from chemcheck.remedies.share_text import read_share

    return tuple(read_share(one, name, of_a_mix=False)[0] for one in split_readings(text, name))


def _brix(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.quantity_text import read_amount, read_number, states_unit

    return (
        read_amount(text, name, "Bx", "33 Bx")
        if states_unit(text)
        else read_number(text, name, "33")
    )


def _speed(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.quantity_text import read_number

    return read_number(text.lower().removesuffix("rpm").removesuffix("1/min"), name, "5000")


def _stated_share(text: str, name: str) -> tuple["Estimate", str]:
    from chemcheck.remedies.share_text import read_share

    return read_share(text, name, by_mass=True)


def _coldest(text: str, name: str) -> tuple["Estimate", bool]:
    from chemcheck.remedies.quantity_text import read_temperature, states_unit

    return read_temperature(text, name, "-30 C", bare_celsius=True), states_unit(text)


def _difference(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.quantity_text import read_difference

    return read_difference(text, name)


def _density(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.density_text import read_density

    return read_density(text, name)


def _rinse_readings(text: str, name: str) -> "RinseReadings":
    if Path(text).suffix.lower() in (".csv", ".txt", ".tsv"):
        from chemcheck.assessment.rinse_log import read_rinse_log

        return read_rinse_log(text)
    from chemcheck.remedies.rinse_text import read_rinse_readings

    return read_rinse_readings(text, name)


def _rinse_reading(text: str, name: str) -> tuple[str, "Estimate"]:
    from chemcheck.remedies.rinse_text import read_rinse_reading

    return read_rinse_reading(text, name)


def _named_level(text: str, name: str) -> tuple[str, "Estimate"]:
    from chemcheck.remedies.level_text import read_named_level

    return read_named_level(text, name)


def _burst_point(text: str, name: str) -> tuple["Estimate", "Estimate"]:
    from chemcheck.remedies.burst_table import read_burst_point

    return read_burst_point(text, name)


def _cap(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.pressure_text import read_cap

    return read_cap(text, name)


def _air(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.pressure_text import read_air_pressure

    return read_air_pressure(text, name)


def _altitude(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.pressure_text import read_altitude

    return read_altitude(text, name)


def _top_ups(text: str, name: str) -> "Estimate":
    from chemcheck.remedies.top_up_text import read_top_ups

    return read_top_ups(text, name)


VOLUME = Kind("VOLUME", _amount("L", "12 L"))
LENGTH = Kind("LENGTH", _amount("m", "60 mm"))
PRESSURE = Kind("PRESSURE", _amount("kPa", "20 kPa"))
AREA = Kind("AREA", _amount("cm2", "500 cm2"))
HEAT_FLUX = Kind("FLUX", _amount("kW/m2", "200 kW/m2"))
THERMAL_CONDUCTIVITY = Kind("CONDUCTIVITY", _amount("W/(m K)", "1-2 W/(m K)"))
TOP_UPS = Kind("VOLUME", _top_ups)
NUMBER = Kind("NUMBER", _number)
TEMPERATURE = Kind("TEMPERATURE", _temperature)
SHARE_OF_A_MIX = Kind("SHARE", _share_of_a_mix)
SHARE = Kind("SHARE", _share)
BRIX = Kind("BRIX", _brix)
SPEED = Kind("NUMBER", _speed)
COLDEST = Kind("TEMPERATURE", _coldest)
DIFFERENCE = Kind("DIFFERENCE", _difference)
DENSITY = Kind("DENSITY", _density)
STATED_SHARE = Kind("SHARE", _stated_share)
SHARES = Kind("SHARES", _shares)
EFFICIENCY = Kind("SHARE", _efficiency)
RINSE_READINGS = Kind("READINGS", _rinse_readings)
RINSE_READING = Kind("READING", _rinse_reading)
NAMED_LEVEL = Kind("NAME=VALUE", _named_level)
BURST_POINT = Kind("SHARE=TEMPERATURE", _burst_point)
CAP = Kind("PRESSURE", _cap)
AIR = Kind("PRESSURE", _air)
ALTITUDE = Kind("HEIGHT", _altitude)
