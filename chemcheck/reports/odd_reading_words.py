"""Readings that their unit's own history does not bear out, as questions and in a document."""

from typing import Any

from chemcheck.analytes import vocabulary
from chemcheck.assessment.forecast import Forecast
from chemcheck.reports.listed_lines import listed_lines


def odd_reading_document(forecast: Forecast) -> list[dict[str, Any]]:
    """Return the readings that break their unit's pattern as a document can hold them.

    Parameters
    ----------
    forecast : Forecast
        What to say.

    Returns
    -------
    list of dict
        ``file``, ``row``, ``column``, ``text``, ``question``.
    """
    return [
        {
            "file": str(asked["file"]),
            "row": int(asked["row"]),
            "column": str(asked["column"]),
            "text": str(asked["text"]),
            "question": str(asked["question"]),
        }
        for asked in forecast.odd_readings.to_dict("records")
    ]


def odd_reading_lines(forecast: Forecast) -> list[str]:
    """Ask about readings that break their unit's pattern, and say what can be done.

    Parameters
    ----------
    forecast : Forecast
        What to say.

    Returns
    -------
    list of str
        A line each.
    """
    samples = forecast.readings.samples
    unit = samples.set_index(["file", "row"])["unit_id"].astype("str").to_dict()
    several = len(forecast.readings.files) > 1
    lines = []
    for asked in forecast.odd_readings.itertuples(index=False):
        where = f"{asked.file}:{asked.row}" if several else f"row {asked.row}"
        known = vocabulary().get(str(asked.column))
        name = str(asked.column) if known is None else known.title
        whose = unit.get((asked.file, asked.row), "")
        lines.append(f"Unit {whose}, {where}, {name} {asked.text}: {asked.question}")
    return [
        *listed_lines(lines),
        "These readings were used as they stand: mend what was written wrongly, or leave a sample "
        "out with --hold-out and its row.",
    ]
