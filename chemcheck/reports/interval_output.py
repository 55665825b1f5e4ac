"""Change intervals printed, or written as a folder that appears whole or not at all."""

import sys
from pathlib import Path

from chemcheck.assessment.interval import Intervals
from chemcheck.reports.fleet_pages import interval_page
from chemcheck.reports.interval_json import interval_document
from chemcheck.reports.interval_tables import group_table
from chemcheck.reports.interval_text import interval_text
from chemcheck.reports.json_text import json_document
from chemcheck.reports.page import write_fleet_page
from chemcheck.reports.safe_tables import safe_csv
from chemcheck.reports.whole_files import whole_folder


def print_intervals(answer: Intervals, form: str) -> None:
    """Print change intervals.

    Parameters
    ----------
    answer : Intervals
        What to say.
    form : {"text", "json", "csv"}
        As CSV a row for every group.
    """
    if form == "json":
        text = interval_json(answer)
    elif form == "csv":
        text = safe_csv(group_table(answer))
    else:
        text = interval_text(answer)
    sys.stdout.write(text)


def write_interval_folder(answer: Intervals, out: Path) -> None:
    """Write groups.csv, rejected.csv, interval.json, interval.txt and report.html.

    Parameters
    ----------
    answer : Intervals
        What to say.
    out : Path
        The folder.

    Raises
    ------
    OutputError
        If the folder cannot be written, or holds files of the same names that are not ours.
    """
    with whole_folder(out, [file.name for file in answer.readings.files]) as folder:
        for name, text in (
            ("groups.csv", safe_csv(group_table(answer))),
            ("rejected.csv", safe_csv(answer.readings.rejected)),
            ("interval.json", interval_json(answer)),
            ("interval.txt", interval_text(answer)),
            ("report.html", write_fleet_page(interval_page(answer))),
        ):
            (folder / name).write_text(text, encoding="utf-8", newline="")


def interval_json(answer: Intervals) -> str:
    """Return change intervals as the text of a JSON file."""
    return json_document(interval_document(answer))
