"""Densities as a person writes them: with a unit, or relative to water."""

from chemcheck.chemistry.vapour_pressure import WATER_DENSITY
from chemcheck.remedies.estimate import Estimate, between
from chemcheck.remedies.quantity_text import Written, in_unit

# Water at 15.6 C (60 F), the other temperature that relative density refers to
# (library: CoolProp 8.0.0, IAPWS-95).
_WATER_AT_60_F = 999.05  # [kg/m3]
# Coolants and water; anything else is another unit or another liquid.
_POSSIBLE = (900.0, 1200.0)  # [kg/m3]


def read_density(text: str, name: str = "--density") -> Estimate:
    """Read a density, or a relative density.

    Parameters
    ----------
    text : str
        ``1.073 kg/L``, ``1073 kg/m3``; a number alone is relative to water.
    name : str
        What it is called in an error.

    Returns
    -------
    Estimate
        [kg/m3]. A relative density may refer to water at 15.6 or at 20 C: the interval holds
        both.

    Raises
    ------
    QuantityError
        Where it is no density that a coolant has.

    Examples
    --------
    >>> float(read_density("1.073 kg/L").value)
    1073.0
    >>> ends = read_density("1.073")
    >>> float(ends.lower.round(1)), float(ends.upper.round(1))
    (1071.1, 1072.0)
    """
    written = Written(text, name, "1.073 kg/L")
    cell = written.cell()
    if cell.unit is None:
        found = between(cell.lower * WATER_DENSITY, cell.upper * _WATER_AT_60_F)
    else:
        found = in_unit(cell, written.unit(cell.unit, "kg/L"), "kg/L")
        found = between(1e3 * found.lower, 1e3 * found.upper)
    if found.lower < _POSSIBLE[0] or found.upper > _POSSIBLE[1]:
        problem = " is no density of a coolant: expected 1.00 to 1.15, as in '1.073 kg/L'"
        raise written.error(problem)
    return found
