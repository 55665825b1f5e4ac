"""The charts of a unit's page: its latest readings, and analytes over time or use."""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.judging import Judged
from chemcheck.reports.charts import Chart
from chemcheck.reports.charts.axis_ticks import Axis
from chemcheck.reports.charts.history_chart import History, history_chart
from chemcheck.reports.charts.readings_chart import Row, readings_chart
from chemcheck.reports.document import Document, ResultLine, ResultNumbers
from chemcheck.reports.result_lines import COVERAGE

Rows = npt.NDArray[np.intp]
Floats = npt.NDArray[np.float64]

MOST_ROWS, MOST_HISTORIES, CALM_HISTORIES = 24, 3, 1
MOST_FINDINGS = 30
_WORSE = ("outside", "undecided", "warning")
_METERS = {"hours": "meter [h]", "distance": "odometer [km]", "days": "days"}


def latest_chart(title: str, lines: Sequence[ResultLine], name: str = "readings") -> Chart | None:
    """Return the readings of one sample against their bounds, None where none has a bound.

    Parameters
    ----------
    title : str
        Of the chart.
    lines : sequence of ResultLine
        The worst first.
    name : str
        Of the chart.
    """
    rows = [
        Row(
            line.quantity, line.reading, line.unit, line.state, numbers.lower, numbers.upper,
            COVERAGE * numbers.u, numbers.least, numbers.most,
        )
        for line in lines
        if (numbers := line.numbers) is not None and _can_stand(numbers)
    ]  # fmt: skip
    return readings_chart(name, title, rows[:MOST_ROWS]) if rows else None


def finding_charts(document: Document) -> dict[int, Chart]:
    """Return a chart for each sample that a document tells in full, unless there are many.

    Parameters
    ----------
    document : Document
        With its findings.
    """
    # A list of many is an index: its units have pages with charts of their own.
    if document.overview or len(document.findings) > MOST_FINDINGS:
        return {}
    charts = {
        place: latest_chart(
            f"{one.name}: readings against their bounds", one.lines, f"sample-{place}"
        )
        for place, one in enumerate(document.findings)
    }
    return {place: chart for place, chart in charts.items() if chart is not None}


def _can_stand(numbers: ResultNumbers) -> bool:
    """Return whether a result has a reading and a bound that a scale can hold."""
    known = vocabulary().get(numbers.key)
    if known is not None and known.words:
        return False  # the ranks of words have no distance between them
    bounded = math.isfinite(numbers.least) or math.isfinite(numbers.most)
    return bounded and not math.isnan(numbers.lower)


def history_charts(
    judged: Judged, rows: Rows, lines: Sequence[ResultLine], events: pd.DataFrame | None
) -> tuple[Chart, ...]:
    """Return analytes over time or use: those beyond a bound or near one.

    Parameters
    ----------
    judged : Judged
        All samples.
    rows : ndarray of int, shape (n,)
        Those of the unit, the oldest first.
    lines : sequence of ResultLine
        Of its last sample, the worst first.
    events : DataFrame or None
        What was logged of the unit.
    """
    if rows.size < 2:
        return ()
    axis, place, changes = _axis(judged.readings.samples.iloc[rows], events)
    columns = {(c.analyte, c.basis): k for k, c in enumerate(judged.readings.columns)}
    charts = []
    for line in chosen(lines):
        numbers = line.numbers
        assert numbers is not None  # those chosen have them
        column = columns.get((numbers.key, numbers.basis))
        if column is None:
            continue
        lower, upper = judged.readings.lower[rows, column], judged.readings.upper[rows, column]
        read = ~np.isnan(lower) & ~np.isnan(place)
        if np.count_nonzero(read) < 2:
            continue
        history = History(
            quantity=line.quantity,
            unit=line.unit,
            place=place[read],
            lower=lower[read],
            upper=upper[read],
            reach=COVERAGE * judged.uncertainty[rows, column][read].astype(np.float64),
            least=numbers.least,
            most=numbers.most,
            changes=changes,
        )
        name = f"history-{numbers.key}" + (f"-{numbers.basis}" if numbers.basis else "")
        charts.append(history_chart(name, f"{line.quantity} over {axis.title}", axis, history))
    return tuple(charts)


def chosen(lines: Sequence[ResultLine]) -> list[ResultLine]:
    """Return the results worth a chart of their own: the worst, else those nearest a bound."""
    able = [line for line in lines if line.numbers is not None and _can_stand(line.numbers)]
    worse = [line for line in able if line.state in _WORSE][:MOST_HISTORIES]
    return worse or sorted(able, key=_room)[:CALM_HISTORIES]


def _room(line: ResultLine) -> float:
    """Return how far a reading is from its nearest bound, as a share of that bound."""
    numbers = line.numbers
    if numbers is None:
        return math.inf
    gaps = [
        abs(bound - end) / max(abs(bound), 1e-12)
        for bound, end in ((numbers.least, numbers.lower), (numbers.most, numbers.upper))
        if math.isfinite(bound) and math.isfinite(end)
    ]
    return min(gaps, default=math.inf)


def _axis(samples: pd.DataFrame, events: pd.DataFrame | None) -> tuple[Axis, Floats, Floats]:
    """Return what a unit's samples are placed by: the date, else a meter, else their order."""
    taken = samples["taken_on"]
    logged = None if events is None else events[events["event"].isin(("change", "partial change"))]
    if taken.notna().sum() >= 2:
        changes = _days(logged["date"]) if logged is not None else np.empty(0)
        return Axis("date", dated=True), _days(taken), changes[~np.isnan(changes)]
    for meter, title in _METERS.items():
        values = samples[meter].to_numpy(dtype=np.float64)
        if np.count_nonzero(~np.isnan(values)) >= 2:
            changes = np.empty(0)
            if logged is not None and meter in logged:
                changes = logged[meter].to_numpy(dtype=np.float64)
            return Axis(title), values, changes[~np.isnan(changes)]
    return Axis("sample, in the order of the files"), np.arange(1.0, len(samples) + 1), np.empty(0)


def _days(dates: pd.Series) -> Floats:
    day = dates.to_numpy("datetime64[D]")
    return np.where(np.isnat(day), np.nan, day.astype(np.float64))
