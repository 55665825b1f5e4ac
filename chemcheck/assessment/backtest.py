"""Whether past forecasts were right: each later reading foreseen from an earlier day."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.backtest_baselines import BASELINES, baseline_forecasts, in_order
from chemcheck.assessment.backtest_scores import (
    BAND_ENDS,
    COVERAGES,
    MODEL,
    Score,
    high_name,
    low_name,
    score_of,
    scores_by_analyte,
    winning_sentence,
)
from chemcheck.assessment.column_crossings import ColumnFits
from chemcheck.assessment.corrected_bounds import CorrectedBounds
from chemcheck.assessment.forecast import Forecast
from chemcheck.assessment.levelled_fleet import level_fleet
from chemcheck.assessment.method_offsets import MethodOffsets
from chemcheck.assessment.ph_crossing import THROUGH_RESERVE, PhThroughReserve
from chemcheck.assessment.trend_curve import quantiles_of, topped_up
from chemcheck.assessment.trend_ends import trend_ends
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.fills.event_signs import event_signs
from chemcheck.forecasting import FleetTrend
from chemcheck.progress import steps
from chemcheck.readings.record import READ, Readings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

# Days from which is foreseen, as shares of the samples taken by then. Each costs a refit.
ORIGINS = (0.5, 0.75)
# With more of the later readings open at an end, errors cannot be told.
MOST_INTERVALS = 0.2
DOSED = "readings after a later dose: no forecast knows of that"


@dataclass(frozen=True, slots=True)
class Backtest:
    """Forecasts of the past, scored on what came after.

    Parameters
    ----------
    cases : DataFrame
        One row a reading foreseen: ``column``, ``technology``, ``unit_id``, ``origin``, ``age``,
        ``found``, ``spread``, and for each way ``mean`` and ``deviation`` under its name; of the
        model the ends of each band as well, such as ``model low 80`` and ``model high 80``.
    origins : tuple of Timestamp
        Days from which was foreseen.
    scores : mapping of str to Score
        ``model`` and `BASELINES`, on the same cases; empty without cases.
    by_analyte : DataFrame
        ``column``, ``cases``, ``coverage_80``, ``median_absolute_error``, ``best``: in the
        analyte's unit.
    sentence : str
        Whether the model wins.
    remarks : tuple of (str, str)
        What was not scored, and why.
    """

    cases: pd.DataFrame
    origins: tuple[pd.Timestamp, ...]
    scores: Mapping[str, Score]
    by_analyte: pd.DataFrame
    sentence: str
    remarks: tuple[tuple[str, str], ...]


def backtest(forecast: Forecast) -> Backtest:
    """Foresee later readings from earlier days, and score the forecasts.

    On each of a few days only the samples taken by then are fitted; the readings between it and
    the next such day are foreseen, so that none is used to foresee itself, and none twice. The
    model and the plain ways are scored on the same readings.

    Parameters
    ----------
    forecast : Forecast
        What is tested: its readings, log, axis, analytes and technologies.

    Returns
    -------
    Backtest
        Scores, pooled over analytes in spreads of each analyte's readings.

    Notes
    -----
    The interval score of a central band of share 1 - a from l to u is u - l, plus 2 / a times
    what the reading lies beyond an end (Gneiting, T. and Raftery, A. E. (2007), Strictly proper
    scoring rules, prediction, and estimation, J. Am. Stat. Assoc. 102, 359-378, section 6.2, from
    memory).
    """
    rows = forecast.fits.rows
    remarks: list[tuple[str, str]] = []
    days = [(day, until, _fits_by(forecast, rows, day, remarks)) for day, until in _origins(rows)]
    faced = (
        pd.DataFrame(
            {
                "column": forecast.analytes["column"].to_numpy(),
                "technology": forecast.units["technology"].to_numpy(dtype=object)[
                    forecast.analytes["unit"]
                ],
                "buffered": (forecast.analytes["curve"] == THROUGH_RESERVE).to_numpy(),
            }
        )
        .groupby(["column", "technology"], dropna=False, sort=False, as_index=False)
        .any()
    )
    found = [
        case
        for column, kind, buffered in steps(
            list(faced.itertuples(index=False)), "foreseeing the past"
        )
        for case in _cases_of_column(
            forecast.readings,
            rows,
            int(column),
            None if pd.isna(kind) else kind,
            days,
            remarks,
            buffered=buffered,
        )
    ]
    cases = pd.concat(found, ignore_index=True) if found else pd.DataFrame()
    scores = {name: score_of(cases, name) for name in (MODEL, *BASELINES)} if found else {}
    return Backtest(
        cases=cases,
        origins=tuple(pd.Timestamp(day) for day, _, _ in days),
        scores=scores,
        by_analyte=scores_by_analyte(cases),
        sentence=winning_sentence(scores, len(cases)),
        remarks=tuple(dict.fromkeys(remarks)),
    )


def _origins(rows: TrendRows) -> list[tuple[np.datetime64, np.datetime64]]:
    """Return the days from which is foreseen, each with the day until which."""
    dates = np.sort(rows.dates[rows.usable & ~np.isnat(rows.dates)])
    if not dates.size:
        return []
    days = np.unique([dates[int(share * (dates.size - 1))] for share in ORIGINS])
    days = days[days < dates[-1]]
    return list(zip(days, [*days[1:], dates[-1]][: len(days)], strict=True))


def _fits_by(
    forecast: Forecast, rows: TrendRows, day: np.datetime64, remarks: list[tuple[str, str]]
) -> ColumnFits:
    """Return the trends of the samples taken by a day, as they are asked for."""
    by_then = replace(rows, usable=rows.usable & (rows.dates <= day))
    levelled = level_fleet(forecast.readings, rows, forecast.sets, by_then.usable, forecast.tracer)
    return ColumnFits(levelled, by_then, forecast.settings, remarks, f", up to {day}")


def _cases_of_column(
    readings: Readings,
    rows: TrendRows,
    column: int,
    kind: str | None,
    days: list[tuple[np.datetime64, np.datetime64, ColumnFits]],
    remarks: list[tuple[str, str]],
    *,
    buffered: bool,
) -> Iterator[pd.DataFrame]:
    """Foresee the readings of one analyte in one technology from each day."""
    fills = rows.fills
    same = rows.of_technology(kind)
    pooled = rows.usable & (readings.status[:, column] == READ) & same & ~np.isnat(rows.dates)
    name = f"{readings.columns[column].analyte}, technology {kind or 'unknown'}"
    lower, upper = (np.full(len(pooled), np.nan) for _ in range(2))
    lower[pooled], upper[pooled] = trend_ends(readings, column, pooled)
    exact = pooled & (lower == upper)
    spread = float(np.std(lower[exact])) if exact.any() else 0.0
    for day, until, fits in days:
        known = pooled & (rows.dates <= day)
        later = pooled & (rows.dates > day) & (rows.dates <= until)
        later &= np.isin(fills.group, fills.group[known])
        last = _last_known(rows, known)[fills.group]
        if readings.columns[column].analyte in event_signs().dosed:
            dosed = later & (rows.topped.doses != rows.topped.doses[last])
            later &= ~dosed
            if dosed.any():
                remarks.append((f"{name}, {dosed.sum()} after {day}", DOSED))
        if not later.any() or spread == 0.0:
            continue
        if (later & ~exact).sum() > MOST_INTERVALS * later.sum():
            remarks.append((name, "too many of its later readings are non-detects or strip pads"))
            continue
        later &= exact
        trend = fits.trend(column, kind, known)
        if trend is None:
            continue
        group, age = fills.group[later], rows.usage.age[later]
        through = fits.through_reserve(column, kind, "lower") if buffered else None
        own = _foresee(fits, trend, through, (column, last[later], age))
        offsets = fits.levelled.offsets_of(column, kind)
        if offsets is not None:
            own = _as_measured(own, offsets, later)
        foreseen = {MODEL: (own.pop("mean"), own.pop("deviation"))}
        labels, code = np.unique(fills.group[known], return_inverse=True)
        middle = np.where(np.isfinite(upper), (lower + upper) / 2, lower)[known]
        seen = in_order(code, rows.usage.age[known], middle)
        foreseen |= baseline_forecasts(seen, np.searchsorted(labels, group), age)
        case: dict[str, object] = {
            "column": column,
            "technology": kind,
            "unit_id": fills.unit_ids.to_numpy(dtype=object)[fills.unit[later]],
            "origin": day,
            "age": age,
            "found": lower[later],
            "spread": spread,
        }
        case |= {f"{MODEL} {end}": values for end, values in own.items()}
        for way, (mean, deviation) in foreseen.items():
            case[f"{way} mean"], case[f"{way} deviation"] = mean, deviation
        yield pd.DataFrame(case)


def _last_known(rows: TrendRows, known: Bools) -> npt.NDArray[np.int64]:
    """Return the last known sample of each fill; -1 where there is none."""
    answer = np.full(len(rows.technology) + 1, -1, dtype=np.int64)
    here = np.flatnonzero(known)
    here = here[np.argsort(rows.usage.age[here], kind="stable")]
    answer[rows.fills.group[here]] = here
    return answer


def _foresee(
    fits: ColumnFits,
    trend: FleetTrend,
    through: tuple[PhThroughReserve, FleetTrend] | None,
    place: tuple[int, npt.NDArray[np.int64], Floats],
) -> dict[str, Floats]:
    """Foresee readings of a column from fills' last samples, as a forecast does.

    The dilution goes on as it did, and pH follows its reserve where that is known.
    """
    column, last, age = place
    group = fits.rows.fills.group[last]
    mean, deviation = trend.predict(age[:, None], groups=group, return_std=True)
    corrected = CorrectedBounds.of(fits.readings, fits.rows, fits.dilution, column, last, mean)
    factor, spread = corrected.moved_at(age)
    foreseen: dict[str, Floats] = {
        "mean": factor * mean,
        "deviation": factor * np.sqrt(deviation**2 + mean**2 * spread),
    }
    drawn = topped_up(trend.draw(age[:, None], group), factor, spread)
    ends = quantiles_of(drawn, BAND_ENDS)
    if through is not None:
        buffer, reserve = through
        known = np.isin(group, reserve.groups_)
        through_reserve = buffer.readings_at(reserve, group[known], age[known])
        ends[:, known] = quantiles_of(through_reserve, BAND_ENDS)
        foreseen["mean"][known] = np.median(through_reserve, axis=1)
        foreseen["deviation"][known] = through_reserve.std(axis=1)
    for k, share in enumerate(COVERAGES):
        foreseen[low_name(share)], foreseen[high_name(share)] = ends[2 * k], ends[2 * k + 1]
    return foreseen


def _as_measured(
    foreseen: dict[str, Floats], offsets: MethodOffsets, rows: Bools
) -> dict[str, Floats]:
    """Turn values foreseen at the fleet's level into readings of those who measured."""
    mean, deviation = offsets.reading_back(rows, foreseen["mean"], foreseen["deviation"])
    wider = deviation / foreseen["deviation"]
    return {
        name: mean + wider * (values - foreseen["mean"]) for name, values in foreseen.items()
    } | {"mean": mean, "deviation": deviation}
