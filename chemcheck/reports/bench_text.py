"""A bench calculator's answer as text, as JSON and as CSV."""

import csv
import math
from collections.abc import Callable, Mapping
from io import StringIO
from types import MappingProxyType
from typing import Any

from chemcheck._version import __version__
from chemcheck.limit_library import cautions
from chemcheck.remedies.estimate import Estimate
from chemcheck.reports.bench_page import BenchPage, Quantity
from chemcheck.reports.library_json import to_text
from chemcheck.reports.limits_text import named
from chemcheck.reports.numbers import number
from chemcheck.reports.text_layout import bullets, heading, paragraph, table, visible

NO_SET = "No limit set is in use."


def write_bench(page: BenchPage) -> str:
    """Return an answer as text.

    Parameters
    ----------
    page : BenchPage
        What to say.

    Returns
    -------
    str
        Lines of at most 80 columns where words allow it.
    """
    in_use = " ".join(named(one) for one in page.limit_sets) or NO_SET
    parts = [paragraph(in_use), paragraph(page.sentence)]
    rows = [
        (one.title, *said_apart(one.estimate, 4), one.unit)
        for one in page.quantities
        if one.shown and not math.isnan(float(one.estimate.value))
    ]
    if rows:
        parts.append(table(["what", "value", "from", "to", "unit"], rows, numeric=[1, 2, 3]))
    parts += [
        f"{heading(one.title)}\n{table(one.columns, one.rows, one.numeric)}" for one in page.tables
    ]
    sections = (
        ("What to do", page.to_do),
        ("To be settled", page.questions),
        ("Sources", page.sources),
        ("Assumptions", page.assumptions),
        ("Cautions", cautions(page.cautions)),
    )
    parts += [f"{heading(title)}\n{bullets(items)}" for title, items in sections if items]
    return visible("\n\n".join(parts) + "\n")


def bench_document(page: BenchPage) -> dict[str, Any]:
    """Return an answer as a JSON document.

    Parameters
    ----------
    page : BenchPage
        What to say.

    Returns
    -------
    dict
        Each quantity under its key, its interval in ``intervals``; NaN and infinity are null.
    """
    return {
        "schema": f"chemcheck/{page.command}/1",
        "version": __version__,
        "limit_sets": [
            {"id": one.id, "version": one.version, "sha256": one.sha256} for one in page.limit_sets
        ],
        "answer": page.sentence,
        **{one.key: json_number(one.estimate.value) for one in page.quantities},
        "intervals": {one.key: json_interval(one.estimate) for one in page.quantities},
        **page.details,
        "to_do": list(page.to_do),
        "questions": list(page.questions),
        "sources": list(page.sources),
        "assumptions": list(page.assumptions),
        "cautions": list(cautions(page.cautions)),
    }


def write_bench_json(page: BenchPage) -> str:
    """Return an answer as the text of its JSON document."""
    return to_text(bench_document(page))


def write_bench_csv(page: BenchPage) -> str:
    """Return the numbers of an answer as CSV.

    Parameters
    ----------
    page : BenchPage
        What to say.

    Returns
    -------
    str
        A row for each quantity; an empty cell where there is no number.
    """
    stream = StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(["quantity", "value", "lower", "upper", "unit"])
    writer.writerows(_row(one) for one in page.quantities)
    return stream.getvalue()


WRITERS: Mapping[str, Callable[[BenchPage], str]] = MappingProxyType(
    {"text": write_bench, "json": write_bench_json, "csv": write_bench_csv}
)


def json_number(value: Any) -> float | None:
    """Return a number for JSON, null where there is none.

    Examples
    --------
    >>> json_number(6.0), json_number(float("nan")), json_number(float("inf"))
    (6.0, None, None)
    """
    plain = float(value)
    return plain if math.isfinite(plain) else None


def json_interval(estimate: Estimate) -> dict[str, float | None]:
    """Return the ends of an estimate for JSON."""
    return {"lower": json_number(estimate.lower), "upper": json_number(estimate.upper)}


def said(estimate: Estimate, digits: int = 3) -> str:
    """Write an estimate in a sentence: its value, and the interval where it has one.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import between, exact
    >>> said(exact(2.0)), said(between(2.9, 5.1, 4.0))
    ('2', '4 (2.9 to 5.1)')
    """
    value, low, high = said_apart(estimate, digits)
    return value if not low else f"{value} ({low} to {high})"


def said_apart(estimate: Estimate, digits: int = 3) -> tuple[str, str, str]:
    """Write value and ends of an estimate; no ends where they say no more than the value."""
    value = number(float(estimate.value), digits)
    low, high = (number(float(end), digits) for end in (estimate.lower, estimate.upper))
    return (value, "", "") if low == high == value else (value, low, high)


def _row(one: Quantity) -> list[str]:
    ends = (one.estimate.value, one.estimate.lower, one.estimate.upper)
    numbers = [json_number(end) for end in ends]
    return [one.key, *("" if end is None else repr(end) for end in numbers), one.unit]
