"""Steps from each sample of a fill to its next, where nothing was logged between."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.event_order import as_number, events_before
from chemcheck.fills.event_signs import EventSigns
from chemcheck.fills.fill_numbers import Fills
from chemcheck.fills.fresh_fill import fresh_fill_rows
from chemcheck.readings.record import READ, Readings

Floats = npt.NDArray[np.float64]
# 1.4826 median absolute deviations are one standard deviation of a normal distribution.
NORMAL_MAD = 1.4826


@dataclass(frozen=True, slots=True)
class FillSteps:
    """Steps between neighbouring samples of a fill, as logarithms of readings.

    Parameters
    ----------
    before, after : ndarray of int64, shape (m,)
        The two samples.
    analytes : tuple of str
        One a column.
    level : ndarray, shape (m, k)
        Logarithm of the reading before; NaN where there is none that is exact.
    low, high : ndarray, shape (m, k)
        Logarithms of the ends of the reading after.
    fresh : ndarray, shape (m, k)
        Reading of the fresh fill [canonical unit]; 0 for what only use brings, NaN unknown.
    drift, spread : ndarray, shape (m, k)
        Usual step of the analyte in this technology, and its robust standard deviation.
    """

    before: npt.NDArray[np.int64]
    after: npt.NDArray[np.int64]
    analytes: tuple[str, ...]
    level: Floats
    low: Floats
    high: Floats
    fresh: Floats
    drift: Floats
    spread: Floats

    @property
    def usable(self) -> npt.NDArray[np.bool_]:
        """Where both readings are there, shape (m, k)."""
        return np.asarray(np.isfinite(self.level) & ~np.isnan(self.high))


def fill_steps(
    readings: Readings, fills: Fills, events: pd.DataFrame | None, signs: EventSigns
) -> FillSteps:
    """Gather the steps of every fill between which nothing was logged.

    Parameters
    ----------
    readings : Readings
        The samples.
    fills : Fills
        Of the same samples.
    events : DataFrame or None
        The log.
    signs : EventSigns
        Which analytes are looked at.

    Returns
    -------
    FillSteps
        In order of fill and time.
    """
    columns: dict[str, int] = {}
    for place, column in enumerate(readings.columns):
        if column.analyte in signs.initial | signs.worn:
            columns.setdefault(column.analyte, place)
    before, after = _pairs(readings.samples, fills, events)
    kept = list(columns.values())
    lower, upper, status = (
        table[:, kept] for table in (readings.lower, readings.upper, readings.status)
    )
    factor = readings.shared_factor[:, kept]
    upper = np.where(status == READ, upper / factor, np.nan)
    lower = np.where(status == READ, np.minimum(lower, upper), np.nan)
    exact = np.isclose(lower, upper, rtol=1e-6, atol=0.0) & (upper > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        low, high = np.log(lower), np.log(upper)
    level = np.where(exact, high, np.nan)[before]
    step = np.where(exact[after], high[after] - level, np.nan)
    drift, spread = _usual(step, readings.samples["technology"].iloc[after], signs)
    worn = np.array([name in signs.worn for name in columns], dtype=np.bool_)
    reference = _references(readings.samples, fills, before)
    fresh = np.where(exact[reference], upper[reference], np.nan)
    return FillSteps(
        before=before,
        after=after,
        analytes=tuple(columns),
        level=level,
        low=low[after],
        high=high[after],
        fresh=np.where(worn, 0.0, fresh),
        drift=drift,
        spread=spread,
    )


def _pairs(
    samples: pd.DataFrame, fills: Fills, events: pd.DataFrame | None
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Return neighbouring samples of a fill, by date, then hours, then distance."""
    coolant = (samples["material"] == "coolant").to_numpy()
    places = np.column_stack([as_number(samples[k]) for k in ("taken_on", "hours", "distance")])
    routine = samples["sample_type"].isin(("routine", "fresh fill")).to_numpy()
    here = np.flatnonzero(coolant & routine & (fills.group >= 0) & ~np.isnan(places).all(axis=1))
    keys = np.nan_to_num(places[here])
    order = here[np.lexsort((keys[:, 2], keys[:, 1], keys[:, 0], fills.group[here]))]
    pair = fills.group[order[1:]] == fills.group[order[:-1]]
    before, after = order[:-1][pair], order[1:][pair]
    if events is not None and len(events):
        unit = fills.unit_ids.get_indexer(pd.Index(events["unit_id"]))
        known = np.flatnonzero(unit >= 0)
        passed, _ = events_before(samples, fills.unit, events.iloc[known], unit[known])
        quiet = passed[before] == passed[after]
        before, after = before[quiet], after[quiet]
    return before.astype(np.int64), after.astype(np.int64)


def _usual(step: Floats, technology: pd.Series, signs: EventSigns) -> tuple[Floats, Floats]:
    """Return the usual step and its spread, by technology, where there are enough steps."""
    drift = np.zeros(step.shape)
    spread = np.full(step.shape, signs.settings["relative_error"])
    code = pd.factorize(technology, use_na_sentinel=False)[0]
    for kind in np.unique(code):
        mine = code == kind
        for k in range(step.shape[1]):
            seen = step[mine, k]
            seen = seen[np.isfinite(seen)]
            if seen.size < signs.settings["steps_for_a_spread"]:
                continue
            middle = float(np.median(seen))
            wide = NORMAL_MAD * float(np.median(np.abs(seen - middle)))
            drift[mine, k] = middle
            spread[mine, k] = max(wide, signs.settings["least_error"])
    return drift, spread


def _references(
    samples: pd.DataFrame, fills: Fills, before: npt.NDArray[np.int64]
) -> npt.NDArray[np.int64]:
    """Return the fresh-fill sample of each step; without one, the first sample of the fill."""
    fresh = fresh_fill_rows(samples, fills)[before]
    # Steps are in order of fill and time: the first of a fill starts at its first sample.
    group = fills.group[before]
    starts = np.r_[True, group[1:] != group[:-1]] if group.size else np.empty(0, dtype=np.bool_)
    stand_in = before[starts][np.cumsum(starts) - 1]
    return np.where(fresh >= 0, fresh, stand_in)
