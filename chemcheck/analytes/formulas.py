"""Molar mass from a chemical formula."""

import re
from functools import cache
from pathlib import Path

from chemcheck.errors import UnitError, not_one_of
from chemcheck.units import read_yaml

WEIGHT_FILE = Path(__file__).with_name("atomic_weights.yaml")

_PART = re.compile(r"(?:(?P<times>\d+)(?=[A-Z]))?(?P<atoms>(?:[A-Z][a-z]?\d*)+)")
_ATOM = re.compile(r"([A-Z][a-z]?)(\d*)")


@cache
def atomic_weights() -> dict[str, float]:
    """Return the atomic weights by element [g/mol]."""
    return {element: float(weight) for element, weight in read_yaml(WEIGHT_FILE).items()}


@cache
def molar_mass(formula: str) -> float:
    """Return the molar mass of a formula.

    Parameters
    ----------
    formula : str
        Elements and counts, crystal water behind a dot: ``Na2B4O7.5H2O``.

    Returns
    -------
    float
        The sum of the atomic weights [g/mol].

    Raises
    ------
    UnitError
        Where the text is no formula, or names an element without an atomic weight here.

    References
    ----------
    .. [1] T. Prohaska et al., Standard atomic weights of the elements 2021 (IUPAC Technical
       Report), Pure and Applied Chemistry 94 (2022) 573-600, table 2: abridged values.

    Examples
    --------
    >>> round(molar_mass("CaCO3"), 3)
    100.086
    >>> round(molar_mass("Na2MoO4.2H2O") - molar_mass("Na2MoO4") - 2 * molar_mass("H2O"), 9)
    0.0
    """
    total = 0.0
    for part in formula.split("."):
        found = _PART.fullmatch(part)
        if found is None:
            problem = f"{formula!r} is no formula; expected elements and counts, such as CaCO3"
            raise UnitError(problem)
        atoms = sum(
            _weight(element) * int(count or 1) for element, count in _ATOM.findall(found["atoms"])
        )
        total += int(found["times"] or 1) * atoms
    return total


def _weight(element: str) -> float:
    try:
        return atomic_weights()[element]
    except KeyError:
        raise UnitError(not_one_of(element, atomic_weights(), "element")) from None
