"""What the next sample of each water source may hold, in words and for JSON."""

from collections.abc import Iterator
from math import isfinite
from typing import Any

import pandas as pd

from chemcheck.analytes import analyte as analyte_of
from chemcheck.reports.numbers import number

SOURCES_TOLD = 20
HOW = (
    "Each bound holds the next sample with a chance of 90 %, if the source stays as it was: from "
    "ten samples on by their rank alone, with fewer by the greatest and a factor of the range."
)
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def source_words(outlook: pd.DataFrame, analytes: tuple[str, ...]) -> tuple[str, ...]:
    """Say of each source what its next sample stays below, a line a source.

    Parameters
    ----------
    outlook : DataFrame
        ``SOURCE_COLUMNS``.
    analytes : tuple of str
        Those that have a bound; of others nothing is said.

    Returns
    -------
    tuple of str
        Up to ``SOURCES_TOLD`` sources, how many more there are, and how it was reckoned.
    """
    told = outlook[outlook["analyte"].isin(analytes) & outlook["next_at_most"].notna()]
    names = list(dict.fromkeys(told["source"]))
    lines = [_one(name, told[told["source"] == name]) for name in names[:SOURCES_TOLD]]
    if len(names) > SOURCES_TOLD:
        lines.append(f"{len(names) - SOURCES_TOLD:,} more sources: see the JSON document.")
    return (*lines, HOW) if lines else ()


def _one(name: str, rows: pd.DataFrame) -> str:
    amounts = []
    for row in rows.to_dict("records"):
        known = analyte_of(str(row["analyte"]))
        unit = "" if known.unit in ("pH", "1") else f" {known.unit}"
        bound = float(row["next_at_most"])
        amount = f"at most {number(bound, 3)}{unit}" if isfinite(bound) else "no upper end"
        worst = row["worst_month"]
        month = "" if pd.isna(worst) else f" (highest in {MONTHS[int(worst) - 1]})"
        amounts.append(f"{known.title} {amount}{month}")
    again = rows["test_again"].min()
    due = "" if pd.isna(again) else f" Test again by {again:%Y-%m-%d}."
    return f"{name}, {int(rows['samples'].max())} samples: {', '.join(amounts)}.{due}"


def source_records(outlook: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the outlook as records for JSON, dates as ISO text and what is unknown as null.

    Parameters
    ----------
    outlook : DataFrame
        ``SOURCE_COLUMNS``.
    """
    return [dict(_plain(row)) for row in outlook.to_dict("records")]


def _plain(row: dict[Any, Any]) -> Iterator[tuple[str, Any]]:
    for name, value in row.items():
        if value is None or pd.isna(value):
            yield str(name), None
        elif isinstance(value, pd.Timestamp):
            yield str(name), value.strftime("%Y-%m-%d")
        elif isinstance(value, float):
            yield str(name), value if isfinite(value) else None
        else:
            yield str(name), value
