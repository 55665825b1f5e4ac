"""Samples that may not belong to their unit, as questions and as a part of a document."""

from typing import Any

import numpy as np

from chemcheck.assessment.forecast import Forecast
from chemcheck.reports.listed_lines import listed_lines


def odd_sample_document(forecast: Forecast) -> list[dict[str, Any]]:
    """Return the samples that may not belong as a document can hold them.

    Parameters
    ----------
    forecast : Forecast
        What to say.

    Returns
    -------
    list of dict
        ``file``, ``row``, ``unit_id``, ``kind``, ``distance``, ``factor``, ``swapped_with`` (row
        of the other bottle), ``question``, ``held_out`` (whether it was left out).
    """
    samples = forecast.readings.samples
    return [
        {
            "file": str(samples["file"].iloc[odd["row"]]),
            "row": int(samples["row"].iloc[odd["row"]]),
            "unit_id": str(samples["unit_id"].iloc[odd["row"]]),
            "kind": odd["kind"],
            "distance": float(odd["distance"]),
            "factor": None if np.isnan(odd["factor"]) else float(odd["factor"]),
            "swapped_with": int(samples["row"].iloc[odd["other"]]) if odd["other"] >= 0 else None,
            "question": odd["question"],
            "held_out": bool(forecast.held_out[odd["row"]]),
        }
        for odd in forecast.odd_samples.to_dict("records")
    ]


def odd_sample_lines(forecast: Forecast) -> list[str]:
    """Ask about samples that may not belong, and say what can be done.

    Parameters
    ----------
    forecast : Forecast
        What to say.

    Returns
    -------
    list of str
        A line each.
    """
    asked = [str(text[0].upper() + text[1:]) for text in forecast.odd_samples["question"]]
    lines = listed_lines(asked)
    lines.append(
        "These samples were held out of all trends, as suggested: sample anew."
        if forecast.accepted
        else "These samples were used: sample anew, leave one out with --hold-out and its row, or "
        "all with --accept-suggestions."
    )
    return lines
