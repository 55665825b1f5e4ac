"""A column's title to what stands below it: an analyte with its unit, or a sample's data."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from chemcheck.analytes import (
    Name,
    UnitReading,
    nearest_analyte,
    plain_name,
    plain_words,
    read_name,
    read_unit,
)
from chemcheck.errors import UnitError
from chemcheck.intake.characters import plain
from chemcheck.intake.word_lists import word_list
from chemcheck.units import parse_unit

# Where a name may end and a unit begin.
_BOUNDARY = re.compile(r"[ _,;:]+|(?=[(\[])|(?<=[)\]])")
# Names drop these signs and units do not: with one of them a unit is looked for first.
_UNIT_SIGNS = re.compile(r"[%°/]")
_LONGEST = 120


@dataclass(frozen=True, slots=True)
class Header:
    """What a column's title says.

    Parameters
    ----------
    analyte : str or None
        A key of the vocabulary; None where the column is no result.
    unit_text : str or None
        The unit, as `chemcheck.analytes.to_canonical` reads it; None where none is
        stated.
    form : str or None
        The species the value is written as: ``N`` in ``NO3-N``.
    basis : str or None
        A key of the analyte's bases, where the title says it.
    role : str or None
        What the column is of a sample, a method or an event: one of
        `chemcheck.readings.record.SAMPLE_COLUMNS`, of the columns of an event, or
        ``method``, ``laboratory``, ``lot``.
    title : str
        The title as the file has it.
    choices : tuple of str
        The forms in question where the title leaves open which is meant, as
        ``silicate`` does.
    problem : str or None
        Why the column cannot be read, where what stands below the title contradicts it.
    """

    analyte: str | None
    unit_text: str | None
    form: str | None
    basis: str | None
    role: str | None
    title: str
    choices: tuple[str, ...] = ()
    problem: str | None = None

    @property
    def known(self) -> bool:
        """Whether the title means anything here; if not, the column is kept as it is."""
        return self.analyte is not None or self.role is not None


@lru_cache(maxsize=4096)
def read_header(text: str) -> Header:
    """Read the title of a column.

    Parameters
    ----------
    text : str
        ``Chloride (mg/L)``, ``Cl ppm``, ``NO3-N [mg/L]``, ``TH °dH``, ``pH (50 %)``,
        ``Fe dissolved mg/L``, ``hardness_mg_l``, ``Sample No``, ``Odometer (mi)``, ...

    Returns
    -------
    Header
        Analyte and role are None where nothing here has this name: never a guess.

    Examples
    --------
    >>> read_header("NO3-N [mg/L]")
    Header(analyte='nitrate', unit_text='mg/L', form='N', basis=None, role=None, ...)
    >>> read_header("Odometer (mi)").role, read_header("Odometer (mi)").unit_text
    ('distance', 'mi')
    >>> read_header("Chlorine mg/L").known
    False
    """
    title = plain(text)
    if not title or len(title) > _LONGEST:
        return _unknown(text)
    return _sample_column(title, text) or _result_column(title, text) or _unknown(text)


def suggest(header: Header) -> str | None:
    """Return the analyte whose name is nearest to a title that is not known.

    Examples
    --------
    >>> suggest(read_header("Chlorid. mg/l")), suggest(read_header("Chloryde (mg/l)"))
    (None, 'chloride')
    """
    if header.known:
        return None
    names = [
        name
        for name, unit in _splits(plain(header.title))
        if any(_dimension(spelled) for spelled in _unit_spellings(unit))
    ]
    found = (nearest_analyte(name) for name in (*names, header.title) if len(name) > 3)
    return next((key for key in found if key is not None), None)


def usual_role_unit(role: str) -> str | None:
    """Return the unit of a sample's or event's number whose column states none.

    Examples
    --------
    >>> usual_role_unit("hours"), usual_role_unit("note")
    ('h', None)
    """
    unit = word_list("sample_columns")["usual_units"].get(role)
    return None if unit is None else str(unit)


def _unknown(text: str) -> Header:
    return Header(None, None, None, None, None, text)


@cache
def _roles() -> dict[str, tuple[str, str | None]]:
    """Return role and unit by plain name."""
    lists = word_list("sample_columns")
    roles: dict[str, tuple[str, str | None]] = {
        _plain_role(str(name)): (role, None)
        for role, names in lists["roles"].items()
        for name in names
    }
    for role in lists["roles"]:
        roles.setdefault(plain_name(role), (role, None))
    for name, known in lists["units_as_names"].items():
        roles[plain_name(name)] = (known["role"], known["unit"])
    return roles


def _plain_role(name: str) -> str:
    """Write a name as it is looked up; a number sign is the word number."""
    return plain_name(name.replace("#", " no"))


def _sample_column(title: str, text: str) -> Header | None:
    role, unit = _roles().get(_plain_role(title), (None, None))
    if role is not None:
        return Header(None, unit, None, None, role, text)
    dimensions = word_list("sample_columns")["dimensions"]
    for name, unit_text in _splits(title):
        role, _ = _roles().get(_plain_role(name), (None, None))
        if role not in dimensions:
            continue
        for spelled in _unit_spellings(unit_text):
            if _dimension(spelled) == dimensions[role]:
                return Header(None, spelled, None, None, role, text)
    return None


def _dimension(unit: str) -> str | None:
    try:
        return parse_unit(unit).dimension
    except UnitError:
        return None


def _result_column(title: str, text: str) -> Header | None:
    with_unit = _UNIT_SIGNS.search(title) is not None
    first, second = (_with_unit, _without_unit) if with_unit else (_without_unit, _with_unit)
    return first(title, text) or second(title, text)


def _without_unit(title: str, text: str) -> Header | None:
    name = _name(title)
    if name is None:
        return None
    return Header(name.analyte, None, name.form, name.basis, None, text, name.choices)


def _with_unit(title: str, text: str) -> Header | None:
    for name_text, unit_text in _splits(title):
        name = _name(name_text)
        if name is None:
            continue
        for spelled in _unit_spellings(unit_text):
            spelled, unit = _unit(name.analyte, spelled)
            if unit is None or _contradict(name, unit):
                continue
            form = name.form or unit.form
            return Header(
                name.analyte,
                spelled,
                form,
                name.basis or unit.basis,
                None,
                text,
                () if form else name.choices,
            )
    return None


def _contradict(name: Name, unit: UnitReading) -> bool:
    """Say whether name and unit state two different forms or bases."""
    forms, bases = {name.form, unit.form}, {name.basis, unit.basis}
    return len(forms - {None}) > 1 or len(bases - {None}) > 1


def _splits(title: str) -> Iterator[tuple[str, str]]:
    """Give every way of reading a title as a name and a unit, the longest unit first."""
    if title.startswith("%"):
        yield title[1:].strip(), "%"
    for gap in _BOUNDARY.finditer(title):
        name, unit = title[: gap.start()], title[gap.end() :]
        if name.strip() and unit.strip() and _balanced(name):
            yield name, unit


def _balanced(text: str) -> bool:
    """Say whether every bracket that opens also closes."""
    return all(text.count(a) == text.count(b) for a, b in ("()", "[]"))


def _unit_spellings(text: str) -> Iterator[str]:
    """Give the texts a unit may be meant by: mg_l is mg/l."""
    bare = text.strip().strip(",;:").strip()
    whole = re.fullmatch(r"[(\[](.*)[)\]]", bare)
    bare = whole[1].strip() if whole and not re.search(r"[()\[\]]", whole[1]) else bare
    words = re.sub(r"[_]+", " ", bare).split()
    fillers = _fillers()
    while words and plain_name(words[0]) in fillers:
        words = words[1:]
    if not words:
        return
    yield " ".join(words)
    if len(words) > 1 and "/" not in bare:
        yield " ".join([f"{words[0]}/{words[1]}", *words[2:]])


def _unit(analyte: str, text: str) -> tuple[str, UnitReading | None]:
    """Return a unit as it can be read, words without meaning left out, and what it says."""
    without = [word for word in text.split() if plain_name(word) not in _always_dissolved(analyte)]
    for spelled in dict.fromkeys((text, " ".join(without))):
        bare = spelled.strip(",;: ")
        try:
            return bare, read_unit(analyte, bare)
        except UnitError:
            continue
    return text, None


@cache
def _fillers() -> frozenset[str]:
    return frozenset(plain_name(word) for word in word_list("sample_columns")["fillers"])


def _always_dissolved(analyte: str) -> frozenset[str]:
    """Return the words that say nothing about an analyte which is all in solution."""
    known = word_list("sample_columns")["always_dissolved"]
    if analyte not in known["analytes"]:
        return frozenset()
    return frozenset(plain_name(word) for word in known["words"])


def _name(text: str) -> Name | None:
    """Return what a name says, words without meaning left out."""
    name = read_name(text)
    if name is not None:
        return name
    words = plain_words(text)
    kept = [word for word in words if word not in _fillers()]
    name = read_name(" ".join(kept)) if kept else None
    if name is not None:
        return name
    dissolved = [word for word in kept if word not in _all_dissolved_words()]
    name = read_name(" ".join(dissolved)) if dissolved else None
    if name is None or not _always_dissolved(name.analyte):
        return None
    return name


@cache
def _all_dissolved_words() -> frozenset[str]:
    known = word_list("sample_columns")["always_dissolved"]
    return frozenset(plain_name(word) for word in known["words"])
