"""What each column of a wide file is: a reading, a fact about the sample, or free text."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from chemcheck.analytes import vocabulary
from chemcheck.intake.choices import Choices, ColumnChoice, Kit, plain_title
from chemcheck.intake.companions import Companion, companions, limit_unit
from chemcheck.intake.headers import Header, read_header
from chemcheck.intake.kits import COUNTED_BY, counts_drops
from chemcheck.intake.sample_facts import fact_names, free_title
from chemcheck.intake.second_header import HeaderRow, combined
from chemcheck.intake.stated_values import is_fact_title
from chemcheck.readings.record import SAMPLE_COLUMNS

# Roles of columns that are read; those of events stay free text beside the samples.
_READ = frozenset((*SAMPLE_COLUMNS, "method", "laboratory", "lot")) - {"file", "row"}
_SHOWN = 5


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a file.

    Parameters
    ----------
    place : int
        Its place in the file, from 0.
    title : str
        As the file has it; ``column 7`` where it has none.
    header : Header
        What it means.
    method : str or None
        The method of its readings, where a columns file says it.
    flag, limit : int or None
        The places of the columns that hold the flags and the detection limits of its cells.
    limit_unit : str or None
        The unit of the limits, where it is not that of the results.
    kit : Kit or None
        What a number in it is worth, where a columns file says it.
    zero : str or None
        What a 0 in it means, where a columns file says it.
    """

    place: int
    title: str
    header: Header
    method: str | None = None
    flag: int | None = None
    limit: int | None = None
    limit_unit: str | None = None
    kit: Kit | None = None
    zero: str | None = None


@dataclass(frozen=True, slots=True)
class ColumnPlan:
    """What each column of a file is.

    Parameters
    ----------
    readings : tuple of Column
        Columns of an analyte.
    roles : mapping of str to Column
        The column of each fact about the sample.
    free : mapping of str to Column
        Columns kept as text, by the name they have in the samples table.
    assumptions : tuple of (str or None, str)
        What is to be said of them.
    found : tuple of str
        What was recognised besides, in words.
    copies_results : bool
        Whether a ditto mark in a result stands for the result above.
    """

    readings: tuple[Column, ...]
    roles: dict[str, Column]
    free: dict[str, Column]
    assumptions: tuple[tuple[str | None, str], ...]
    found: tuple[str, ...] = ()
    copies_results: bool = False


def means_something(title: str, choices: Choices) -> bool:
    """Say whether a title is known, by the vocabulary or by the user's own choice."""
    return choices.of_title(title) is not None or read_header(title).known


def plan_columns(
    titles: Sequence[str],
    choices: Choices,
    below: Sequence[HeaderRow] = (),
    marks: Collection[int] = (),
) -> ColumnPlan:
    """Decide what each column is.

    Parameters
    ----------
    titles : sequence of str
        The header.
    choices : Choices
        What the user settled.
    below : sequence of HeaderRow
        Rows of units or names below it.
    marks : collection of int
        Places of columns without a title that hold nothing but marks.

    Returns
    -------
    ColumnPlan
        Every column is in one of its three parts. Columns not known are named once.

    Examples
    --------
    >>> plan = plan_columns(["Sample No", "Chloride (mg/L)", "Shelf"], Choices())
    >>> [column.title for column in plan.readings], list(plan.roles), list(plan.free)
    (['Chloride (mg/L)'], ['sample_id'], ['Shelf'])
    >>> plan.assumptions
    ((None, '1 column not known here is kept as text: Shelf'),)
    """
    readings: list[Column] = []
    roles: dict[str, Column] = {}
    free: dict[str, Column] = {}
    unknown: list[str] = []
    said: list[tuple[str | None, str]] = []
    chosen = [choices.of_title(title) for title in titles]
    headers = [_header(k, title, chosen[k], below) for k, title in enumerate(titles)]
    beside = _beside(titles, headers, chosen, marks)
    for place, (title, header, choice) in enumerate(zip(titles, headers, chosen, strict=True)):
        if place in beside:
            continue
        shown = title or f"column {place + 1}"
        column = Column(place, shown, header)
        if choice is not None:
            column = replace(column, method=choice.method, kit=choice.kit, zero=choice.zero)
        role = header.role
        if header.analyte is not None:
            readings.append(_with_companions(column, beside))
        elif role in _READ and role not in roles:
            roles[role] = column
        else:
            free[free_name(_free_title(shown, choice), free)] = column
            if role in _READ:
                said.append(
                    (shown, f"kept as text: {roles[role].title!r} already gives the {role}")
                )
            elif role is None and choice is None and title and not is_fact_title(title):
                unknown.append(shown)
    if "method" not in roles and choices.method is None:
        readings = [*map(_with_method, readings)]
    return ColumnPlan(
        tuple(readings),
        roles,
        free,
        (*said, *_about_unknown(unknown), *_about_twins(titles)),
        (*(f"{row.kind} in row {row.row}" for row in below), *_about_companions(beside)),
    )


def _free_title(title: str, choice: ColumnChoice | None) -> str:
    """Return the title of a free column, with what the user says that it states."""
    if choice is None or not (choice.keep_as_text or choice.role in fact_names()):
        return title
    fact = None if choice.keep_as_text else choice.role
    return free_title(title, fact, choice.unit)


def _with_method(column: Column) -> Column:
    """Give counted drops the method that counts them, where nobody states one."""
    if column.method is None and counts_drops(column.header.unit_text):
        return replace(column, method=COUNTED_BY)
    return column


def _header(
    place: int, title: str, choice: ColumnChoice | None, below: Sequence[HeaderRow]
) -> Header:
    """Return what a column means: the user's word, its title, and what stands below it."""
    header = read_header(title)
    if choice is not None:
        header = choice.header(header)
        units_stand = choice.unit is None and not choice.keep_as_text
        below = [row for row in below if row.kind == "units" and units_stand]
    return _asked(combined(header, below, place), title, choice)


def _asked(header: Header, title: str, choice: ColumnChoice | None) -> Header:
    """Ask what a lone small letter means: an element is written with a capital, or has a unit."""
    alone = len(title.strip()) == 1 and title.strip().islower()
    if choice is not None or header.analyte is None or header.unit_text or not alone:
        return header
    named = vocabulary()[header.analyte].title
    problem = (
        f"{title.strip()!r} may be {named}, or any letter: say which in the title, or in a "
        "columns file (--columns)"
    )
    return replace(header, problem=problem)


def _beside(
    titles: Sequence[str],
    headers: Sequence[Header],
    chosen: Sequence[ColumnChoice | None],
    marks: Collection[int],
) -> dict[int, Companion]:
    """Find the columns of flags and limits: as the user says, else by their titles."""
    places = {plain_title(title): place for place, title in reversed([*enumerate(titles)])}
    stated = {
        places[plain_title(name)]: Companion(
            kind, owner, limit_unit(name, headers[owner]) if kind == "limit" else None
        )
        for owner, choice in enumerate(chosen)
        for kind, name in (() if choice is None else choice.companions)
        if plain_title(name) in places
    }
    settled = {(one.kind, one.owner) for one in stated.values()}
    found = {
        place: one
        for place, one in companions(titles, headers, marks).items()
        if chosen[place] is None and (one.kind, one.owner) not in settled
    }
    return found | stated


def _with_companions(column: Column, beside: Mapping[int, Companion]) -> Column:
    """Return a column of results with the places of its flags and limits."""
    for place, one in beside.items():
        if one.owner == column.place and one.kind == "flag":
            column = replace(column, flag=place)
        elif one.owner == column.place:
            column = replace(column, limit=place, limit_unit=one.unit)
    return column


def _about_companions(beside: Mapping[int, Companion]) -> list[str]:
    """Say how many columns only say more about others."""
    kinds = [one.kind for one in beside.values()]
    return [
        f"{number} column{'s' if number > 1 else ''} of {name} beside results"
        for kind, name in (("flag", "flags"), ("limit", "detection limits"))
        if (number := kinds.count(kind))
    ]


def free_name(title: str, taken: Mapping[str, Column]) -> str:
    """Return a name that no other column of the samples table has.

    Examples
    --------
    >>> free_name("Shelf", {}), free_name("row", {})
    ('Shelf', 'row (2)')
    """
    name, count = title, 1
    while name in taken or name in SAMPLE_COLUMNS:
        count += 1
        name = f"{title} ({count})"
    return name


def _about_unknown(titles: list[str]) -> list[tuple[str | None, str]]:
    if not titles:
        return []
    columns = (
        "1 column not known here is"
        if len(titles) == 1
        else f"{len(titles)} columns not known here are"
    )
    more = ", …" if len(titles) > _SHOWN else ""
    return [(None, f"{columns} kept as text: {', '.join(titles[:_SHOWN])}{more}")]


def _about_twins(titles: Sequence[str]) -> list[tuple[str | None, str]]:
    """Name titles that stand more than once: each of their columns is read for itself."""
    counts = Counter(title for title in titles if title)
    return [(title, f"the title stands {n} times") for title, n in counts.items() if n > 1]
