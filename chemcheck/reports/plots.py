"""Charts as files in a folder, with a list of what they show."""

from collections.abc import Collection, Iterable, Iterator
from pathlib import Path

from chemcheck._version import __version__
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.water import WaterAssessment
from chemcheck.history.record import Events
from chemcheck.reports.charts import Chart, picture
from chemcheck.reports.check_document import Size, check_document
from chemcheck.reports.document import Document
from chemcheck.reports.json_text import json_value
from chemcheck.reports.unit_charts import latest_chart
from chemcheck.reports.unit_names import unit_names
from chemcheck.reports.unit_pages import UnitPages
from chemcheck.reports.water_document import water_document
from chemcheck.reports.whole_files import SUMMARY, whole_folder

CHARTS_SCHEMA = "chemcheck/charts/1"
# So many samples are drawn, the worst first.
DRAWN = Size(few=100, whole=100, listed=0)


def write_charts(
    charts: Iterable[tuple[str, Chart]], out: Path, form: str, inputs: Collection[str] = ()
) -> None:
    """Write charts into a folder, with summary.json that lists them.

    Parameters
    ----------
    charts : iterable of (str, Chart)
        Each with the stem of its file.
    out : Path
        The folder.
    form : {"svg", "png"}
        Of the files.
    inputs : collection of str
        Files that were read; they are never replaced.

    Raises
    ------
    OutputError
        If the folder cannot be written, or holds files of the same names that are not ours.
    """
    listed = []
    with whole_folder(out, inputs) as folder:
        for name, chart in charts:
            file = f"{name}.{form}"
            (folder / file).write_bytes(picture(chart, form))
            listed.append({"file": file, "title": chart.title, "description": chart.description})
        summary = {
            "schema": CHARTS_SCHEMA,
            "version": __version__,
            "charts": listed,
            # What the pictures show rests on these; the answer's own files say them.
            "assumptions": [],
            "cautions": [],
        }
        (folder / SUMMARY).write_text(json_value(summary) + "\n", encoding="utf-8")


def check_charts(
    assessment: Assessment,
    events: Events | None = None,
    unit: str | None = None,
    *,
    all_units: bool = False,
) -> Iterator[tuple[str, Chart]]:
    """Give the charts of a check, each with the stem of its file.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    events : Events or None
        The log that it was made with.
    unit : str or None
        The only unit to draw.
    all_units : bool, default False
        Whether every unit is drawn, not only those that are not plainly fit.

    Yields
    ------
    (str, Chart)
        Of each unit its latest readings and its histories; where no unit is named, the
        readings of each sample, the worst first.
    """
    of_units = UnitPages.of(assessment, events)
    ids = of_units.units.unit_ids
    if not ids:
        yield from document_charts(check_document(assessment, DRAWN))
        return
    if unit is not None:
        wanted = [of_units.units.find(unit)]
    else:
        wanted = list(range(len(ids))) if all_units or len(ids) == 1 else of_units.due().tolist()
    names = unit_names(ids[k] for k in wanted)
    for k in wanted:
        page = of_units.page(k)
        for chart in (page.readings, *page.histories):
            if chart is not None:
                yield f"{names[ids[k]]}-{chart.name}", chart


def water_charts(water: WaterAssessment) -> Iterator[tuple[str, Chart]]:
    """Give the readings of each water against their bounds, the worst first."""
    yield from document_charts(water_document(water, DRAWN))


def document_charts(document: Document) -> Iterator[tuple[str, Chart]]:
    """Give the readings of each sample that a document tells in full."""
    for place, one in enumerate(document.findings, start=1):
        chart = latest_chart(
            f"{one.name}: readings against their bounds", one.lines, f"sample-{place}"
        )
        if chart is not None:
            yield chart.name, chart
