"""What a unit's page says of what is ahead: each bound, when it is reached, and pictures."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.fleet import Fleet
from chemcheck.assessment.forecast import PERCENTILES
from chemcheck.assessment.trend_curve import trend_curve
from chemcheck.judging.record import Judged
from chemcheck.reports.charts import Chart
from chemcheck.reports.charts.axis_ticks import Axis
from chemcheck.reports.charts.history_chart import History, history_chart, last_place
from chemcheck.reports.numbers import number
from chemcheck.reports.result_lines import COVERAGE
from chemcheck.reports.unit_document import CrossingLine, Outlook

# So many bounds are drawn, the earliest first.
DRAWN = 2
KEY = (
    "The grey line is the fitted curve; the value lies in the grey band with a chance of 80 %. "
    "The bound is passed at the dotted line as likely before as after, and within the blue band "
    "with a chance of 80 %."
)
LEVELLED = (
    " Readings are drawn at the level of the method and laboratory with most of them: what others "
    "read apart is taken off."
)


@dataclass(frozen=True, slots=True)
class Outlooks:
    """The outlook of each unit of a fleet.

    Parameters
    ----------
    fleet : Fleet
        All units.
    unit : mapping of str to int
        Position among the forecast's units, by id.
    faced : mapping of int to DataFrame
        The bounds that a unit faces, by that position.
    """

    fleet: Fleet
    unit: Mapping[str, int]
    faced: Mapping[Any, pd.DataFrame]

    @classmethod
    def of(cls, fleet: Fleet) -> "Outlooks":
        """Sort a fleet's bounds by unit."""
        ids = fleet.forecast.units["unit_id"]
        return cls(
            fleet,
            {str(unit): place for place, unit in enumerate(ids)},
            dict(list(fleet.forecast.analytes.groupby("unit"))),
        )

    def page_part(self, unit_id: str) -> Outlook | None:
        """Return what is said of one unit, None where nothing is forecast of it."""
        place = self.unit.get(unit_id)
        if place is None:
            return None
        forecast = self.fleet.forecast
        unit = forecast.units.iloc[place]
        faced = self.faced.get(place, forecast.analytes.iloc[:0]).sort_values("p50")
        return Outlook(
            sentence=self._sentence(unit),
            axis=f"{forecast.axis_unit} of the fill",
            lines=tuple(self._line(row) for _, row in faced.iterrows()),
            charts=tuple(self._charts(place, faced)),
            key=KEY + (LEVELLED if forecast.fits.levelled.offsets else ""),
        )

    def _sentence(self, unit: pd.Series) -> str:
        risk = number(100 * self.fleet.forecast.settings.risk)
        if unit["status"] == "outside now":
            said = "Beyond a bound now."
        elif pd.isna(unit["change_by"]):
            said = "No bound is reached at the present rate, as far as can be foreseen."
        else:
            said = (
                f"Change by {unit['change_by']:%Y-%m-%d}, when the chance of having passed a "
                f"bound is {risk} %."
            )
        if pd.notna(unit["next_sample_by"]):
            said += f" Sample again by {unit['next_sample_by']:%Y-%m-%d}."
        return said

    def _line(self, row: pd.Series) -> CrossingLine:
        forecast = self.fleet.forecast
        known = analyte_of(forecast.readings.columns[row["column"]].analyte)
        numbers = {name: row[name] for name in ("bound", *PERCENTILES)}
        return CrossingLine(
            quantity=known.title,
            bound=f"{'at least' if row['side'] == 'lower' else 'at most'} {number(row['bound'])}",
            unit="" if known.unit == known.title else known.unit,
            places=tuple(_place_words(row[name]) for name in PERCENTILES),
            date="" if pd.isna(row["p50_date"]) else f"{row['p50_date']:%Y-%m-%d}",
            status=row["status"],
            source=f"{row['limit_set']}: {row['source']} ({row['evidence']})",
            attributes={"data-analyte": known.key, "data-side": row["side"]}
            | {f"data-{k}": repr(float(v)) for k, v in numbers.items() if np.isfinite(v)},
        )

    def _charts(self, place: int, faced: pd.DataFrame) -> Iterator[Chart]:
        """Draw the bounds that are reached first, over the present fill."""
        fleet = self.fleet
        judged, rows = fleet.assessment.headline, fleet.forecast.fits.rows
        last = rows.last_of_present_fill[place]
        same = rows.usable & (rows.fills.group == rows.fills.group[last])
        mine = np.flatnonzero(same)
        mine = mine[np.argsort(rows.usage.age[mine], kind="stable")]
        axis = Axis(f"use of the fill [{fleet.forecast.axis_unit}]")
        drawn = 0
        for _, row in faced.iterrows():
            column = int(row["column"])
            read = mine[~np.isnan(judged.readings.lower[mine, column])]
            if read.size < 2 or drawn == DRAWN:
                continue
            drawn += 1
            yield self._chart(judged, rows.usage.age[read], read, row, axis)

    def _chart(
        self,
        judged: Judged,
        age: npt.NDArray[np.float64],
        read: npt.NDArray[np.int64],
        row: pd.Series,
        axis: Axis,
    ) -> Chart:
        column = int(row["column"])
        known = analyte_of(judged.readings.columns[column].analyte)
        ends = (row["bound"], np.nan) if row["side"] == "lower" else (np.nan, row["bound"])
        outside = row["status"] == "outside now"
        crossing = None if outside else (row["p10"], row["p50"], row["p90"])
        until = last_place(age, np.empty(0), crossing)
        fits = self.fleet.forecast.fits
        apart = any(one.column == column for one in fits.levelled.offsets)
        shown = fits.readings if apart else judged.readings
        history = History(
            quantity=known.title,
            unit="" if known.unit == known.title else known.unit,
            place=age,
            lower=shown.lower[read, column],
            upper=shown.upper[read, column],
            reach=COVERAGE * judged.uncertainty[read, column].astype(np.float64),
            least=ends[0],
            most=ends[1],
            changes=np.empty(0),
            crossing=crossing,
            trend=trend_curve(fits, int(row["unit"]), column, row["side"], row["bound"], until),
        )
        name = f"ahead-{known.key}-{row['side']}"
        return history_chart(name, f"{known.title}: when the bound is reached", axis, history)


def _place_words(value: float) -> str:
    return f"{value:.0f}" if np.isfinite(value) else "later"
