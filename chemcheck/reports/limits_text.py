"""The limit library for a person: which sets there are, and what one asks for and why."""

from collections.abc import Sequence

from chemcheck.analytes import analyte as analyte_of
from chemcheck.limit_library import LimitRow, SetTitle, explain, technologies
from chemcheck.limit_library.choose import ANY_COOLANT, FILL_WATER
from chemcheck.limit_library.records import LimitSet
from chemcheck.reports.numbers import counted
from chemcheck.reports.text_layout import bullets, heading, paragraph, table, visible


def write_list(titles: Sequence[SetTitle]) -> str:
    """Return the list of limit sets, after those in use where nobody names one.

    Parameters
    ----------
    titles : sequence of SetTitle
        The sets.

    Returns
    -------
    str
        Lines of at most 80 columns, by use.
    """
    by_technology = [
        (f"{one.title} coolant", one.limit_set or "none: name the maker's or your own")
        for one in technologies().values()
    ]
    defaults = [("water", FILL_WATER), *by_technology, ("any other coolant", ANY_COOLANT)]
    parts = [
        paragraph("In use unless --limits names another:"),
        table(["for", "limit set"], defaults),
    ]
    for use in dict.fromkeys(title.use for title in titles):
        rows = [(one.id, one.title) for one in titles if one.use == use]
        parts.append(f"{heading(use.capitalize())}\n{table(['id', 'what it is'], rows)}")
    parts.append(paragraph("'chemcheck limits show ID' tells every bound, its source and why."))
    return "\n\n".join(parts) + "\n"


def write_set(limit_set: LimitSet) -> str:
    """Return a limit set with every bound, its consequence and its source.

    Parameters
    ----------
    limit_set : LimitSet
        Any set.

    Returns
    -------
    str
        Lines of at most 80 columns.

    Examples
    --------
    >>> from chemcheck.limit_library import load_set
    >>> text = write_set(load_set("fill_water_default"))
    >>> "at most 40 mg/L" in text
    True
    """
    rows = explain(limit_set)
    sources: dict[str, int] = {}
    parts = [paragraph(named(limit_set)), *_about(limit_set)]
    table_rows = [(_what(row), row.requirement, row.kind, _reference(row, sources)) for row in rows]
    parts.append(table(["what", "bound", "kind", "source"], table_rows))
    parts.append(_listed("Why", [_why(row) for row in rows]))
    marked = [f"{_what(row)}: {said}" for row in rows for said in (row.quoted, row.applies) if said]
    parts.append(_listed("Ranges and conditions", list(dict.fromkeys(marked))))
    numbered = [paragraph(text, f"[{place}] ", "    ") for text, place in sources.items()]
    if numbered:
        parts.append("\n".join([heading("Sources"), *numbered]))
    return visible("\n\n".join(filter(None, parts)) + "\n")


def write_checked(limit_set: LimitSet) -> str:
    """Return what is said of a user's file that can be used.

    Parameters
    ----------
    limit_set : LimitSet
        What the file makes.
    """
    bounds = sum(len(limit.bounds) for limit in limit_set.limits)
    return (
        paragraph(
            f"{limit_set.path}: can be used. {counted(bounds, 'bound')} and "
            f"{counted(len(limit_set.rules), 'rule')}, each with its source and evidence."
        )
        + "\n\n"
        + write_set(limit_set)
    )


def named(limit_set: LimitSet) -> str:
    """Name a set with its version, as the first line of an output does.

    Examples
    --------
    >>> from chemcheck.limit_library import load_set
    >>> named(load_set("fill_water_default")).startswith("Limit set fill_water_default, version")
    True
    """
    return f"Limit set {limit_set.id}, version {limit_set.version}: {limit_set.title}."


def _about(limit_set: LimitSet) -> list[str]:
    told = [f"For {limit_set.use} ({limit_set.material})."]
    if limit_set.technologies:
        titles = [technologies()[key].title for key in sorted(limit_set.technologies)]
        told.append(f"For these technologies: {', '.join(titles)}.")
    if limit_set.glycols:
        glycols = [key.replace("_", " ") for key in sorted(limit_set.glycols)]
        told.append(f"For {' and '.join(glycols)}.")
    if limit_set.essential:
        names = ", ".join(analyte_of(key).title for key in limit_set.essential)
        told.append(f"Essential, so that a sample without one cannot be fit: {names}.")
    if limit_set.partial:
        told.append(limit_set.partial)
    if limit_set.note:
        told.append(limit_set.note)
    told.append(f"SHA-256 {limit_set.sha256}")
    return [bullets(told)]


def _what(row: LimitRow) -> str:
    return f"{row.title}, {row.basis}" if row.basis else row.title


def _why(row: LimitRow) -> str:
    return f"{_what(row)}, {row.requirement}: {row.consequence}"


def _listed(title: str, texts: Sequence[str]) -> str:
    return f"{heading(title)}\n{bullets(texts)}" if texts else ""


def _reference(row: LimitRow, sources: dict[str, int]) -> str:
    text = f"{row.source} ({row.evidence})"
    return f"[{sources.setdefault(text, len(sources) + 1)}]"
