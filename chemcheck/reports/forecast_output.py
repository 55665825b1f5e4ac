"""A forecast printed, or written as a folder that appears whole or not at all."""

import json
import sys
from pathlib import Path

import pandas as pd
import pyarrow as pa

from chemcheck.assessment.forecast import Forecast
from chemcheck.reports.forecast_json import forecast_document
from chemcheck.reports.forecast_tables import crossing_table, unit_table
from chemcheck.reports.forecast_text import forecast_text
from chemcheck.reports.spreadsheet_safe import without_formulas
from chemcheck.reports.whole_files import whole_folder


def print_forecast(forecast: Forecast, form: str) -> None:
    """Print a forecast.

    Parameters
    ----------
    forecast : Forecast
        What to say.
    form : {"text", "json", "csv"}
        As CSV a row for every unit.
    """
    if form == "json":
        text = _json(forecast)
    elif form == "csv":
        text = _csv(unit_table(forecast))
    else:
        text = forecast_text(forecast)
    sys.stdout.write(text)


def write_forecast_folder(forecast: Forecast, out: Path) -> None:
    """Write units.csv, crossings.csv, rejected.csv and forecast.json.

    Parameters
    ----------
    forecast : Forecast
        What to say.
    out : Path
        The folder.

    Raises
    ------
    OutputError
        If the folder cannot be written, or holds files of the same names that are not ours.
    """
    with whole_folder(out, [file.name for file in forecast.readings.files]) as folder:
        for name, text in (
            ("units.csv", _csv(unit_table(forecast))),
            ("crossings.csv", _csv(crossing_table(forecast))),
            ("rejected.csv", _csv(forecast.readings.rejected)),
            ("forecast.json", _json(forecast)),
        ):
            (folder / name).write_text(text, encoding="utf-8", newline="")


def _json(forecast: Forecast) -> str:
    return json.dumps(forecast_document(forecast), ensure_ascii=False, indent=1) + "\n"


def _csv(table: pd.DataFrame) -> str:
    """Write a table so that no text of it becomes a formula in a spreadsheet."""
    safe = table.copy()
    for name in table.columns:
        if not pd.api.types.is_numeric_dtype(table[name]) and not pd.api.types.is_datetime64_dtype(
            table[name]
        ):
            texts = pa.array(table[name].astype("str"), type=pa.large_string(), from_pandas=True)
            safe[name] = without_formulas(texts).to_pandas()
    return safe.to_csv(index=False, lineterminator="\n", date_format="%Y-%m-%d")
