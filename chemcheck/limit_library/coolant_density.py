"""Between which densities coolants lie, by their share of glycol."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import cast

from chemcheck.limit_library.assumed_values import AssumedRange, read_ranges
from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.records import EVIDENCE, Evidence

_HEAD = ("version", "percent", "heaviest", "lightest", "values")
_CURVE = ("values", "unit", "source", "evidence")
_UNIT = "kg/L"


@dataclass(frozen=True, slots=True)
class DensityCurve:
    """The density of one kind of coolant.

    Parameters
    ----------
    values : tuple of float
        At the shares of the table it belongs to [kg/L].
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    values: tuple[float, ...]
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class DensityRange:
    """The heaviest and the lightest coolant by share of glycol.

    Parameters
    ----------
    percent : tuple of float
        Shares, ascending [vol%].
    heaviest, lightest : DensityCurve
        What any usual coolant lies between.
    usual_share : AssumedRange
        What a coolant holds of which nobody states it [vol%].
    """

    percent: tuple[float, ...]
    heaviest: DensityCurve
    lightest: DensityCurve
    usual_share: AssumedRange


@cache
def density_range() -> DensityRange:
    """Return the library's table.

    Raises
    ------
    LimitFileError
        If its file is damaged.

    Examples
    --------
    >>> density_range().heaviest.values[5], density_range().lightest.evidence
    (1.074, 'library')
    """
    return read_density_range(limit_folder() / "properties" / "coolant_density.yaml")


def read_density_range(path: Path) -> DensityRange:
    """Read a table of densities.

    Parameters
    ----------
    path : Path
        A YAML file as ``limits/properties/coolant_density.yaml``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    whole, _ = read_yaml(path)
    fields = whole.fields(_HEAD, _HEAD)
    percent = tuple(entry.number() for entry in fields["percent"].entries())
    if len(percent) < 2 or sorted(set(percent)) != list(percent):
        fields["percent"].refuse("expected at least two numbers, each greater than the last")
    ranges = read_ranges(fields["values"])
    if "usual_share" not in ranges:
        fields["values"].refuse("the key 'usual_share' is missing")
    heaviest, lightest = (_curve(fields[key], len(percent)) for key in ("heaviest", "lightest"))
    if any(low > high for low, high in zip(lightest.values, heaviest.values, strict=True)):
        fields["lightest"].refuse("is heavier than the heaviest")
    return DensityRange(percent, heaviest, lightest, ranges["usual_share"])


def _curve(node: Located, count: int) -> DensityCurve:
    fields = node.fields(_CURVE, _CURVE)
    values = tuple(entry.number() for entry in fields["values"].entries())
    if len(values) != count:
        fields["values"].refuse(f"expected {count} numbers, found {len(values)}")
    if fields["unit"].text() != _UNIT:
        fields["unit"].refuse(f"expected {_UNIT!r}")
    evidence = cast(Evidence, fields["evidence"].one_of(EVIDENCE, "evidence"))
    return DensityCurve(values, fields["source"].text(), evidence)
