"""What a WQX result's characteristic, fraction, speciation and unit mean together."""

from dataclasses import dataclass
from functools import cache, lru_cache

from chemcheck.analytes import (
    Analyte,
    analyte,
    plain_name,
    read_name,
    read_unit,
    stored_basis,
    to_canonical,
)
from chemcheck.errors import UnitError, shorten
from chemcheck.intake.word_lists import word_list
from chemcheck.intake.wqx_columns import meanings
from chemcheck.limit_library import find_method
from chemcheck.readings.record import ReadingColumn
from chemcheck.units import LinearMap

_AS_CACO3 = "as calcium carbonate"


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a result measures and how its number becomes canonical.

    Parameters
    ----------
    column : ReadingColumn or None
        None where it is no result that is known here.
    change : LinearMap or None
        From the number to the canonical unit; None where the unit does not fit.
    problem : str
        Why one of them is None.
    assumed : str
        What was taken for granted.
    """

    column: ReadingColumn | None
    change: LinearMap | None = None
    problem: str = ""
    assumed: str = ""


@lru_cache(maxsize=8192)
def meaning(
    characteristic: str, fraction: str, speciation: str, temperature_basis: str, unit: str
) -> Meaning:
    """Return what a combination of coded cells means.

    Parameters
    ----------
    characteristic, fraction, speciation, temperature_basis, unit : str
        As in the file.

    Examples
    --------
    >>> found = meaning("Nitrate", "Dissolved", "as N", "", "mg/L")
    >>> found.column.analyte, round(found.change(1.0), 3)
    ('nitrate', 4.427)
    >>> meaning("Lead", "Total", "", "", "ug/l").column.basis
    'digested'
    >>> meaning("Total dissolved solids", "Dissolved", "", "", "tons/day").change is None
    True
    """
    known, why = _analyte(characteristic)
    if known is None:
        return Meaning(None, problem=why)
    part = meanings("fractions").get(plain_name(fraction)) if fraction else ""
    if part is None:
        return Meaning(None, problem=f"{fraction!r} is no sample fraction known here")
    if part == "part":
        return Meaning(None, problem=f"{fraction!r} is only a part of the sample")
    name = read_name(characteristic)
    assert name is not None  # it has an analyte
    basis, assumed = _basis(known, part, name.basis, temperature_basis)
    column = ReadingColumn(known.key, stored_basis(known.key, basis))
    if name.choices and not speciation:
        meant = " or ".join(name.choices)
        return Meaning(column, problem=f"which is meant, {meant}? expected the speciation")
    if not unit and known.dimension not in ("pH", "number"):
        return Meaning(column, problem="no unit stands beside it")
    try:
        change = to_canonical(
            known.key, unit or known.unit, form=speciation or name.form, basis=basis
        )
    except UnitError as error:
        return Meaning(column, problem=str(error))
    if not assumed and known.dimension == _AS_CACO3 and not speciation:
        assumed = _as_caco3(known, unit)
    return Meaning(column, change, assumed=assumed)


def _analyte(characteristic: str) -> tuple[Analyte | None, str]:
    """Return what a characteristic measures, or why it is nothing known here."""
    other = _something_else().get(plain_name(characteristic))
    if other is not None:
        return None, f"{other}: no analyte known here"
    name = read_name(characteristic)
    if name is None:
        return None, f"{shorten(characteristic)!r} is no analyte known here"
    known = analyte(name.analyte)
    if known.words:
        return None, f"{known.title} is judged in words, which are not read here"
    return known, ""


@cache
def _something_else() -> dict[str, str]:
    """Return why a characteristic is not the analyte of its name."""
    names = word_list("wqx")["something_else"]
    return {plain_name(name): why for name, why in names.items()}


def _as_caco3(known: Analyte, unit: str) -> str:
    """Say that plain mg/L is taken as CaCO3, empty where the unit says so itself."""
    if read_unit(known.key, unit).unit.dimension != "mass concentration":
        return ""
    return f"{known.title} in {unit} is taken as CaCO3"


def _basis(
    known: Analyte, fraction: str, named: str | None, temperature_basis: str
) -> tuple[str | None, str]:
    """Return the basis of a result, and what was assumed."""
    keys = [basis.key for basis in known.bases]
    if named is not None or not keys:
        return named, ""
    if "digested" in keys:
        if fraction:
            return fraction, ""
        return None, f"{known.title} without a sample fraction is taken as {known.bases[0].title}"
    stated = meanings("temperature_bases").get(plain_name(temperature_basis))
    return (stated if stated in keys else None), ""


@cache
def detection_limit(method: str, analyte: str) -> float | None:
    """Return the detection limit of a named method for a water.

    Parameters
    ----------
    method : str
        As in the file.
    analyte : str
        A key of the vocabulary.

    Returns
    -------
    float or None
        In the analyte's canonical unit; None where the library does not know it.

    Examples
    --------
    >>> detection_limit("an unknown way", "chloride") is None
    True
    """
    found = find_method(method, "water") if method else None
    stated = None if found is None else found.precision.get(analyte)
    return None if stated is None else stated.detection_limit
