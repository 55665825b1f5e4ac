"""One sample given as quantities in words: ``hardness`` is ``18 gpg``."""

import csv
from collections.abc import Iterable, Mapping
from dataclasses import replace
from io import StringIO

import pandas as pd

from chemcheck.errors import IntakeError, Problem
from chemcheck.intake.assemble import assemble
from chemcheck.intake.choices import Choices
from chemcheck.intake.column_plan import plan_columns
from chemcheck.intake.encoding import decode
from chemcheck.intake.format import Format
from chemcheck.intake.table import read_table
from chemcheck.intake.wide import read_wide
from chemcheck.readings.record import Readings

LAYOUT = "quantities"
_SEPARATOR = "\t"
# Where a unit can be said, in a file and here.
_IN_A_FILE = "in the title, or in a columns file (--columns)"
_HERE = "behind the number"


def read_quantities(
    values: Mapping[str, str],
    *,
    name: str,
    material: str,
    sample_id: str | None = None,
    method: str | None = None,
    decimal: str | None = None,
) -> Readings:
    """Read one sample from quantities in words.

    Each text is read as a cell of a file would be: with a unit or without, ``<0.5``,
    ``100-250``.

    Parameters
    ----------
    values : mapping of str to str
        By what is measured, as a column's title would say it.
    name : str
        Where the quantities come from; stands where a file's name would.
    material : {"water", "coolant"}
        What was sampled.
    sample_id, method : str, optional
        The sample's name, and how it was measured.
    decimal : {".", ","}, optional
        The decimal mark.

    Returns
    -------
    Readings
        One sample; what could not be read is among what was set aside.

    Raises
    ------
    IntakeError
        If there is no quantity.

    Examples
    --------
    >>> water = read_quantities({"hardness": "10 gpg"}, name="options", material="water")
    >>> round(float(water.lower[0, 0]), 1)
    171.2
    """
    if not values:
        problem = "no quantity was given"
        raise IntakeError([Problem(name, None, None, "", problem)])
    row = dict(values)
    for title, text in (("Sample No", sample_id), ("Method", method)):
        if text:
            row[title] = text
    header, record = _line(row.keys()), _line(row.values())
    layout = Format(_SEPARATOR, b"\n", tuple(row), 1, len(header.encode("utf-8")))
    file = decode(name, (header + record).encode("utf-8"))
    choices = Choices(decimal=decimal, material=material)
    results = read_wide(read_table(file, layout), plan_columns(layout.header, choices), choices)
    readings = assemble([results])
    rejected = _without_row(readings.rejected)
    told = rejected["problem"].str.replace(_IN_A_FILE, _HERE, regex=False)
    return replace(
        readings,
        files=tuple(replace(file, layout=LAYOUT, found="as given") for file in readings.files),
        rejected=rejected.assign(problem=told),
        questions=_without_row(readings.questions),
    )


def _line(texts: Iterable[str]) -> str:
    stream = StringIO()
    writer = csv.writer(stream, delimiter=_SEPARATOR, lineterminator="\n")
    writer.writerow([" ".join(text.split()) for text in texts])
    return stream.getvalue()


def _without_row(table: pd.DataFrame) -> pd.DataFrame:
    """Take out the row numbers, which mean nothing where there is no file."""
    return table.assign(row=pd.array([pd.NA] * len(table), dtype="Int64"))
