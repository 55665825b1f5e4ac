"""Where the choice of bound is worth more than the statistical band, in words."""

import numpy as np
import pandas as pd

from chemcheck.analytes import analyte
from chemcheck.assessment.forecast import Forecast
from chemcheck.reports.numbers import counted, number
from chemcheck.reports.text_layout import TIED


def choice_of_bound(forecast: Forecast) -> list[str]:
    """Say where sources differ on the bound a unit reaches first by more than its band.

    What lies behind a unit's first bound decides nothing yet; its range is in the document.

    Parameters
    ----------
    forecast : Forecast
        With the crossings repeated at the ends of what sources give.

    Returns
    -------
    list of str
        One line an analyte, side and range; empty where the band is the wider everywhere.
    """
    limiting = np.isin(np.arange(len(forecast.analytes)), forecast.units["limiting"])
    outweighs = forecast.analytes["choice_outweighs"].to_numpy(dtype=bool)
    weighty = forecast.analytes[limiting & outweighs]
    keys = ["column", "side", "limit_set"]
    return [_line(forecast, mine) for _, mine in weighty.groupby(keys, sort=False)]


def _line(forecast: Forecast, mine: pd.DataFrame) -> str:
    first = mine.iloc[0]
    known = analyte(forecast.readings.columns[first["column"]].analyte)
    beyond = "below" if first["side"] == "lower" else "above"
    unit = "" if known.unit == known.title else f"{TIED}{known.unit}"
    # A fraction of fresh differs a little from unit to unit: the middle one stands for all.
    ends = [number(float(mine[f"bound_{end}"].median())) for end in ("low", "high")]
    worth = np.abs(mine["p50_at_high"].to_numpy() - mine["p50_at_low"].to_numpy())
    finite = worth[np.isfinite(worth)]
    amount = (
        f"about {np.median(finite):.0f}{TIED}{forecast.axis_unit}"
        if len(finite)
        else "whether the bound is reached at all"
    )
    return (
        f"{known.title} {beyond} {ends[0]} to {ends[1]}{unit} ({first['limit_set']}, "
        f"{first['evidence']}): decides {amount}, for {counted(len(mine), 'unit')}"
    )
