"""A mixture of waters printed, or written as a folder that appears whole or not at all."""

import sys
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from types import MappingProxyType

from chemcheck.assessment.blend_record import BlendAnswer
from chemcheck.reports.blend_document import blend_document
from chemcheck.reports.blend_json import blend_csv, blend_json
from chemcheck.reports.page import write_page
from chemcheck.reports.text import write_text
from chemcheck.reports.whole_files import SUMMARY, whole_folder


def _text(answer: BlendAnswer) -> str:
    return write_text(blend_document(answer))


WRITERS: Mapping[str, Callable[[BlendAnswer], str]] = MappingProxyType(
    {"text": _text, "json": blend_json, "csv": blend_csv}
)


def print_blend(answer: BlendAnswer, form: str) -> None:
    """Print a mixture.

    Parameters
    ----------
    answer : BlendAnswer
        What to say.
    form : {"text", "json", "csv"}
        As CSV a row for each share and analyte.
    """
    sys.stdout.write(WRITERS[form](answer))


def write_blend_folder(answer: BlendAnswer, out: Path, inputs: Collection[str]) -> None:
    """Write mixture.csv, summary.json and report.html.

    Parameters
    ----------
    answer : BlendAnswer
        What to say.
    out : Path
        The folder.
    inputs : collection of str
        Files that were read; they are never replaced.

    Raises
    ------
    OutputError
        If the folder cannot be written, or holds files of the same names that are not ours.
    """
    with whole_folder(out, inputs) as folder:
        texts = {
            "mixture.csv": blend_csv(answer),
            SUMMARY: blend_json(answer),
            "report.html": write_page(blend_document(answer)),
        }
        for name, text in texts.items():
            (folder / name).write_text(text, encoding="utf-8", newline="\n")
