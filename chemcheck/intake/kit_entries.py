"""What a columns file says of the user's own kits and strips."""

import re
from collections.abc import Mapping

from chemcheck.analytes import analyte as analyte_of
from chemcheck.analytes import find_analyte, to_canonical, vocabulary
from chemcheck.errors import UnitError, not_one_of
from chemcheck.intake.choices import Kit, StripChart
from chemcheck.intake.kits import dilutes
from chemcheck.limit_library.located_yaml import Located
from chemcheck.units import parse_unit

KIT_KEYS = ("per_drop", "titrant", "normality", "sample", "dilution")
_CHART_KEYS = ("unit", "form", "steps", "doubling")
_QUANTITY = re.compile(r"(?P<number>\d+(?:\.\d*)?|\.\d+) *(?P<unit>[^\d\s].*)")
# What ASTM D1121 titrates: 10 mL with 0.100 N acid.
_RESERVE_ALKALINITY = {"titrant": "0.1 N", "sample": "10 mL"}


def read_kits(node: Located) -> Mapping[str, Kit]:
    """Read the kits of several analytes.

    Raises
    ------
    LimitFileError
        Where something is wrong.
    """
    found = {}
    for name, entry in node.mapping().items():
        analyte = _named(name, entry)
        fields = entry.fields((*KIT_KEYS, "form"))
        kit = read_kit(analyte, entry, fields, fields["form"].text() if "form" in fields else None)
        if kit is None:
            entry.refuse(f"expected one of the keys {', '.join(KIT_KEYS)}")
        found[analyte] = kit
    return found


def read_kit(
    analyte: str, node: Located, fields: Mapping[str, Located], form: str | None
) -> Kit | None:
    """Read what a number read off a kit is worth; None where nothing is said of it.

    Parameters
    ----------
    analyte : str
        What it measures.
    node : Located
        Where it stands, for errors.
    fields : mapping of str to Located
        Of ``KIT_KEYS`` and others.
    form : str or None
        The species the worth of a drop is written as.

    Raises
    ------
    LimitFileError
        Where something is wrong.
    """
    if not any(key in fields for key in KIT_KEYS):
        return None
    if "per_drop" in fields and any(key in fields for key in ("titrant", "normality", "sample")):
        node.refuse("counts either drops (per_drop) or a volume (titrant, sample), not both")
    drop = _drop(analyte, fields["per_drop"], form) if "per_drop" in fields else None
    return Kit(drop, _titration(analyte, node, fields), _dilution(analyte, fields.get("dilution")))


def read_chart(name: str, node: Located) -> tuple[str, StripChart]:
    """Read one pad of the user's own strip chart.

    Raises
    ------
    LimitFileError
        Where something is wrong.
    """
    analyte = _named(name, node)
    fields = node.fields(_CHART_KEYS, ("unit", "steps"))
    form = fields["form"].text() if "form" in fields else None
    try:
        change = to_canonical(analyte, fields["unit"].text(), form=form, density=1.0)
    except UnitError as error:
        raise fields["unit"].error(str(error)) from None
    steps = tuple(change(step.number()) for step in fields["steps"].entries())
    if len(steps) < 2 or list(steps) != sorted(set(steps)):
        problem = "expected at least two steps, each greater than the last"
        raise fields["steps"].error(problem)
    return analyte, StripChart(steps, "doubling" in fields and yes(fields["doubling"]))


def yes(node: Located) -> bool:
    """Read an answer."""
    return node.one_of(("yes", "no", "true", "false"), "answer") in ("yes", "true")


def _named(name: str, node: Located) -> str:
    analyte = find_analyte(name)
    if analyte is None:
        raise node.error(not_one_of(name, vocabulary(), "analyte"))
    return analyte


def _drop(analyte: str, node: Located, form: str | None) -> float:
    match = _QUANTITY.fullmatch(node.text())
    if match is None:
        problem = f"expected what a drop is worth with its unit, such as 5 mg/L: {node.text()!r}"
        raise node.error(problem)
    try:
        change = to_canonical(analyte, match["unit"], form=form, density=1.0)
    except UnitError as error:
        raise node.error(str(error)) from None
    if change.offset or not float(match["number"]):
        node.refuse("expected more than nothing for a drop")
    return float(change(float(match["number"])))


def _titration(analyte: str, node: Located, fields: Mapping[str, Located]) -> str | None:
    """Return 1 mL of titrant as a unit, None where no volume is read."""
    if not any(key in fields for key in ("titrant", "normality", "sample")):
        return None
    known = _RESERVE_ALKALINITY if analyte == "reserve_alkalinity" else {}
    titrant = fields["titrant"].text() if "titrant" in fields else known.get("titrant")
    if "normality" in fields:
        titrant = f"{fields['normality'].number():g} N"
    sample = fields["sample"].text() if "sample" in fields else known.get("sample")
    if titrant is None or sample is None:
        node.refuse("expected the titrant's strength (normality: 0.02) and the sample: 50 mL")
    unit = f"mL {titrant}/{sample}"
    try:
        parse_unit(unit)
        to_canonical(analyte, unit)
    except UnitError as error:
        raise node.error(str(error)) from None
    return unit


def _dilution(analyte: str, node: Located | None) -> float:
    if node is None:
        return 1.0
    number = node.number()
    if number < 1:
        problem = f"expected by how much the sample was thinned, 2 where halved; found {number:g}"
        raise node.error(problem)
    if not dilutes(analyte_of(analyte)):
        node.refuse(f"{analyte_of(analyte).title} is not in proportion to the dilution")
    return number
