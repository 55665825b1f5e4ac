"""The slips of unit that make sense for each analyte, from ``limits/checks``."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from chemcheck.analytes import vocabulary
from chemcheck.limit_library import limit_folder
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.settings import Setting, read_check_file, read_settings


@dataclass(frozen=True, slots=True)
class SlipFactor:
    """One way of misreading a unit.

    Parameters
    ----------
    factor : float
        Above 1; the reading is so many times too high, or too low.
    says : str
        What was misread.
    """

    factor: float
    says: str


@dataclass(frozen=True, slots=True)
class SlipLibrary:
    """What slips are looked for.

    Parameters
    ----------
    settings : mapping of str to Setting
        How far off a reading must be.
    factors : mapping of str to tuple of SlipFactor
        By analyte.
    fahrenheit : frozenset of str
        Temperatures that may have been read as Celsius.
    """

    settings: Mapping[str, Setting]
    factors: Mapping[str, tuple[SlipFactor, ...]]
    fahrenheit: frozenset[str]


@cache
def slip_library() -> SlipLibrary:
    """Return the library's slips.

    Raises
    ------
    LimitFileError
        If the file is damaged.

    Examples
    --------
    >>> [slip.factor for slip in slip_library().factors["reserve_alkalinity"]]
    [10.0, 2.0]
    """
    return read_slip_library(limit_folder() / "checks" / "unit_slips.yaml")


def read_slip_library(path: Path) -> SlipLibrary:
    """Read a file of slips.

    Parameters
    ----------
    path : Path
        A YAML file as ``limits/checks/unit_slips.yaml``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    names = ("version", "values", "amounts", "factors", "fahrenheit")
    whole = read_check_file(path).fields(names, names)
    amounts = _analytes(whole["amounts"])
    factors: dict[str, list[SlipFactor]] = {}
    for node in whole["factors"].entries():
        fields = node.fields(("factor", "of", "also", "says"), ("factor", "of", "says"))
        value = fields["factor"].number()
        if value <= 1:
            fields["factor"].refuse(f"expected a factor above 1, found {value:g}")
        of = amounts if fields["of"].is_text("amounts") else _analytes(fields["of"])
        also = _analytes(fields["also"]) if "also" in fields else ()
        for key in (*of, *also):
            factors.setdefault(key, []).append(SlipFactor(value, fields["says"].text()))
    return SlipLibrary(
        read_settings(whole["values"]),
        MappingProxyType({key: tuple(slips) for key, slips in factors.items()}),
        frozenset(_analytes(whole["fahrenheit"])),
    )


def _analytes(node: Located) -> tuple[str, ...]:
    return tuple(entry.one_of(vocabulary(), "analyte") for entry in node.entries())
