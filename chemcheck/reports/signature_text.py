"""A fault signature for a person, a spreadsheet or another program."""

import csv
import io
from typing import Any

from chemcheck._version import __version__
from chemcheck.limit_library import cautions
from chemcheck.limit_library.cause_records import Signature
from chemcheck.limit_library.explain_cause import FeatureRow, explain_cause
from chemcheck.reports.text_layout import bullets, heading, paragraph, table, visible

COLUMNS = ("what", "what the cause does", "for", "against")
CSV_COLUMNS = ("key", "title", "expected", "weight", "against", "technologies", "brings_up")


def write_signature(signature: Signature) -> str:
    """Return a fault signature as text.

    Parameters
    ----------
    signature : Signature
        Any.

    Examples
    --------
    >>> from chemcheck.limit_library.causes import signatures
    >>> "up by 50 to 500 mg/L" in write_signature(signatures()["road_salt"])
    True
    """
    rows = [
        (_what(row), row.expected.removeprefix("expected "), f"{row.weight:g}", f"{row.against:g}")
        for row in explain_cause(signature)
    ]
    parts = [
        paragraph(f"{signature.key}: {signature.title}."),
        table(COLUMNS, rows),
        paragraph(
            "Weights are the most that each can say for the cause or against it, as log10 of a "
            "likelihood ratio. The cause is raised only where one marked * speaks for it."
        ),
    ]
    lists = {
        "Speaks against it": signature.speaks_against,
        "Looks alike": signature.looks_like,
        "Confirm": (signature.confirm_by,),
        "Do": (signature.remedy,),
        "Cautions": cautions(signature.cautions),
        "Source": (f"{signature.source} ({signature.evidence})",),
    }
    parts += [f"{heading(title)}\n{bullets(items)}" for title, items in lists.items() if items]
    return visible("\n\n".join(parts) + "\n")


def signature_document(signature: Signature) -> dict[str, Any]:
    """Return a fault signature as a JSON document."""
    return {
        "schema": "chemcheck/cause/1",
        "version": __version__,
        "assumptions": [],
        "cautions": list(cautions(signature.cautions)),
        "cause": signature.key,
        "title": signature.title,
        "features": [dict(zip(CSV_COLUMNS, _fields(row), strict=True)) for row in _rows(signature)],
        "speaks_against": list(signature.speaks_against),
        "looks_like": list(signature.looks_like),
        "confirm_by": signature.confirm_by,
        "remedy": signature.remedy,
        "source": signature.source,
        "evidence": signature.evidence,
    }


def signature_csv(signature: Signature) -> str:
    """Return the features of a fault signature as CSV."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(CSV_COLUMNS)
    writer.writerows(_fields(row) for row in _rows(signature))
    return text.getvalue()


def _rows(signature: Signature) -> tuple[FeatureRow, ...]:
    return explain_cause(signature)


def _fields(row: FeatureRow) -> tuple[Any, ...]:
    return (
        row.key, row.title, row.expected, row.weight, row.against, row.applies, row.brings_up,
    )  # fmt: skip


def _what(row: FeatureRow) -> str:
    applies = f" ({row.applies})" if row.applies else ""
    return f"{row.title}{applies}{' *' if row.brings_up else ''}"
