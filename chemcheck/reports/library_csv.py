"""The vocabulary and the limit library as tables for a spreadsheet."""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from chemcheck.analytes.record import Analyte

ANALYTE_COLUMNS = ("analyte", "title", "unit", "usual_unit_water", "usual_unit_coolant", "aliases")


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


def to_csv(titles: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write rows under titles as CSV, lines ended by a line feed.

    The texts are the library's own, or those of a limit file that the user named.
    """
    stream = StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(titles)
    writer.writerows(rows)
    return stream.getvalue()
