"""The temperatures that figures of a water are asked for, as a person writes them."""

import re

from chemcheck.chemistry.waters import HIGHEST_TEMPERATURE
from chemcheck.errors import QuantityError, shorten
from chemcheck.judging.water_figures import (
    COLD,
    FILM,
    IndexTemperature,
    film_temperature,
    usual_temperatures,
)
from chemcheck.remedies.quantity_text import read_temperature

_BETWEEN = re.compile(r"\s*[,;]\s*")
_EXAMPLE = "cold, 40 C, 180 F, film"


def index_temperatures(
    temperatures: str | None = None, film: str | None = None
) -> tuple[IndexTemperature, ...]:
    """Read the temperatures that figures are asked for.

    Parameters
    ----------
    temperatures : str, optional
        A list with commas between: ``cold`` for the temperature of sampling, ``film`` for the
        film on a hot wall, or temperatures, deg C where they state no unit. By default as
        sampled, 25, 60, 90 deg C and the film.
    film : str, optional
        The temperature of the film; by default 110 deg C.

    Returns
    -------
    tuple of IndexTemperature
        Each once, in the order given.

    Raises
    ------
    QuantityError
        If one is no temperature from 0 to 130 deg C.

    Examples
    --------
    >>> [(one.label, one.celsius) for one in index_temperatures("cold, 122 F, film", "118 C")]
    [('cold', None), ('50', 50.0), ('film', 118.0)]
    """
    on_wall = film_temperature() if film is None else _celsius(film, "--film-temperature")
    if temperatures is None:
        asked = usual_temperatures()
        return (*asked[:-1], IndexTemperature(FILM, on_wall))
    found: dict[str, IndexTemperature] = {}
    for text in _BETWEEN.split(temperatures.strip()):
        word = text.lower()
        if word == COLD:
            one = IndexTemperature(COLD, None)
        elif word == FILM:
            one = IndexTemperature(FILM, on_wall)
        else:
            celsius = _celsius(text, "--temperatures")
            one = IndexTemperature(f"{celsius:.4g}", celsius)
        found[one.label] = one
    return tuple(found.values())


def _celsius(text: str, name: str) -> float:
    """Read one temperature."""
    found = read_temperature(text, name, _EXAMPLE, bare_celsius=True)
    if found.lower != found.upper:
        problem = f"{name} {shorten(text)!r}: expected one temperature, not a range"
        raise QuantityError(problem)
    if not 0.0 <= found.lower <= HIGHEST_TEMPERATURE:
        problem = (
            f"{name} {shorten(text)!r}: expected 0 to {HIGHEST_TEMPERATURE:g} C, the range of the "
            "water chemistry"
        )
        raise QuantityError(problem)
    return round(float(found.lower), 6)
