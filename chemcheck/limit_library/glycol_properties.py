"""Property tables of glycols, each with its basis, source and evidence."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np

from chemcheck.chemistry.glycol_percent import volume_percent
from chemcheck.chemistry.glycol_tables import PropertyTable
from chemcheck.chemistry.vapour_pressure import PureGlycol
from chemcheck.errors import UnitError, not_one_of
from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.records import EVIDENCE

BASES = ("inhibited", "pure")
# What a table can hold, and the unit it is held in.
QUANTITIES = {
    "freezing_point": "deg C",
    "freezing_point_beyond": "deg C",
    "boiling_rise": "deg C",
    "mass_percent": "mass%",
    "density": "kg/m3",
    "refractive_index": "1",
}
GLYCOL_FILES = ("ethylene_glycol", "propylene_glycol")
_HEAD = ("version", "title", "aliases", "pure", "tables")
_PURE = ("molar_mass", "density", "vapour_pressure", "vapour_pressure_range", "source", "evidence")
_TABLE = ("quantity", "basis", "percent_by", "percent", "unit", "values", "source", "evidence")


@dataclass(frozen=True, slots=True)
class GlycolProperties:
    """What is known of one glycol and its mixtures with water.

    Parameters
    ----------
    pure : PureGlycol
        The glycol free of water.
    aliases : tuple of str
        What it is called.
    tables : tuple of PropertyTable
        In the order of the file: the first of a quantity and basis is the one to show.
    """

    pure: PureGlycol
    aliases: tuple[str, ...]
    tables: tuple[PropertyTable, ...]

    def of(self, quantity: str, basis: str | None = None) -> tuple[PropertyTable, ...]:
        """Return the tables of a quantity, of one basis or of all."""
        return tuple(
            table
            for table in self.tables
            if table.quantity == quantity and basis in (None, table.basis)
        )


@cache
def glycol_properties(key: str) -> GlycolProperties:
    """Return the tables of a glycol.

    Parameters
    ----------
    key : str
        ``ethylene_glycol`` or ``propylene_glycol``.

    Raises
    ------
    UnitError
        If there is no such glycol.
    LimitFileError
        If its file is damaged.

    Examples
    --------
    >>> from chemcheck.chemistry.glycol_tables import read_table
    >>> [table] = glycol_properties("ethylene_glycol").of("freezing_point", "inhibited")
    >>> round(float(read_table(table, 50.0)), 1)
    -37.1
    """
    if key not in GLYCOL_FILES:
        raise UnitError(not_one_of(key, GLYCOL_FILES, "glycol"))
    return read_glycol_properties(limit_folder() / "properties" / f"{key}.yaml")


def find_glycol(name: str) -> str | None:
    """Return the key of the glycol that a name means, None where it means none.

    Examples
    --------
    >>> find_glycol("EG"), find_glycol("Propylene"), find_glycol("glycerol")
    ('ethylene_glycol', 'propylene_glycol', None)
    """
    wanted = _plain(name)
    for key in GLYCOL_FILES:
        if wanted in {_plain(alias) for alias in (key, *glycol_properties(key).aliases)}:
            return key
    return None


def read_glycol_properties(path: Path) -> GlycolProperties:
    """Read a file of a glycol's tables.

    Parameters
    ----------
    path : Path
        A YAML file as ``limits/properties/ethylene_glycol.yaml``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    whole, _ = read_yaml(path)
    fields = whole.fields(_HEAD, _HEAD)
    pure = _pure(path.stem, fields)
    return GlycolProperties(
        pure=pure,
        aliases=tuple(one.text() for one in fields["aliases"].entries()),
        tables=tuple(_table(one, pure) for one in fields["tables"].entries()),
    )


def _pure(key: str, head: Mapping[str, Located]) -> PureGlycol:
    fields = head["pure"].fields(_PURE, _PURE)
    c1, c2, c3, c4, c5 = _numbers(fields["vapour_pressure"], 5)
    low, high = _numbers(fields["vapour_pressure_range"], 2)
    return PureGlycol(
        key=key,
        title=head["title"].text(),
        molar_mass=fields["molar_mass"].number(),
        density=fields["density"].number(),
        vapour=(c1, c2, c3, c4, c5),
        vapour_range=(low, high),
        source=fields["source"].text(),
        evidence=fields["evidence"].one_of(EVIDENCE, "evidence"),
    )


def _table(node: Located, pure: PureGlycol) -> PropertyTable:
    fields = node.fields((*_TABLE, "temperatures"), _TABLE)
    quantity = fields["quantity"].one_of(QUANTITIES, "quantity")
    given_by = fields["percent_by"].one_of(("volume", "mass"), "way to count")
    percent = _ascending(fields["percent"])
    if fields["unit"].text() != QUANTITIES[quantity]:
        fields["unit"].refuse(f"expected {QUANTITIES[quantity]!r}, the unit of {quantity}")
    temperatures = _ascending(fields["temperatures"]) if "temperatures" in fields else None
    if (quantity == "density") != (temperatures is not None):
        node.refuse("'temperatures' belongs to a density, and to nothing else")
    if temperatures is None:
        values = np.array(_numbers(fields["values"], len(percent)))
    else:
        rows = fields["values"].entries()
        if len(rows) != len(percent):
            fields["values"].refuse(f"expected {len(percent)} rows, found {len(rows)}")
        values = np.array([_numbers(row, len(temperatures)) for row in rows])
    by_volume = percent if given_by == "volume" else np.asarray(volume_percent(percent, pure))
    return PropertyTable(
        quantity=quantity,
        basis=fields["basis"].one_of(BASES, "basis"),
        percent=by_volume,
        values=values,
        unit=QUANTITIES[quantity],
        source=fields["source"].text(),
        evidence=fields["evidence"].one_of(EVIDENCE, "evidence"),
        given_by=given_by,
        temperatures=temperatures,
    )


def _numbers(node: Located, count: int) -> list[float]:
    entries = node.entries()
    if len(entries) != count:
        node.refuse(f"expected {count} numbers, found {len(entries)}")
    return [entry.number() for entry in entries]


def _ascending(node: Located) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    entries = node.entries()
    numbers = [entry.number() for entry in entries]
    if len(numbers) < 2 or any(low >= high for low, high in pairwise(numbers)):
        node.refuse("expected at least two numbers, each greater than the last")
    return np.array(numbers)


def _plain(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())
