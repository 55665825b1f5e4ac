"""Answers written as a folder of files, which appears whole or not at all."""

from pathlib import Path

from chemcheck.assessment.record import Assessment
from chemcheck.assessment.water import WaterAssessment
from chemcheck.reports.blend_csv import write_blend_csv
from chemcheck.reports.check_csv import write_check_csv
from chemcheck.reports.check_document import PAGE, check_document
from chemcheck.reports.check_summary import write_summary
from chemcheck.reports.document import Document
from chemcheck.reports.page import write_page
from chemcheck.reports.water_document import water_document
from chemcheck.reports.whole_files import whole_folder


def write_check_folder(assessment: Assessment, out: Path, *, all_results: bool = False) -> None:
    """Write verdicts, results, rejected cells, questions, a summary and a page.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    out : Path
        The folder.
    all_results : bool, default False
        Whether results.csv holds every result, not only those not plainly inside.

    Raises
    ------
    OutputError
        If the folder cannot be written, or holds files of the same names that are not ours.
    """
    with whole_folder(out, _inputs(assessment)) as folder:
        _write_common(assessment, folder, all_results)
        document = check_document(assessment, PAGE)
        _write_report(document, folder)


def write_water_folder(water: WaterAssessment, out: Path, *, all_results: bool = False) -> None:
    """Write what `write_check_folder` writes, and blend.csv.

    Parameters
    ----------
    water : WaterAssessment
        What was found.
    out, all_results
        As for `write_check_folder`.

    Raises
    ------
    OutputError
        As for `write_check_folder`.
    """
    with whole_folder(out, _inputs(water.assessment)) as folder:
        _write_common(water.assessment, folder, all_results)
        with (folder / "blend.csv").open("wb") as file:
            write_blend_csv(water, file)
        document = water_document(water, PAGE)
        _write_report(document, folder)


def _inputs(assessment: Assessment) -> list[str]:
    return [file.name for file in assessment.readings.files]


def _write_common(assessment: Assessment, folder: Path, all_results: bool) -> None:
    write_check_csv(assessment, folder, all_results=all_results)
    write_summary(assessment, folder)


def _write_report(document: Document, folder: Path) -> None:
    (folder / "report.html").write_text(write_page(document), encoding="utf-8", newline="\n")
