"""A forecast as two tables: the units, and each bound that a unit faces."""

import numpy as np
import pandas as pd

from chemcheck.analytes import analyte
from chemcheck.assessment.forecast import PERCENTILES, Forecast


def unit_table(forecast: Forecast) -> pd.DataFrame:
    """Return one row a unit, the most urgent first.

    Parameters
    ----------
    forecast : Forecast
        What to say.

    Returns
    -------
    DataFrame
        ``p10`` to ``p90`` of passing any bound on the axis since the fill; empty beyond
        the horizon.
    """
    units = forecast.units
    limiting = units["limiting"].to_numpy()
    names = np.append(crossing_table(forecast)["analyte"].to_numpy(dtype=object), [None])
    table = units.drop(columns=["limiting", "last_axis", "origin_logged", "rate_own"])
    table = table.rename(columns={"rate": f"{forecast.axis}_per_day"})
    table.insert(5, "limiting_analyte", names[limiting])
    table[list(PERCENTILES)] = table[list(PERCENTILES)].replace(np.inf, np.nan)
    return table.iloc[urgency(forecast)].reset_index(drop=True)


def crossing_table(forecast: Forecast) -> pd.DataFrame:
    """Return one row a unit, analyte and action bound.

    Parameters
    ----------
    forecast : Forecast
        What to say.

    Returns
    -------
    DataFrame
        In the order of the units, then of the columns of the readings.
    """
    columns = [forecast.readings.columns[k] for k in forecast.analytes["column"]]
    table = forecast.analytes.drop(columns=["column", "consequence"])
    table["unit"] = forecast.units["unit_id"].to_numpy(dtype=object)[table["unit"]]
    table = table.rename(columns={"unit": "unit_id"})
    for place, (name, values) in enumerate(
        {
            "analyte": [column.analyte for column in columns],
            "basis": [column.basis for column in columns],
            "unit": [analyte(column.analyte).unit for column in columns],
        }.items()
    ):
        table.insert(1 + place, name, values)
    table[list(PERCENTILES)] = table[list(PERCENTILES)].replace(np.inf, np.nan)
    first = ["unit_id", "analyte", "basis", "side", "bound", "unit", "status", *PERCENTILES]
    return table[[*first, *(name for name in table.columns if name not in first)]]


def urgency(forecast: Forecast) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Return the order of the units: beyond a bound now, then by change date, then by median."""
    units = forecast.units
    change_by = units["change_by"].to_numpy("datetime64[D]").astype(np.int64)
    change_by = np.where(units["change_by"].isna(), np.iinfo(np.int64).max, change_by)
    now = (units["status"] != "outside now").to_numpy()
    return np.lexsort((units["p50"].to_numpy(), change_by, now))
