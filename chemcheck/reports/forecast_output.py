"""A forecast printed, or written as a folder that appears whole or not at all."""

import sys
from collections.abc import Iterator
from pathlib import Path

from chemcheck.assessment.backtest import Backtest
from chemcheck.assessment.bound_evidence import BoundEvidence
from chemcheck.assessment.fleet import Fleet
from chemcheck.assessment.forecast import Forecast
from chemcheck.reports.backtest_words import case_table
from chemcheck.reports.bound_evidence_words import evidence_table
from chemcheck.reports.charts import Chart
from chemcheck.reports.check_json import write_check_json
from chemcheck.reports.fleet_charts import backtest_chart, crossing_chart
from chemcheck.reports.fleet_pages import fleet_page
from chemcheck.reports.forecast_json import forecast_document
from chemcheck.reports.forecast_tables import crossing_table, unit_table
from chemcheck.reports.forecast_text import forecast_text
from chemcheck.reports.interval_output import interval_json
from chemcheck.reports.json_text import json_document
from chemcheck.reports.page import write_fleet_page, write_unit_page
from chemcheck.reports.safe_tables import safe_csv
from chemcheck.reports.unit_index import choose_pages, unit_links, write_unit_pages
from chemcheck.reports.unit_outlook import Outlooks
from chemcheck.reports.unit_pages import UnitPages
from chemcheck.reports.whole_files import whole_folder


def print_forecast(
    forecast: Forecast,
    form: str,
    backtest: Backtest | None = None,
    evidence: BoundEvidence | None = None,
) -> None:
    """Print a forecast.

    Parameters
    ----------
    forecast : Forecast
        What to say.
    form : {"text", "json", "csv"}
        As CSV a row for every unit.
    backtest : Backtest or None
        How past forecasts did, where that was asked.
    evidence : BoundEvidence or None
        Whether each bound is right for the fleet.
    """
    if form == "json":
        text = _json(forecast, backtest, evidence)
    elif form == "csv":
        text = safe_csv(unit_table(forecast))
    else:
        text = forecast_text(forecast, backtest, evidence)
    sys.stdout.write(text)


def write_forecast_folder(
    fleet: Fleet, out: Path, *, all_pages: bool = False, unit: str | None = None
) -> None:
    """Write the tables of a forecast, its JSON, the fleet's page and pages of units.

    Parameters
    ----------
    fleet : Fleet
        What to say.
    out : Path
        The folder: units.csv, crossings.csv, bounds.csv where evidence was weighed,
        rejected.csv, forecast.json, the samples judged in check.json, intervals in
        interval.json, backtest.csv if past forecasts were tested, report.html, and in
        ``units`` a page for each unit that is unfit, undecided or due.
    all_pages : bool, default False
        Whether every unit gets a page.
    unit : str or None
        The only unit that a page is wanted of: then report.html is it.

    Raises
    ------
    OutputError
        If the folder cannot be written, or holds files of the same names that are not ours.
    UnknownUnitError
        If no sample names the unit.
    """
    forecast, backtest = fleet.forecast, fleet.backtest
    of_units = UnitPages.of(fleet.assessment, forecast.events, Outlooks.of(fleet))
    alone = None if unit is None else of_units.units.find(unit)
    due = set(forecast.units["unit_id"][fleet.due()].astype(str))
    chosen, left_out = choose_pages(of_units, all_pages=all_pages, also=due)
    links = unit_links(of_units, chosen) if alone is None else ()
    texts = {
        "units.csv": safe_csv(unit_table(forecast)),
        "crossings.csv": safe_csv(crossing_table(forecast)),
        "rejected.csv": safe_csv(forecast.readings.rejected),
        "forecast.json": _json(forecast, backtest, fleet.evidence),
    }
    if fleet.evidence is not None:
        texts["bounds.csv"] = safe_csv(evidence_table(forecast, fleet.evidence))
    if backtest is not None:
        texts["backtest.csv"] = safe_csv(case_table(forecast, backtest))
    if fleet.intervals is not None:
        texts["interval.json"] = interval_json(fleet.intervals)
    files = {link.unit_id: link.file for link in links}
    with whole_folder(out, [file.name for file in forecast.readings.files]) as folder:
        if alone is None:
            texts["report.html"] = write_fleet_page(fleet_page(fleet, files, left_out))
        else:
            texts["report.html"] = write_unit_page(of_units.page(alone))
        for name, text in texts.items():
            (folder / name).write_text(text, encoding="utf-8", newline="")
        with (folder / "check.json").open("wb") as file:
            write_check_json(fleet.assessment, file)
        of_units.prepare(chosen)
        write_unit_pages(of_units, links, folder)


def forecast_charts(forecast: Forecast, backtest: Backtest | None) -> Iterator[tuple[str, Chart]]:
    """Give the charts of a forecast, each with the stem of its file."""
    found = (crossing_chart(forecast), None if backtest is None else backtest_chart(backtest))
    yield from ((chart.name, chart) for chart in found if chart is not None)


def _json(forecast: Forecast, backtest: Backtest | None, evidence: BoundEvidence | None) -> str:
    document = forecast_document(forecast, backtest, evidence)
    return json_document(document)
