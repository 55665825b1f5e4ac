"""The charts of a fleet: crossings ranked, calibration, lifetimes and costs."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.backtest import Backtest
from chemcheck.assessment.backtest_scores import MODEL
from chemcheck.assessment.forecast import PERCENTILES, Forecast
from chemcheck.assessment.interval import GroupInterval, Intervals
from chemcheck.planning import turnbull
from chemcheck.planning.fit_plot import fit_plot
from chemcheck.reports.charts import Chart
from chemcheck.reports.charts.axis_ticks import Axis
from chemcheck.reports.charts.calibration_chart import (
    Calibration,
    calibration_chart,
    covered_shares,
)
from chemcheck.reports.charts.cost_chart import cost_chart
from chemcheck.reports.charts.crossings_chart import Crossing, crossings_chart
from chemcheck.reports.charts.lifetime_chart import lifetime_chart
from chemcheck.reports.forecast_tables import urgency
from chemcheck.reports.numbers import number

# So many units stand in one chart, the most urgent first.
RANKED = 30


def crossing_chart(forecast: Forecast) -> Chart | None:
    """Return the most urgent units with the bound each reaches first, None where none does.

    Parameters
    ----------
    forecast : Forecast
        What to show.

    Notes
    -----
    By date: of the bound that the unit is likeliest to pass first.
    """
    rows: list[Crossing] = []
    for place in urgency(forecast).tolist():
        unit = forecast.units.iloc[place]
        if unit["limiting"] < 0 or len(rows) == RANKED or pd.isna(unit["last_sample"]):
            continue
        facing = forecast.analytes.loc[unit["limiting"]]
        rows.append(
            Crossing(
                unit=str(unit["unit_id"]),
                reaches=reach_words(forecast, facing),
                **{name: _place(facing, name) for name in PERCENTILES},
                change_by=_day(unit["change_by"]),
                now=_day(unit["last_sample"]),
                outside=unit["status"] == "outside now",
            )
        )
    if not rows:
        return None
    return crossings_chart("crossings", "Who reaches which bound when", Axis("date", True), rows)


def reach_words(forecast: Forecast, facing: pd.Series) -> str:
    """Name a bound and the side on which it is passed."""
    known = analyte_of(forecast.readings.columns[facing["column"]].analyte)
    beyond = "below" if facing["side"] == "lower" else "above"
    unit = "" if known.unit == known.title else f" {known.unit}"
    return f"{known.title} {beyond} {number(facing['bound'])}{unit}"


def _place(facing: pd.Series, name: str) -> float:
    """Return the day of a percentile; infinite where it lies beyond the horizon."""
    day = _day(facing[f"{name}_date"])
    beyond = np.isnan(day) and not np.isfinite(facing[name])
    return np.inf if beyond else day


def _day(value: Any) -> float:
    """Return a date as days since 1970-01-01, NaN where there is none."""
    day = pd.Series([value], dtype="datetime64[s]").to_numpy("datetime64[D]")
    return float("nan") if np.isnat(day[0]) else float(day.astype(np.int64)[0])


def backtest_chart(backtest: Backtest) -> Chart | None:
    """Return what the bands of past forecasts held, None where none could be scored."""
    if not backtest.scores:
        return None
    cases = backtest.cases
    found = cases["found"].to_numpy(dtype=np.float64)
    covered = {
        way: covered_shares(
            cases[f"{way} mean"].to_numpy() - found, cases[f"{way} deviation"].to_numpy()
        )
        for way in backtest.scores
    }
    known = Calibration(len(cases), covered, backtest.scores[MODEL].coverage)
    return calibration_chart("calibration", "Past forecasts: promised and held", known)


def interval_charts(answer: Intervals) -> Iterator[Chart]:
    """Give of each group the fit of its lifetimes, and the cost of use by change interval."""
    for place, group in enumerate(answer.groups, start=1):
        chart = _lifetimes(answer, group, f"lifetimes-{place}")
        if chart is not None:
            yield chart
        if group.by_cost is not None and np.isfinite(group.by_cost.curve_cost_rate).any():
            yield cost_chart(
                f"cost-{place}",
                f"{group.group}: cost by change interval",
                group.by_cost,
                answer.axis_unit,
            )


def _lifetimes(answer: Intervals, group: GroupInterval, name: str) -> Chart | None:
    if group.choice is None:
        return None
    life = group.choice.lifetime
    estimate = turnbull(group.lower, group.upper)
    if not (np.isfinite(estimate.upper) & (estimate.probability > 0)).any():
        return None
    title = f"{group.group}: how long fills lasted"
    return lifetime_chart(name, title, fit_plot(life, estimate), life, answer.axis_unit)
