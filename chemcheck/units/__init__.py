"""Units, and the linear maps between them."""

from chemcheck.units.convert import LinearMap, convert, linear_map
from chemcheck.units.parse import parse_quantity, parse_unit, unit_symbols
from chemcheck.units.unit_file import Unit
from chemcheck.units.yaml_file import read_yaml

__all__ = [
    "LinearMap",
    "Unit",
    "convert",
    "linear_map",
    "parse_quantity",
    "parse_unit",
    "read_yaml",
    "unit_symbols",
]
