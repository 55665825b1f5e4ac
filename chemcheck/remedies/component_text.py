"""Components of an additive as a person writes them."""

from dataclasses import dataclass

from chemcheck.errors import QuantityError
from chemcheck.remedies.estimate import Estimate, exact
from chemcheck.remedies.level_text import find_component, read_level
from chemcheck.remedies.quantity_text import Written

# Counted in units per gallon, which are no concentration.
ADDITIVE_UNITS = "supplemental_additive"


@dataclass(frozen=True, slots=True)
class Component:
    """A component of the additive.

    Parameters
    ----------
    analyte : str
        A key of the vocabulary.
    now, strength : Estimate
        Level in the coolant and in the additive [the analyte's canonical unit].
    most : float or None
        Upper bound [the same]; None looks it up in the limit set.
    """

    analyte: str
    now: Estimate
    strength: Estimate
    most: float | None = None


def read_component(
    title: str, now: str, strength: str | None, most: str | None = None
) -> Component:
    """Read the component that is dosed.

    Parameters
    ----------
    title : str
        Its name, as a column's title would say it.
    now, strength, most : str or None
        Level in the coolant, in the additive, and its upper bound, each with its unit.

    Returns
    -------
    Component
        An additive that counts in units needs no strength.

    Raises
    ------
    QuantityError
        Where a text cannot be read, or the strength is missing.

    Examples
    --------
    >>> read_component("NO2", "600 mg/L", "60 g/L").analyte
    'nitrite'
    """
    analyte = find_component(title, "--component")
    if strength is None and analyte != ADDITIVE_UNITS:
        message = "how strong the additive is was not said: give --strength, as in '60 g/L'"
        raise QuantityError(message)
    return Component(
        analyte=analyte,
        now=read_level(now, "--now", analyte),
        strength=exact(0.0) if strength is None else read_level(strength, "--strength", analyte),
        most=None if most is None else float(read_level(most, "--most", analyte).lower),
    )


def read_further_component(text: str, name: str) -> Component:
    """Read another component: its name, its level in the coolant and in the additive.

    Parameters
    ----------
    text : str
        ``molybdenum=50 mg/L; 8 g/L``.
    name : str
        What it is called in an error.

    Returns
    -------
    Component
        Its bound is looked up.

    Raises
    ------
    QuantityError
        Where it is something else.

    Examples
    --------
    >>> float(read_further_component("Mo=50 mg/L; 8 g/L", "--also").strength.value)
    8000.0
    """
    title, mark, levels = text.partition("=")
    parts = [part.strip() for part in levels.split(";")]
    if not mark or len(parts) != 2:
        problem = (
            ": expected name, level now and level in the additive, as in "
            "'molybdenum=50 mg/L; 8 g/L'"
        )
        raise Written(text, name, "").error(problem)
    analyte = find_component(title, name)
    now, strength = (read_level(part, name, analyte) for part in parts)
    return Component(analyte, now, strength)
