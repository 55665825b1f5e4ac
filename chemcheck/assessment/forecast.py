"""When each unit's coolant reaches which bound."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.bound_ranges import choice_outweighs, range_table
from chemcheck.assessment.column_crossings import SIDES, ColumnFits, names_of, probabilities_of
from chemcheck.assessment.crossing_dates import (
    dates_of,
    earliest,
    first_of_all,
    next_sample,
)
from chemcheck.assessment.dilution import Dilution
from chemcheck.assessment.forecast_assumptions import forecast_assumptions, said_once
from chemcheck.assessment.forecast_settings import ForecastSettings
from chemcheck.assessment.levelled_fleet import level_fleet
from chemcheck.assessment.odd_samples import held_out, odd_samples, samples_asked_about
from chemcheck.assessment.set_choices import default_choice, named_choices
from chemcheck.assessment.suggested_events import accept_events, suggest_events
from chemcheck.assessment.trend_rows import TrendRows, trend_rows
from chemcheck.errors import NotEnoughDataError, not_one_of
from chemcheck.fills import AXES
from chemcheck.fills.event_order import all_events
from chemcheck.fills.history_checks import check_histories
from chemcheck.history.record import Events
from chemcheck.judging.bound_tables import column_tables
from chemcheck.judging.record import BoundInForce
from chemcheck.judging.strata import stratify
from chemcheck.limit_library.records import LimitSet
from chemcheck.progress import steps
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]

PERCENTILES = {"p10": 0.1, "p50": 0.5, "p90": 0.9}


@dataclass(frozen=True, slots=True)
class Forecast:
    """When each unit reaches which bound.

    Parameters
    ----------
    axis, axis_unit : str
        What crossings are counted in, since the fill began.
    settings : ForecastSettings
        Risk, lead time and the other choices.
    units : DataFrame
        One row a unit with a sample of its present fill: ``unit_id``, ``fill``,
        ``technology``, ``samples_used``, ``last_sample``, ``last_axis``,
        ``origin_logged``, ``rate`` [axis per day], ``rate_own``, ``status``,
        ``diluted_by`` (what tells the dilution, empty where nothing does), ``left`` (share of the
        coolant left by top-ups with water), ``limiting`` (row of ``analytes``, -1 where none),
        ``p10``, ``p50``, ``p90`` of
        passing any bound [axis since the fill], ``change_by``, ``next_sample_by``.
    analytes : DataFrame
        One row a unit, analyte and action bound: ``unit`` (row of ``units``), ``column``
        (of the readings), ``bound``, ``side``, ``limit_set``, ``source``, ``evidence``,
        ``status``, ``slope`` [unit of the analyte per axis], ``slope_undiluted``, what it would
        be without top-ups, ``probability_outside_now``,
        ``p10``, ``p50``, ``p90`` [axis since the fill] and their dates, ``curve``,
        ``curve_share``, how likely it is, and ``other_curve``, over which the forecast is
        averaged, too, where that is likely; ``errors``; ``bound_low``, ``bound_high``: what
        sources give for the bound (NaN where they agree), ``p50_at_low``, ``p50_at_high``: the
        median there, and ``choice_outweighs``: whether that choice is worth more than the band
        of p10 to p90.
    remarks : DataFrame
        ``what``, ``reason``: what could not be forecast, or only roughly, a line each.
    suggestions : DataFrame
        Events that nobody logged, as `suggest_events` gives them.
    accepted : bool
        Whether they were taken as logged, and the odd samples were held out.
    tracer : str or None
        The inert analyte that premix was told by.
    held_out : ndarray of bool, shape (n_samples,)
        Samples left out: as asked, and the odd ones where suggestions were accepted.
    odd_samples : DataFrame
        Samples that may not belong to their unit, as `odd_samples` gives them.
    odd_readings : DataFrame
        Questions about single readings that their unit's own history does not bear out: a factor,
        a shifted decimal point, another's place.
    fits : ColumnFits
        The trends that it rests on.
    readings : Readings
        What it rests on.
    events : Events or None
        The log it rests on, with the suggestions where they were accepted.
    sets : tuple of LimitSet
        Where the bounds come from.
    cautions : tuple of str
        Keys of the cautions to show.
    assumptions : tuple of str
        What was taken for granted.
    """

    axis: str
    axis_unit: str
    settings: ForecastSettings
    units: pd.DataFrame
    analytes: pd.DataFrame
    remarks: pd.DataFrame
    suggestions: pd.DataFrame
    accepted: bool
    tracer: str | None
    held_out: npt.NDArray[np.bool_]
    odd_samples: pd.DataFrame
    odd_readings: pd.DataFrame
    fits: ColumnFits
    readings: Readings
    events: Events | None
    sets: tuple[LimitSet, ...]
    cautions: tuple[str, ...]
    assumptions: tuple[str, ...]


def forecast(
    readings: Readings,
    events: Events | None = None,
    *,
    limits: Sequence[str] | None = None,
    technology: str | None = None,
    axis: str | None = None,
    settings: ForecastSettings | None = None,
    accept_suggestions: bool = False,
    tracer: str | None = None,
    hold_out: Sequence[str] = (),
) -> Forecast:
    """Forecast when each unit's present fill reaches each action bound.

    All fills of one technology are fitted together, one analyte at a time, so that a unit
    with few samples borrows the rate of the others. Rates are those of readings corrected for
    dilution by top-ups; a bound is passed by the reading itself, the dilution going on as it
    did. Only the present fill of a unit is forecast.

    Parameters
    ----------
    readings : Readings
        The samples of a fleet over time.
    events : Events or None
        Logged changes, top-ups and meter resets.
    limits : sequence of str or None
        Limit sets, by id or file; the default set of each technology otherwise.
    technology : str or None
        Technology of the samples that state none.
    axis : {"hours", "distance", "days"} or None
        What to count in; hours if any sample has them, else distance, else days.
    settings : ForecastSettings or None
        Risk, lead time and the other choices; those of the library otherwise.
    accept_suggestions : bool, default False
        Whether events that the readings suggest count as logged, and samples that do not look
        like their unit are left out.
    tracer : str or None
        An inert analyte that no top-up brings, to tell premix from water by.
    hold_out : sequence of str
        Samples to leave out: rows as a spreadsheet numbers them, or FILE:ROW.

    Returns
    -------
    Forecast
        Units in the order of their names.

    Raises
    ------
    NotEnoughDataError
        If no unit has a sample that can be placed on the axis, or nothing was read of the tracer.
    ValueError
        If the axis is none of the three.
    """
    settings = settings or ForecastSettings.from_library()
    if axis is not None and axis not in AXES:
        raise ValueError(not_one_of(axis, AXES, "axis"))
    suggestions = suggest_events(readings, events)
    if accept_suggestions:
        events = accept_events(readings, events, suggestions)
    left_out = held_out(readings.samples, hold_out)
    rows = trend_rows(readings, events, axis, technology, left_out)
    if tracer is not None and not any(c.analyte == tracer for c in readings.columns):
        names = ", ".join(sorted({column.analyte for column in readings.columns}))
        problem = f"tracer {tracer!r}: nothing was read of it; expected one of: {names}"
        raise NotEnoughDataError(problem)
    if limits:
        choice = named_choices(readings.samples, limits)[0]
        assumptions: tuple[str, ...] = ()
    else:
        choice, assumptions = default_choice(readings.samples)
    levelled = level_fleet(readings, rows, choice.sets, tracer=tracer)
    odd = odd_samples(levelled.readings, rows, levelled.dilution)
    if accept_suggestions and len(odd):
        left_out |= samples_asked_about(odd, len(left_out))
        rows = trend_rows(readings, events, axis, technology, left_out)
        levelled = level_fleet(readings, rows, choice.sets, tracer=tracer)
    dilution = levelled.dilution
    of_present = rows.last_of_present_fill
    strata = stratify(
        readings.samples.iloc[of_present], choice.sets, choice.set_of_sample[of_present]
    )
    bounds: list[BoundInForce] = []
    tables = column_tables(readings.columns, choice.sets, strata.kinds, bounds)
    remarks: list[tuple[str, str]] = []
    fits = ColumnFits(levelled, rows, settings, remarks)
    faced = [
        piece
        for column, table in steps(list(enumerate(tables)), "fitting trends")
        for piece in fits.crossings(
            column,
            table,
            strata.code,
            tuple(
                range_table(readings.columns[column], choice.sets, strata.kinds, role)
                for role in SIDES
            ),
        )
    ]
    if not faced:
        why = said_once(remarks) or "no bound applies"
        if not rows.has_two_in_a_fill():
            why = f"no fill was sampled twice apart in {rows.usage.axis}; a rate takes two samples"
        problem = f"nothing can be forecast: {why}"
        raise NotEnoughDataError(problem)
    analytes = pd.concat(faced, ignore_index=True).sort_values(
        ["unit", "column", "side"], kind="stable", ignore_index=True
    )
    analytes["choice_outweighs"] = choice_outweighs(analytes)
    described = pd.DataFrame(bounds).iloc[analytes["in_force"]].reset_index(drop=True)
    analytes = analytes.join(described[["limit_set", "consequence", "source", "evidence"]])
    units = _units(rows, dilution, analytes, settings)
    histories = check_histories(readings, all_events(readings, events))
    return Forecast(
        axis=rows.usage.axis,
        axis_unit=AXES[rows.usage.axis],
        settings=settings,
        units=units,
        analytes=_dated(analytes, units, settings),
        remarks=pd.DataFrame(
            [*rows.set_aside, *dilution.remarks, *remarks], columns=["what", "reason"]
        ),
        suggestions=suggestions,
        accepted=accept_suggestions,
        tracer=tracer,
        held_out=left_out,
        odd_samples=odd,
        odd_readings=_still_used(histories.of_readings, readings.samples[left_out]),
        fits=fits,
        readings=readings,
        events=events,
        sets=choice.sets,
        cautions=tuple(dict.fromkeys(key for each in choice.sets for key in each.cautions)),
        assumptions=(
            *assumptions,
            *forecast_assumptions(levelled, rows, units),
            *filter(None, (histories.note,)),
        ),
    )


def _still_used(asked: pd.DataFrame, left_out: pd.DataFrame) -> pd.DataFrame:
    """Leave out questions about samples that are left out."""
    gone = pd.MultiIndex.from_frame(left_out[["file", "row"]])
    kept = ~pd.MultiIndex.from_frame(asked[["file", "row"]]).isin(gone)
    return asked[kept].reset_index(drop=True)


def _units(
    rows: TrendRows, dilution: Dilution, analytes: pd.DataFrame, settings: ForecastSettings
) -> pd.DataFrame:
    """Put the crossings of each unit together."""
    last, fills, usage = rows.last_of_present_fill, rows.fills, rows.usage
    unit, group = fills.unit[last], fills.group[last]
    units = pd.DataFrame(
        {
            "unit_id": fills.unit_ids[unit],
            "fill": fills.number[last],
            "technology": rows.technology[group],
            "samples_used": np.bincount(fills.group[rows.usable])[group],
            "last_sample": rows.dates[last],
            "last_axis": usage.age[last],
            "origin_logged": usage.origin_logged[last],
            "rate": usage.rate[unit],
            "rate_own": usage.rate_own[unit],
            "diluted_by": dilution.reference[group],
            "left": np.exp(dilution.log_left[last]),
        }
    )
    faced, code = np.unique(analytes["unit"], return_inverse=True)
    wanted = np.array([*PERCENTILES.values(), settings.risk])
    probabilities = np.array(probabilities_of(settings))
    joint = np.full((len(units), len(wanted)), np.inf)
    joint[faced] = first_of_all(
        code,
        units["last_axis"].to_numpy()[analytes["unit"]],
        analytes["probability_outside_now"].to_numpy(),
        analytes[names_of(probabilities)].to_numpy(),
        probabilities,
        wanted,
    )
    units[list(PERCENTILES)] = joint[:, :-1]
    limiting = np.full(len(units), -1)
    limiting[faced] = earliest(code, analytes)
    units["limiting"] = limiting
    units["status"] = np.where(
        limiting >= 0, analytes["status"].to_numpy(dtype=object)[limiting], "not at this rate"
    )
    units.loc[~np.isin(np.arange(len(units)), faced), "status"] = "no bound"
    day = rows.dates[last]
    change_by = dates_of(
        np.maximum(joint[:, -1], units["last_axis"]),
        units["last_axis"].to_numpy(),
        day,
        units["rate"].to_numpy(),
        settings.horizon,
    )
    units["change_by"] = change_by
    units["next_sample_by"] = next_sample(
        day, change_by, settings.lead_time, settings.samples_before_change, settings.longest_gap
    )
    return units


def _dated(analytes: pd.DataFrame, units: pd.DataFrame, settings: ForecastSettings) -> pd.DataFrame:
    """Add the dates of the crossings, and keep of the quantiles those that are shown."""
    unit = units.iloc[analytes["unit"]]
    for name in PERCENTILES:
        analytes[f"{name}_date"] = dates_of(
            analytes[name].to_numpy(),
            unit["last_axis"].to_numpy(),
            unit["last_sample"].to_numpy(dtype="datetime64[D]"),
            unit["rate"].to_numpy(),
            settings.horizon,
        )
    kept = {*PERCENTILES, *(f"{name}_date" for name in PERCENTILES)}
    hidden = [name for name in names_of(probabilities_of(settings)) if name not in kept]
    return analytes.drop(columns=[*hidden, "in_force"])
