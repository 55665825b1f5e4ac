"""What is assumed of deionised water and new coolant whose own readings are not at hand."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from chemcheck.analytes import to_canonical
from chemcheck.errors import UnitError
from chemcheck.limit_library import limit_folder, load_set
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.records import EVIDENCE, Evidence

_SHOP_RULE = "deionised_water_shop_rule"


@dataclass(frozen=True, slots=True)
class AssumedValue:
    """One value of deionised water, or of new coolant.

    Parameters
    ----------
    analyte : str
        A key of the vocabulary.
    lower, upper : float
        The ends of the value [the analyte's canonical unit].
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    analyte: str
    lower: float
    upper: float
    source: str
    evidence: Evidence


def read_deionised_water(path: Path) -> Mapping[str, AssumedValue]:
    """Read a file of values of deionised water.

    Only what mixes in proportion belongs in it: a blend is reckoned for its analytes alone.

    Parameters
    ----------
    path : Path
        A YAML file as ``limits/properties/deionised_water.yaml``.

    Returns
    -------
    mapping of str to AssumedValue
        By the analyte's key.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    whole, _ = read_yaml(path)
    fields = whole.fields(("version", "values"), ("version", "values"))
    return MappingProxyType(
        {key: _value(key, node) for key, node in fields["values"].mapping().items()}
    )


@cache
def deionised_water() -> Mapping[str, AssumedValue]:
    """Return the values assumed of deionised water, by the analyte's key.

    Examples
    --------
    >>> deionised_water()["chloride"].upper
    1.0
    """
    return read_deionised_water(limit_folder() / "properties" / "deionised_water.yaml")


@cache
def new_coolant() -> Mapping[str, AssumedValue]:
    """Return the values assumed of a new ready mix, by the analyte's key.

    Examples
    --------
    >>> new_coolant()["chloride"].upper
    15.0
    """
    return read_deionised_water(limit_folder() / "properties" / "new_coolant.yaml")


def deionised_up_to() -> float:
    """Return the conductivity above which a water surely is not deionised [uS/cm].

    Examples
    --------
    >>> deionised_up_to()
    20.0
    """
    [limit] = load_set(_SHOP_RULE).limits
    return max(bound.value for bound in limit.bounds if bound.kind == "action")


def _value(key: str, node: Located) -> AssumedValue:
    names = ("range", "unit", "source", "evidence")
    fields = node.fields(names, names)
    ends = fields["range"].entries()
    if len(ends) != 2:
        problem = f"expected the lower and the upper end, found {len(ends)} values"
        raise fields["range"].error(problem)
    try:
        to_stored = to_canonical(key, fields["unit"].text())
    except UnitError as error:
        raise fields["unit"].error(str(error)) from None
    lower, upper = (float(to_stored(end.number())) for end in ends)
    if not 0 <= lower <= upper:
        problem = f"expected 0 <= lower <= upper, found {lower:g} and {upper:g}"
        raise fields["range"].error(problem)
    evidence = fields["evidence"].one_of(EVIDENCE, "evidence")
    return AssumedValue(key, lower, upper, fields["source"].text(), evidence)  # type: ignore[arg-type]  # one_of checked it
