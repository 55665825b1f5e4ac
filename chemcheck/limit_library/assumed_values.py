"""What is assumed until a figure of one's own is at hand: ranges with source and evidence."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import cast

from chemcheck.errors import UnitError
from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.records import EVIDENCE, Evidence
from chemcheck.units import parse_unit

_VALUE = ("range", "unit", "source", "evidence")


@dataclass(frozen=True, slots=True)
class AssumedRange:
    """A range that something is assumed to lie in.

    Parameters
    ----------
    lower, upper : float
        Its ends [unit].
    unit : str
        As in the file.
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    lower: float
    upper: float
    unit: str
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class BrixScale:
    """Refractive index of sucrose in water.

    Parameters
    ----------
    brix, index : tuple of float
        Share of sucrose [Bx], and index at 20 C; both ascending.
    source : str
        Who says so.
    evidence : str
        How well it is known.
    """

    brix: tuple[float, ...]
    index: tuple[float, ...]
    source: str
    evidence: Evidence


@cache
def cooling_circuit() -> Mapping[str, AssumedRange]:
    """Return what is assumed of a cooling circuit.

    Examples
    --------
    >>> cooling_circuit()["suction_loss"].upper
    30.0
    """
    whole, _ = read_yaml(_path("cooling_circuit"))
    fields = whole.fields(("version", "values"), ("version", "values"))
    return read_ranges(fields["values"])


@cache
def coolant_concentrate() -> Mapping[str, AssumedRange]:
    """Return what links a share of concentrate with the glycol in it.

    Examples
    --------
    >>> share = coolant_concentrate()["glycol_by_mass"]
    >>> share.lower, share.upper, share.evidence
    (92.0, 97.0, 'memory')
    """
    whole, _ = read_yaml(_path("coolant_concentrate"))
    fields = whole.fields(("version", "values"), ("version", "values"))
    return read_ranges(fields["values"])


@cache
def refraction() -> tuple[BrixScale, Mapping[str, AssumedRange]]:
    """Return the Brix scale, and what stands between an index and a share of glycol.

    Examples
    --------
    >>> scale, assumed = refraction()
    >>> scale.index[2], assumed["inhibitor_rise"].evidence
    (1.34782, 'memory')
    """
    whole, _ = read_yaml(_path("refraction"))
    names = ("version", "brix_scale", "values")
    fields = whole.fields(names, names)
    keys = ("brix", "index", "source", "evidence")
    scale = fields["brix_scale"].fields(keys, keys)
    brix, index = ([one.number() for one in scale[key].entries()] for key in ("brix", "index"))
    if len(brix) != len(index) or sorted(set(index)) != index or sorted(set(brix)) != brix:
        fields["brix_scale"].refuse("expected as many indices as Brix, both ascending")
    evidence = cast(Evidence, scale["evidence"].one_of(EVIDENCE, "evidence"))
    found = BrixScale(tuple(brix), tuple(index), scale["source"].text(), evidence)
    return found, read_ranges(fields["values"])


def read_ranges(node: Located) -> Mapping[str, AssumedRange]:
    """Read ranges by their key.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    return MappingProxyType({key: _range(value) for key, value in node.mapping().items()})


def _range(node: Located) -> AssumedRange:
    fields = node.fields(_VALUE, _VALUE)
    ends = [end.number() for end in fields["range"].entries()]
    if len(ends) != 2 or ends[0] > ends[1]:
        fields["range"].refuse("expected the lower and the upper end")
    unit = fields["unit"].text()
    try:
        parse_unit(unit)
    except UnitError as error:
        raise fields["unit"].error(str(error)) from None
    evidence = cast(Evidence, fields["evidence"].one_of(EVIDENCE, "evidence"))
    return AssumedRange(ends[0], ends[1], unit, fields["source"].text(), evidence)


def _path(name: str) -> Path:
    return limit_folder() / "properties" / f"{name}.yaml"
