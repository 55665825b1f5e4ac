"""The vocabulary and the limit library as tables for a spreadsheet."""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from chemcheck.analytes.record import Analyte
from chemcheck.limit_library import SetTitle, explain
from chemcheck.limit_library.records import LimitSet

ANALYTE_COLUMNS = ("analyte", "title", "unit", "usual_unit_water", "usual_unit_coolant", "aliases")
SET_COLUMNS = ("id", "version", "use", "material", "title")
BOUND_COLUMNS = (
    "limit_set",
    "version",
    "analyte_or_rule",
    "title",
    "basis",
    "kind",
    "requirement",
    "quoted",
    "applies",
    "essential",
    "consequence",
    "source",
    "evidence",
)


def analytes_csv(analytes: Sequence[Analyte]) -> str:
    """Return the vocabulary as CSV, a row an analyte.

    Parameters
    ----------
    analytes : sequence of Analyte
        What to list.

    Examples
    --------
    >>> from chemcheck.analytes import analyte
    >>> print(analytes_csv([analyte("tin")]), end="")
    analyte,title,unit,usual_unit_water,usual_unit_coolant,aliases
    tin,tin,mg/L,mg/L,ppm,zinn; étain; estaño; Sn; tin
    """
    rows = (
        (
            one.key,
            one.title,
            one.unit,
            one.usual_unit.get("water", ""),
            one.usual_unit.get("coolant", ""),
            "; ".join(one.aliases),
        )
        for one in analytes
    )
    return to_csv(ANALYTE_COLUMNS, rows)


def list_csv(titles: Sequence[SetTitle]) -> str:
    """Return the list of limit sets as CSV, a row a set."""
    rows = ((one.id, one.version, one.use, one.material, one.title) for one in titles)
    return to_csv(SET_COLUMNS, rows)


def set_csv(limit_set: LimitSet) -> str:
    """Return a limit set as CSV, a row a bound or rule.

    Parameters
    ----------
    limit_set : LimitSet
        Any set.
    """
    rows = (
        (
            limit_set.id,
            limit_set.version,
            row.key,
            row.title,
            row.basis,
            row.kind,
            row.requirement,
            row.quoted,
            row.applies,
            "yes" if row.essential else "no",
            row.consequence,
            row.source,
            row.evidence,
        )
        for row in explain(limit_set)
    )
    return to_csv(BOUND_COLUMNS, rows)


def to_csv(titles: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write rows under titles as CSV, lines ended by a line feed.

    The texts are the library's own, or those of a limit file that the user named.
    """
    stream = StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(titles)
    writer.writerows(rows)
    return stream.getvalue()
