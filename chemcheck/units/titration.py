"""Volumes of titrant as a unit: the equivalents they say a litre of sample holds."""

import re
from functools import cache
from pathlib import Path

from chemcheck.units.unit_file import Unit
from chemcheck.units.yaml_file import read_yaml

DIMENSION = "titrant volume"
TITRANT_FILE = Path(__file__).with_name("titrants.yaml")
# What the dimension's base is: 1 mL of 0.1 N titrant for 10 mL of sample, 10 meq/L.
_NORMALITY, _SAMPLE = 0.1, 10.0

_NUMBER = r"(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_UNIT = re.compile(
    rf"ml(?: of)? ?(?P<strength>{_NUMBER}) ?(?P<kind>n|m|eq/l|mol/l|normal|molar)"
    rf"(?: ?(?P<titrant>[^\d/,;]*?|[^/,;]*?[a-z][^/,;]*?))?"
    rf" ?(?:/|,|;| per | in | for | auf | pour | por ) ?(?P<sample>{_NUMBER}) ?ml"
    r"(?: (?:of )?sample)?",
    re.IGNORECASE,
)


def titration_unit(text: str) -> Unit | None:
    """Return the unit that a volume of titrant is, with its strength and the sample's volume.

    Parameters
    ----------
    text : str
        ``mL 0.02 N H2SO4/50 mL``, ``mL of 0.01 M EDTA per 25 mL sample``.

    Returns
    -------
    Unit or None
        None where the text is none such, or counts moles of a titrant not known here.

    Notes
    -----
    V mL of titrant of normality N for a sample of S mL are 1000 V N / S meq/L [1]_.

    References
    ----------
    .. [1] Standard Methods for the Examination of Water and Wastewater, 2320 B (alkalinity)
       and 4500-Cl B (chloride); memory.

    Examples
    --------
    >>> titration_unit("mL 0.05 N acid / 5 mL").factor, titration_unit("mL") is None
    (1.0, True)
    """
    match = _UNIT.fullmatch(" ".join(text.split()))
    if match is None:
        return None
    strength, sample = (float(match[part].replace(",", ".")) for part in ("strength", "sample"))
    if match["kind"].casefold() not in ("n", "eq/l", "normal"):
        strength *= _equivalents().get(_plain(match["titrant"] or ""), 0)
    if not strength or not sample:
        return None
    factor = (strength / _NORMALITY) * (_SAMPLE / sample)
    return Unit(f"mL {strength:g} N/{sample:g} mL", DIMENSION, factor)


@cache
def _equivalents() -> dict[str, int]:
    lists = read_yaml(TITRANT_FILE)["equivalents"]
    return {_plain(str(name)): int(number) for number, names in lists.items() for name in names}


def _plain(name: str) -> str:
    return "".join(name.casefold().split())
