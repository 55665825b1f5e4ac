"""The vocabulary: analytes with their names, units, forms and bases."""

from chemcheck.analytes.formulas import molar_mass
from chemcheck.analytes.load import load_vocabulary, vocabulary
from chemcheck.analytes.names import (
    Name,
    analyte,
    find_analyte,
    nearest_analyte,
    read_form_and_basis,
    read_name,
)
from chemcheck.analytes.quantities import UnitReading, read_unit, stored_basis, to_canonical
from chemcheck.analytes.record import MATERIALS, Analyte, Basis
from chemcheck.analytes.spelling import plain_name, plain_words

__all__ = [
    "MATERIALS",
    "Analyte",
    "Basis",
    "Name",
    "UnitReading",
    "analyte",
    "find_analyte",
    "load_vocabulary",
    "molar_mass",
    "nearest_analyte",
    "plain_name",
    "plain_words",
    "read_form_and_basis",
    "read_name",
    "read_unit",
    "stored_basis",
    "to_canonical",
    "vocabulary",
]
