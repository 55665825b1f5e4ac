"""Which columns of a long table hold the analyte, the value, its unit and what is said of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from chemcheck.analytes import plain_name, read_name
from chemcheck.errors import UnitError, shorten
from chemcheck.intake.characters import plain
from chemcheck.intake.choices import LONG_ROLES, Choices
from chemcheck.intake.column_plan import Column, free_name, plan_columns
from chemcheck.intake.headers import read_header
from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list
from chemcheck.units import parse_unit

_SHOWN = 5


@dataclass(frozen=True, slots=True)
class LongPlan:
    """What each column of a long table is.

    Parameters
    ----------
    places : mapping of str to int
        The place of each of ``LONG_ROLES`` that is there; ``parameter`` and ``value`` are.
    titles : mapping of str to str
        Their titles.
    roles, free : mapping of str to Column
        The other columns: facts about the sample, and text.
    assumptions : tuple of (str or None, str)
        What is to be said of them.
    """

    places: Mapping[str, int]
    titles: Mapping[str, str]
    roles: dict[str, Column]
    free: dict[str, Column]
    assumptions: tuple[tuple[str | None, str], ...]


def is_long_title(title: str) -> bool:
    """Say whether a title is one of a long table's, for finding the header of a file.

    Examples
    --------
    >>> is_long_title("Determinand"), is_long_title("Chloride")
    (True, False)
    """
    return plain_name(title) in _roles()


def long_role(title: str) -> str | None:
    """Return what a column of a long table holds by its title, None if it is none of those.

    Examples
    --------
    >>> long_role("Units"), long_role("Tap 1")
    ('unit', None)
    """
    return _roles().get(plain_name(title))


@cache
def _roles() -> Mapping[str, str]:
    roles = {
        plain_name(str(name)): role
        for role, names in word_list("long_columns")["roles"].items()
        for name in names
    }
    beside = word_list("companion_columns")
    for role in ("flag", "limit"):
        for name in beside[role]:
            if plain_name(str(name)):
                roles.setdefault(plain_name(str(name)), role)
    return roles


def plan_long(table: TextTable, choices: Choices) -> LongPlan | None:
    """Decide whether a table has a row for each result, and what its columns are.

    Parameters
    ----------
    table : TextTable
        The file.
    choices : Choices
        What the user settled.

    Returns
    -------
    LongPlan or None
        None where no column names analytes, or none holds their values.
    """
    titles = table.layout.header
    stated = _stated(titles, choices)
    places = dict(stated)
    for place, title in enumerate(titles):
        if place in stated.values() or choices.of_title(title) is not None:
            continue
        role = _roles().get(plain_name(title))
        if role is None or role in places:
            continue
        asked = role == "parameter" or (role == "unit" and read_header(title).role is not None)
        if asked and not _holds(table, place, role, choices):
            continue
        places[role] = place
    if "parameter" not in places or "value" not in places:
        return None
    return _with_the_others(titles, places, choices)


def _stated(titles: Sequence[str], choices: Choices) -> dict[str, int]:
    """Return the places that the user names."""
    found: dict[str, int] = {}
    for place, title in enumerate(titles):
        choice = choices.of_title(title)
        if choice is not None and choice.role in LONG_ROLES:
            found.setdefault(choice.role, place)
    return found


def _holds(table: TextTable, place: int, role: str, choices: Choices) -> bool:
    """Say whether most texts of a column are what its title promises.

    'Unit' may be a machine, and 'Test' a number.
    """
    texts = {plain(text or "") for text in table.coded(place)[0].to_pylist()} - {"", "-"}
    if role == "unit":
        return 2 * sum(map(_is_unit, texts)) >= len(texts)
    known = sum(
        read_header(text).analyte is not None or choices.of_analyte(text) is not None
        for text in texts
    )
    return known > 0 and 2 * known >= len(texts)


def _is_unit(text: str) -> bool:
    """Say whether a text is a unit, or one with the species it counts."""
    for words in (text, text.partition(" as ")[0], text.partition(" ")[0]):
        try:
            parse_unit(words)
        except UnitError:
            continue
        return True
    return read_name(text) is None and plain_name(text) in ("none", "na", "units", "unit", "std")


def _with_the_others(
    titles: Sequence[str], places: Mapping[str, int], choices: Choices
) -> LongPlan:
    """Plan the columns that say something of the samples."""
    others = [place for place in range(len(titles)) if place not in places.values()]
    plan = plan_columns([titles[place] for place in others], choices)

    def moved(column: Column) -> Column:
        return replace(column, place=others[column.place], flag=None, limit=None)

    free = {name: moved(column) for name, column in plan.free.items()}
    said = list(plan.assumptions)
    for column in plan.readings:
        free[free_name(column.title, free)] = moved(column)
    if plan.readings:
        names = [shorten(column.title, 30) for column in plan.readings[:_SHOWN]]
        more = ", …" if len(plan.readings) > _SHOWN else ""
        what = f"kept as text: {titles[places['parameter']]!r} names what each row measures"
        said.append((", ".join(names) + more, what))
    roles = {role: moved(column) for role, column in plan.roles.items()}
    named = {role: titles[place] for role, place in places.items()}
    return LongPlan(dict(places), named, roles, free, tuple(said))
