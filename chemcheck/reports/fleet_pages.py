"""The page of a fleet: who reaches which bound when, what is worst, and what was left out."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from chemcheck.assessment.fleet import Fleet
from chemcheck.assessment.forecast import PERCENTILES
from chemcheck.assessment.interval import Intervals
from chemcheck.assessment.method_offsets import MethodOffsets
from chemcheck.assessment.unit_samples import unit_samples
from chemcheck.judging.record import VERDICT_NAMES
from chemcheck.limit_library import cautions
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import PROBLEM_COLUMNS, QUESTION_COLUMNS, Readings
from chemcheck.reports.backtest_words import backtest_lines
from chemcheck.reports.bound_choice_words import choice_of_bound
from chemcheck.reports.bound_evidence_words import evidence_lines
from chemcheck.reports.check_document import set_words
from chemcheck.reports.document import Section
from chemcheck.reports.fleet_charts import backtest_chart, crossing_chart, reach_words
from chemcheck.reports.fleet_document import FleetLine, FleetPage, RowTable
from chemcheck.reports.forecast_tables import urgency
from chemcheck.reports.forecast_text import remark_lines, summary_sentence, work_to_do
from chemcheck.reports.interval_part import interval_part, lead_sentence
from chemcheck.reports.interval_text import intervals_to_do
from chemcheck.reports.offset_words import OFFSETS, offset_lines
from chemcheck.reports.suggestion_words import suggestion_lines
from chemcheck.reports.worst_margins import worst_margins

# So many rows set aside, and so many questions, are listed on the page.
ROWS = 30


def fleet_page(fleet: Fleet, files: Mapping[str, str], left_out: str = "") -> FleetPage:
    """Return what is said of a fleet that was forecast.

    Parameters
    ----------
    fleet : Fleet
        What was found.
    files : mapping of str to str
        By unit, its page.
    left_out : str
        What is said of units without one.
    """
    forecast, assessment = fleet.forecast, fleet.assessment
    readings = assessment.readings
    units = unit_samples(readings.samples)
    verdicts = assessment.headline.verdict[units.latest]
    verdict_of = {u: VERDICT_NAMES[v] for u, v in zip(units.unit_ids, verdicts, strict=True)}
    sources: dict[str, int] = {}
    lines = tuple(
        _line(fleet, place, files, verdict_of, sources) for place in urgency(forecast).tolist()
    )
    tested = fleet.backtest
    not_known = remark_lines(forecast)
    if fleet.no_intervals_because:
        not_known = [*not_known, f"change intervals: {fleet.no_intervals_because}"]
    return FleetPage(
        title="Fleet page",
        in_use=_in_use(forecast.sets),
        sentence=summary_sentence(forecast),
        notes=tuple(choice_of_bound(forecast)),
        lines=lines,
        left_out=left_out,
        axis=f"{forecast.axis_unit} of the fill",
        crossings=crossing_chart(forecast),
        margins=worst_margins(assessment.headline, units.latest),
        shared=assessment.shared_causes,
        suggestions=tuple(suggestion_lines(forecast)) if len(forecast.suggestions) else (),
        calibration=None if tested is None else backtest_chart(tested),
        calibration_words=() if tested is None else tuple(backtest_lines(forecast, tested)),
        bounds_words=_bounds_words(fleet),
        intervals=None if fleet.intervals is None else interval_part(fleet.intervals),
        rejected=_table(readings.rejected, PROBLEM_COLUMNS[:-1], "rejected.csv lists all"),
        questions=_table(readings.questions, QUESTION_COLUMNS, "check --out lists all"),
        sources=tuple(sources),
        sections=(
            Section("What to do", tuple(work_to_do())),
            *_offsets(forecast.readings, forecast.fits.levelled.offsets),
            Section("Limit sets and versions", tuple(map(set_words, forecast.sets))),
            Section("Assumptions", forecast.assumptions),
            Section("Not forecast, or only roughly", tuple(not_known)),
            Section("Cautions", cautions(forecast.cautions)),
        ),
    )


def interval_page(answer: Intervals) -> FleetPage:
    """Return what is said of a fleet of which only change intervals were asked.

    Parameters
    ----------
    answer : Intervals
        What was found.
    """
    left_out = [f"{what}: {why}" for what, why in answer.remarks.itertuples(index=False)]
    return FleetPage(
        title="Fleet page: change intervals",
        in_use=_in_use(answer.sets),
        sentence=lead_sentence(answer),
        notes=(),
        lines=(),
        left_out="",
        axis=answer.axis_unit,
        crossings=None,
        margins=(),
        shared=(),
        suggestions=(),
        calibration=None,
        calibration_words=(),
        bounds_words=(),
        intervals=interval_part(answer),
        rejected=_table(answer.readings.rejected, PROBLEM_COLUMNS[:-1], "rejected.csv lists all"),
        questions=None,
        sources=(),
        sections=(
            Section("What to do", tuple(intervals_to_do())),
            *_offsets(answer.readings, answer.offsets),
            Section("Limit sets and versions", tuple(map(set_words, answer.sets))),
            Section("Assumptions", answer.assumptions),
            Section("Left out", tuple(left_out)),
            Section("Cautions", cautions(answer.cautions)),
        ),
    )


def _offsets(readings: Readings, offsets: Sequence[MethodOffsets]) -> tuple[Section, ...]:
    lines = offset_lines(readings, offsets)
    return (Section(OFFSETS, tuple(lines)),) if lines else ()


def _bounds_words(fleet: Fleet) -> tuple[str, ...]:
    if fleet.evidence is None or not len(fleet.evidence.bounds):
        return ()
    return tuple(evidence_lines(fleet.forecast, fleet.evidence))


def _in_use(sets: tuple[LimitSet, ...]) -> str:
    return f"Bounds from: {', '.join(f'{one.id} (version {one.version})' for one in sets)}."


def _line(
    fleet: Fleet,
    place: int,
    files: Mapping[str, str],
    verdict_of: Mapping[str, str],
    sources: dict[str, int],
) -> FleetLine:
    forecast = fleet.forecast
    unit = forecast.units.iloc[place]
    unit_id = str(unit["unit_id"])
    reaches, source = "no bound at this rate", ""
    if unit["limiting"] >= 0:
        facing = forecast.analytes.loc[unit["limiting"]]
        reaches = reach_words(forecast, facing)
        said = f"{facing['limit_set']}: {facing['source']} ({facing['evidence']})"
        source = str(sources.setdefault(said, len(sources) + 1))
    if unit["status"] == "outside now":
        reaches += ": beyond it now"
    return FleetLine(
        unit=unit_id,
        file=files.get(unit_id, ""),
        reaches=reaches,
        source=source,
        places=tuple(_place(unit[name]) for name in PERCENTILES),
        change_by=_date(unit["change_by"]),
        next_sample_by=_date(unit["next_sample_by"]),
        verdict=verdict_of.get(unit_id, ""),
        attributes={"data-unit": unit_id}
        | {
            f"data-{name}": repr(float(unit[name]))
            for name in PERCENTILES
            if np.isfinite(unit[name])
        },
    )


def _place(value: float) -> str:
    return f"{value:.0f}" if np.isfinite(value) else "later"


def _date(value: Any) -> str:
    return "" if pd.isna(value) else f"{value:%Y-%m-%d}"


def _table(table: pd.DataFrame, columns: tuple[str, ...], place: str) -> RowTable | None:
    """Return the first rows of a table as text, None where it has none."""
    if not len(table):
        return None
    shown = table[list(columns)].head(ROWS).astype(object)
    shown = shown.where(shown.notna(), "")
    more = len(table) - ROWS
    rows = tuple(tuple(map(str, row)) for row in shown.itertuples(index=False))
    return RowTable(columns, rows, f"And {more:,} more: {place}." if more > 0 else "")
