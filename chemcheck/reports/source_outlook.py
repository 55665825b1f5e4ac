"""What the next sample of each water source may hold, in words and for JSON."""

from collections.abc import Iterator, Mapping
from math import isfinite
from typing import Any

import pandas as pd

from chemcheck.analytes import analyte as analyte_of
from chemcheck.reports.numbers import number, percent_down

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


def worst_words(table: pd.DataFrame, titles: Mapping[str, str]) -> tuple[str, ...]:
    """Say of each source which share of it holds in its worst sample, a line a source.

    Parameters
    ----------
    table : DataFrame
        ``SOURCE_BLEND_COLUMNS``.
    titles : mapping of str to str
        The words a person reads, by the key of what controls.

    Returns
    -------
    tuple of str
        Sources that need deionised water, the worst first, up to ``SOURCES_TOLD``, and how many
        more there are.
    """
    short = table[~(table["tap_share_max"] >= 1.0)].sort_values(
        "tap_share_max", na_position="first", kind="stable"
    )
    lines = [_worst(row, titles) for row in short.head(SOURCES_TOLD).to_dict("records")]
    if len(short) > SOURCES_TOLD:
        lines.append(f"{len(short) - SOURCES_TOLD:,} more sources: see the JSON document.")
    return tuple(lines)


def _worst(row: dict[Any, Any], titles: Mapping[str, str]) -> str:
    taken = row["worst_taken_on"]
    which = f"row {row['worst_row']}" if pd.isna(taken) else f"that of {taken:%Y-%m-%d}"
    month = row["worst_month"]
    usual = "" if pd.isna(month) else f" Of the months {MONTHS[int(month) - 1]} allows least."
    control = titles.get(row["controlled_by"], "")
    by = f", where {control} controls" if control else ""
    lead = f"{row['source']}, {int(row['samples'])} samples"
    if pd.isna(row["tap_share_max"]):
        return f"{lead}: in the worst, {which}, no share meets every bound.{usual}"
    percent = percent_down(float(row["tap_share_max"]))
    return (
        f"{lead}: at most {percent} % tap water meets every bound in all of them. The worst is "
        f"{which}{by}.{usual}"
    )


def source_records(outlook: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the outlook as records for JSON, dates as ISO text and what is unknown as null.

    Parameters
    ----------
    outlook : DataFrame
        ``SOURCE_COLUMNS`` or ``SOURCE_BLEND_COLUMNS``.
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
