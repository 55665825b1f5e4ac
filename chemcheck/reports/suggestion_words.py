"""Events that nobody logged, as lines of text and as a part of a document."""

from collections.abc import Mapping
from typing import Any

import pandas as pd

from chemcheck.assessment.forecast import Forecast
from chemcheck.reports.listed_lines import listed_lines


def suggestion_document(forecast: Forecast) -> list[dict[str, Any]]:
    """Return the suggestions of a forecast as a document can hold them.

    Parameters
    ----------
    forecast : Forecast
        What to say.

    Returns
    -------
    list of dict
        ``unit_id``, ``event``, ``from``, ``to`` (dates of the two samples), ``sample_id`` (the
        reading that breaks the pattern), ``probability``, ``share``, ``evidence``, ``accepted``.
    """
    samples = forecast.readings.samples
    return [
        {
            "unit_id": row["unit_id"],
            "event": row["event"],
            "from": _date(row["from"]),
            "to": _date(row["to"]),
            "sample_id": _text(samples["sample_id"].iloc[row["after"]]),
            "probability": float(row["probability"]),
            "share": None if pd.isna(row["share"]) else float(row["share"]),
            "evidence": row["evidence"],
            "accepted": forecast.accepted,
        }
        for row in forecast.suggestions.to_dict("records")
    ]


def suggestion_lines(forecast: Forecast) -> list[str]:
    """Name the readings that break the pattern, what that looks like, and what settles it.

    Parameters
    ----------
    forecast : Forecast
        What to say.

    Returns
    -------
    list of str
        The likeliest first.
    """
    said = [_line(row) for row in suggestion_document(forecast)]
    lines = listed_lines(said)
    lines.append(
        "These were taken as logged; a change or partial change began a new fill."
        if forecast.accepted
        else "These are suggestions and were not used: log what did happen, or accept all with "
        "--accept-suggestions."
    )
    return lines


def _line(row: Mapping[str, Any]) -> str:
    sample = f"sample {row['sample_id']}" if row["sample_id"] else "the sample"
    share = "" if row["share"] is None else f" of about {100 * row['share']:.0f} % of the system"
    article = "an" if row["event"][0] in "aeiou" else "a"
    days = f"since {row['from']}" if row["from"] else "since the sample before"
    return (
        f"{row['unit_id']}, {sample} of {row['to'] or 'unknown date'}: looks like {article} "
        f"{row['event']}{share} {days} that nobody logged (probability "
        f"{min(100 * row['probability'], 99.9):.3g} %): {row['evidence']}."
    )


def _date(value: Any) -> str | None:
    return None if pd.isna(value) else pd.Timestamp(value).date().isoformat()


def _text(value: Any) -> str | None:
    return None if pd.isna(value) or not str(value) else str(value)
