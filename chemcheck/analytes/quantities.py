"""From a column's unit to the analyte's canonical unit."""

import re
from dataclasses import dataclass
from functools import lru_cache

from chemcheck.analytes.formulas import molar_mass
from chemcheck.analytes.names import analyte as analyte_of
from chemcheck.analytes.names import read_form_and_basis
from chemcheck.analytes.record import Analyte, Basis
from chemcheck.analytes.spelling import plain_words
from chemcheck.errors import UnitError, not_one_of
from chemcheck.units import LinearMap, Unit, linear_map, parse_unit
from chemcheck.units.unit_file import plain_spelling


@dataclass(frozen=True, slots=True)
class UnitReading:
    """What a column's unit says.

    Parameters
    ----------
    unit : Unit
        The unit.
    form : str or None
        The species the value is written as, where the unit says it: ``mg/L as N``.
    basis : str or None
        The key of the basis, where the unit says it: ``uS/cm at 20 C``, ``mass %``.
    """

    unit: Unit
    form: str | None = None
    basis: str | None = None


# No unit is longer than this, whatever it says besides.
_LONGEST = 80

# Equivalents are the same whatever species carries them.
_SAME_IN_EVERY_FORM = frozenset(
    {"equivalent concentration", "equivalent per mass", "as calcium carbonate", "hardness degree"}
)

# Where the unit may end and words about it begin; mg/l asNO3 has no space inside.
_BREAK = re.compile(r"(?:[\s,;(@\[]+|(?<=[a-z0-9%])-)")
_GLUED_AS = re.compile(r"\bas(?=[A-Z])")


@lru_cache(maxsize=16384)
def read_unit(analyte: str, text: str) -> UnitReading:
    """Return what a unit's text says about an analyte's readings.

    Parameters
    ----------
    analyte : str
        A key of the vocabulary.
    text : str
        ``mg/L``, ``mg/L as NO3``, ``mg/l asNO3``, ``mg N/L``, ``uS/cm @25C``, ``mass %``.

    Returns
    -------
    UnitReading
        The unit, and the form and basis where the text says them.

    Raises
    ------
    UnitError
        Where the text names no unit, or one that leaves open which is meant.

    Examples
    --------
    >>> read_unit("nitrate", "mg/l asNO3").form, read_unit("nitrate", "mg N/L").form
    ('NO3', 'N')
    >>> read_unit("glycol", "mass %").basis
    'by_mass'
    >>> read_unit("reserve_alkalinity", "mL").unit.symbol
    'mL 0.1 N acid/10 mL'
    """
    known = analyte_of(analyte)
    for unit_text, words in _splits(text.strip()) if len(text) <= _LONGEST else ():
        unit = _unit(known, unit_text)
        if unit is None:
            continue
        rest = read_form_and_basis(known, words)
        if rest is not None:
            return UnitReading(unit, rest[0], rest[1] or _basis_of_unit(known, unit))
    raise UnitError(_unknown(known, text))


def _splits(text: str) -> list[tuple[str, tuple[str, ...]]]:
    """Give every way of reading a text as a unit and words about it."""
    splits: list[tuple[str, tuple[str, ...]]] = [(text, ())]
    spaced = _GLUED_AS.sub("as ", text)
    for gap in _BREAK.finditer(spaced):
        splits.append((spaced[: gap.start()], plain_words(spaced[gap.end() :])))
    # mg N/L, mg CaCO3/L, mg O2/L: the form stands inside the unit.
    inside = re.fullmatch(r"(\S+?)[\s\-]+([A-Z][\w\-]*)\s*(/\s*\S+)", text)
    if inside:
        splits.append((inside[1] + inside[3], plain_words(inside[2])))
    return splits


def _unit(known: Analyte, text: str) -> Unit | None:
    own = known.unit_aliases.get(plain_spelling(text).casefold())
    if own == "ask":
        raise UnitError(_open(known, text))
    try:
        return parse_unit(own or text)
    except UnitError:
        return None


def _open(known: Analyte, text: str) -> str:
    options = ", ".join(known.choices)
    return f"{text.strip()!r} leaves open the unit of {known.title}: say one of {options}"


def _unknown(known: Analyte, text: str) -> str:
    options = dict.fromkeys((known.unit, *known.usual_unit.values(), *known.choices))
    said = not_one_of(text.strip(), (), "unit").split(";")[0]
    return f"{said} for {known.title}; expected {', '.join(options)}, or another like them"


def _basis_of_unit(known: Analyte, unit: Unit) -> str | None:
    """Return the basis whose stored unit measures what this unit measures."""
    for basis in known.bases:
        if basis.unit is not None and parse_unit(basis.unit).dimension == unit.dimension:
            return basis.key
    return None


def stored_basis(analyte: str, basis: str | None) -> str | None:
    """Return the basis that readings stand on once they are in the canonical unit.

    A basis that converts ends on the analyte's first; one that does not stays.

    Parameters
    ----------
    analyte : str
        A key of the vocabulary.
    basis : str or None
        The key of a basis; None takes the usual one.

    Returns
    -------
    str or None
        None where the analyte has only one basis.

    Examples
    --------
    >>> stored_basis("conductivity", "at_20_c"), stored_basis("iron", "digested")
    ('at_25_c', 'digested')
    >>> stored_basis("iron", None), stored_basis("chloride", None)
    ('dissolved', None)
    """
    known = analyte_of(analyte)
    found = _find_basis(known, basis)
    if found is None:
        return None
    return found.key if found.factor is None else known.bases[0].key


def _find_basis(known: Analyte, key: str | None) -> Basis | None:
    try:
        return known.basis(key)
    except KeyError:
        options = [basis.key for basis in known.bases]
        raise UnitError(not_one_of(str(key), options, f"basis of {known.title}")) from None


def to_canonical(
    analyte: str,
    unit_text: str,
    *,
    form: str | None = None,
    basis: str | None = None,
    density: float | None = None,
) -> LinearMap:
    """Return the map from a column's unit to the analyte's canonical unit.

    Parameters
    ----------
    analyte : str
        A key of the vocabulary.
    unit_text : str
        As in the column's title or in a cell; it may say the form and the basis as well.
    form : str, optional
        The species the value is written as; one of the analyte's forms.
    basis : str, optional
        The key of the basis. A basis that converts is brought to the analyte's first;
        one that is kept apart and has a unit of its own is brought to that unit.
    density : float, optional
        Of the sample [kg/L], for shares by mass. ``ppm`` is read as mg/kg of this
        density: 1.0 reads it as mg/L.

    Returns
    -------
    LinearMap
        Applies to a number or a whole column.

    Raises
    ------
    UnitError
        Where the unit measures something else, the form or basis is unknown or said
        twice differently, or what the conversion needs is missing.

    Examples
    --------
    >>> round(to_canonical("nitrate", "mg/L as N")(10.0), 3)
    44.266
    >>> round(to_canonical("total_hardness", "dH")(10.0), 1)
    178.5
    >>> round(to_canonical("silicon", "mg/L", form="SiO2")(20.0), 3)
    9.349
    >>> to_canonical("chloride", "ppm", density=1.07)(100.0)
    107.0
    >>> to_canonical("chloride", "ppm")
    Traceback (most recent call last):
        ...
    chemcheck.errors.UnitError: chloride in ppm: a share by mass, and ppm, convert to mg/L only ...
    """
    known = analyte_of(analyte)
    read = read_unit(analyte, unit_text)
    form = _same(known, "form", _known_form(known, form), read.form)
    basis = _same(known, "basis", basis, read.basis)
    found = _find_basis(known, basis)
    target = known.unit if found is None or found.unit is None else found.unit
    try:
        changed = _changed(known, read.unit, parse_unit(target), form, density)
    except UnitError as error:
        problem = f"{known.title} in {unit_text.strip()}: {error}"
        raise UnitError(problem) from None
    factor = 1.0 if found is None or found.factor is None else found.factor
    return LinearMap(changed.factor * factor, changed.offset * factor)


def _changed(
    known: Analyte, source: Unit, target: Unit, form: str | None, density: float | None
) -> LinearMap:
    """Map a unit to the stored one, with the form's factor."""
    if source.dimension == "hardness degree" and known.dimension != "as calcium carbonate":
        problem = "degrees of hardness are for hardness and alkalinity"
        raise UnitError(problem)
    if source.dimension == "as calcium carbonate" and form not in (None, "CaCO3"):
        problem = f"it says both as CaCO3 and as {form}"
        raise UnitError(problem)
    if form in (None, known.formula) or source.dimension in _SAME_IN_EVERY_FORM:
        return linear_map(
            source, target, molar_mass=known.molar_mass, charge=known.equivalents, density=density
        )
    assert form is not None  # it is in the list above
    to_form = linear_map(source, "mg/L", molar_mass=molar_mass(form), density=density)
    to_own = linear_map("mg/L", target, molar_mass=known.molar_mass, charge=known.equivalents)
    return LinearMap(to_form.factor * known.forms[form] * to_own.factor)


def _known_form(known: Analyte, form: str | None) -> str | None:
    if form is None or form in known.forms:
        return form
    read = read_form_and_basis(known, plain_words(form))
    if read is None or read[0] is None:
        raise UnitError(not_one_of(form, known.forms, f"form of {known.title}"))
    return read[0]


def _same(known: Analyte, name: str, asked: str | None, read: str | None) -> str | None:
    if asked and read and asked != read:
        problem = f"{known.title}: the {name} is said twice, as {asked} and as {read}"
        raise UnitError(problem)
    return asked or read
