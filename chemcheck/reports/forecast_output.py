"""A forecast printed, or written as a folder that appears whole or not at all."""

import json
import sys
from pathlib import Path

from chemcheck.assessment.backtest import Backtest
from chemcheck.assessment.bound_evidence import BoundEvidence
from chemcheck.assessment.forecast import Forecast
from chemcheck.reports.backtest_words import case_table
from chemcheck.reports.bound_evidence_words import evidence_table
from chemcheck.reports.forecast_json import forecast_document
from chemcheck.reports.forecast_tables import crossing_table, unit_table
from chemcheck.reports.forecast_text import forecast_text
from chemcheck.reports.safe_tables import safe_csv
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
    forecast: Forecast,
    out: Path,
    backtest: Backtest | None = None,
    evidence: BoundEvidence | None = None,
) -> None:
    """Write the tables of a forecast and forecast.json, and backtest.csv if asked.

    Parameters
    ----------
    forecast : Forecast
        What to say.
    out : Path
        The folder.
    backtest : Backtest or None
        How past forecasts did, where that was asked.
    evidence : BoundEvidence or None
        Whether each bound is right for the fleet.

    Raises
    ------
    OutputError
        If the folder cannot be written, or holds files of the same names that are not ours.
    """
    with whole_folder(out, [file.name for file in forecast.readings.files]) as folder:
        texts = {
            "units.csv": safe_csv(unit_table(forecast)),
            "crossings.csv": safe_csv(crossing_table(forecast)),
            "rejected.csv": safe_csv(forecast.readings.rejected),
            "forecast.json": _json(forecast, backtest, evidence),
        }
        if evidence is not None:
            texts["bounds.csv"] = safe_csv(evidence_table(forecast, evidence))
        if backtest is not None:
            texts["backtest.csv"] = safe_csv(case_table(forecast, backtest))
        for name, text in texts.items():
            (folder / name).write_text(text, encoding="utf-8", newline="")


def _json(forecast: Forecast, backtest: Backtest | None, evidence: BoundEvidence | None) -> str:
    document = forecast_document(forecast, backtest, evidence)
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"
