"""Answers written to standard output, in the form asked for."""

import shutil
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from chemcheck.assessment.record import Assessment
from chemcheck.assessment.unit_samples import unit_samples
from chemcheck.assessment.water import WaterAssessment
from chemcheck.reports.blend_csv import write_blend_csv
from chemcheck.reports.check_csv import write_check_csv
from chemcheck.reports.check_document import TEXT, check_document
from chemcheck.reports.check_json import write_check_json
from chemcheck.reports.document import Document
from chemcheck.reports.text import write_text
from chemcheck.reports.water_document import water_document
from chemcheck.reports.water_json import write_water_json


def write_check(
    assessment: Assessment, form: str, *, all_results: bool = False, unit: str | None = None
) -> None:
    """Print what a check found.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    form : {"text", "json", "csv"}
        As CSV a row for every sample, or with ``all_results`` for every result.
    all_results : bool, default False
        Whether results plainly inside are listed; JSON always lists them.
    unit : str or None
        The only unit to tell of, as text.

    Raises
    ------
    UnknownUnitError
        If no sample names the unit.
    """
    if unit is not None:
        units = unit_samples(assessment.readings.samples)
        latest_first = units.of(units.find(unit))[::-1]
        _print_text(check_document(assessment, TEXT, only=latest_first))
    elif form == "json":
        write_check_json(assessment, sys.stdout.buffer)
    elif form == "csv":
        _print_csv(assessment, "results.csv" if all_results else "verdicts.csv")
    else:
        _print_text(check_document(assessment, TEXT))


def write_water(water: WaterAssessment, form: str, *, all_results: bool = False) -> None:
    """Print what was found of waters.

    Parameters
    ----------
    water : WaterAssessment
        What was found.
    form : {"text", "json", "csv"}
        As CSV a row for every water with its blend, or with ``all_results`` for every result.
    all_results : bool, default False
        As for `write_check`.
    """
    if form == "json":
        write_water_json(water, sys.stdout.buffer)
    elif form == "csv" and all_results:
        _print_csv(water.assessment, "results.csv")
    elif form == "csv":
        write_blend_csv(water, sys.stdout.buffer)
    else:
        _print_text(water_document(water, TEXT))


def _print_text(document: Document) -> None:
    sys.stdout.write(write_text(document))


def _print_csv(assessment: Assessment, name: str) -> None:
    with TemporaryDirectory() as folder:
        write_check_csv(assessment, Path(folder), all_results=name == "results.csv")
        with Path(folder, name).open("rb") as file:
            shutil.copyfileobj(file, sys.stdout.buffer)
