"""Answers written as a folder of files, which appears whole or not at all."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from chemcheck.assessment.job_figures import job_figures
from chemcheck.assessment.job_record import JobRecord
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.water import WaterAssessment
from chemcheck.errors import UnknownUnitError
from chemcheck.history.record import Events
from chemcheck.reports.blend_csv import write_blend_csv
from chemcheck.reports.causes_csv import write_causes_csv
from chemcheck.reports.check_csv import write_check_csv
from chemcheck.reports.check_document import PAGE, check_document
from chemcheck.reports.check_summary import write_summary
from chemcheck.reports.document import Document
from chemcheck.reports.evidence_json import evidence_document
from chemcheck.reports.evidence_pages import evidence_page
from chemcheck.reports.json_text import json_value
from chemcheck.reports.page import write_evidence_page, write_page, write_unit_page
from chemcheck.reports.unit_charts import finding_charts
from chemcheck.reports.unit_index import choose_pages, unit_links, write_unit_pages
from chemcheck.reports.unit_pages import UnitPages
from chemcheck.reports.water_document import water_document
from chemcheck.reports.waters_csv import write_waters_csv
from chemcheck.reports.whole_files import whole_folder


@dataclass(frozen=True, slots=True)
class PageChoice:
    """Which pages a check writes.

    Parameters
    ----------
    events : Events or None
        The log that the check was made with.
    unit : str or None
        The only unit that a page is wanted of.
    all_pages : bool
        Whether every unit gets a page, not only those that are not plainly fit.
    job : JobRecord or None
        What was recorded of a job on the one unit: then there is an evidence page too.
    """

    events: Events | None = None
    unit: str | None = None
    all_pages: bool = False
    job: JobRecord | None = None


def write_check_folder(
    assessment: Assessment,
    out: Path,
    *,
    all_results: bool = False,
    pages: PageChoice = PageChoice(),
) -> None:
    """Write verdicts, results, rejected cells, questions, a summary and pages.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    out : Path
        The folder.
    all_results : bool, default False
        Whether results.csv holds every result, not only those not plainly inside.
    pages : PageChoice
        Of one unit report.html is the unit's page; of several it is an index, and the
        folder ``units`` holds a page for each unit that is unfit or undecided.

    Raises
    ------
    OutputError
        If the folder cannot be written, or holds files of the same names that are not ours.
    UnknownUnitError
        If no sample names the unit, or a job's record is of no single unit.
    UnknownSampleError
        If a job's record names a sample that the files do not hold.
    """
    # Tables mostly wait for the disk: the pages are written meanwhile.
    with (
        whole_folder(out, _inputs(assessment)) as folder,
        ThreadPoolExecutor(1) as beside,
    ):
        tables = beside.submit(_write_common, assessment, folder, all_results)
        _write_pages(assessment, pages, folder)
        tables.result()


def _write_pages(assessment: Assessment, pages: PageChoice, folder: Path) -> None:
    """Write the page of one unit, or an index with a page for each unit that gets one."""
    of_units = UnitPages.of(assessment, pages.events)
    alone = None if pages.unit is None else of_units.units.find(pages.unit)
    if alone is None and of_units.is_one_unit:
        alone = 0
    evidence = {} if pages.job is None else _evidence(of_units, alone, pages.job)
    for name, text in evidence.items():
        _write_text(folder / name, text)
    if alone is not None:
        _write_text(folder / "report.html", write_unit_page(of_units.page(alone)))
        return
    chosen, left_out = choose_pages(of_units, all_pages=pages.all_pages)
    of_units.prepare(chosen)
    links = unit_links(of_units, chosen)
    write_unit_pages(of_units, links, folder)
    document = check_document(assessment, PAGE)
    _write_text(
        folder / "report.html", write_page(document, finding_charts(document), links, left_out)
    )


def _evidence(of_units: UnitPages, alone: int | None, job: JobRecord) -> dict[str, str]:
    """Return the evidence page and its JSON by their names."""
    if alone is None:
        message = f"{job.file}: a job is of one unit: name it with --unit"
        raise UnknownUnitError(message)
    unit_id = of_units.units.unit_ids[alone]
    if job.unit and job.unit != unit_id:
        message = f"{job.file}: unit: {job.unit!r} is not {unit_id!r}, of which the page is"
        raise UnknownUnitError(message)
    figures = job_figures(job)
    log = of_units.events.get((unit_id,))
    page = evidence_page(of_units.assessment, unit_id, job, figures, log)
    document = evidence_document(unit_id, job, figures, page)
    return {
        "evidence.html": write_evidence_page(page),
        "evidence.json": f"{json_value(document)}\n",
    }


def write_water_folder(water: WaterAssessment, out: Path, *, all_results: bool = False) -> None:
    """Write what `write_check_folder` writes, blend.csv and waters.csv.

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
        with (folder / "waters.csv").open("wb") as file:
            write_waters_csv(water, file)
        document = water_document(water, PAGE)
        _write_report(document, folder)


def _inputs(assessment: Assessment) -> list[str]:
    return [file.name for file in assessment.readings.files]


def _write_common(assessment: Assessment, folder: Path, all_results: bool) -> None:
    write_check_csv(assessment, folder, all_results=all_results)
    write_causes_csv(assessment, folder)
    write_summary(assessment, folder)


def _write_report(document: Document, folder: Path) -> None:
    _write_text(folder / "report.html", write_page(document, finding_charts(document)))


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")
