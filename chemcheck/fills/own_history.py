"""What each reading should be by its own unit's history, and by its technology's."""

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.fills.event_order import as_number
from chemcheck.fills.fill_numbers import Fills
from chemcheck.fills.neighbours import lines_through_neighbours
from chemcheck.fills.slip_factors import slip_library
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import NOT_OF_A_UNIT, rows_of_type

Floats = npt.NDArray[np.float64]
Singles = npt.NDArray[np.float32]
# On these scales readings differ, on all others they are in proportion.
_DIFFERENCES = ("pH", "temperature")
# Series that a technology must have before it says what a reading should be, and readings
# before its scatter stands for itself.
_LEAST_SERIES, _LEAST_READINGS = 5, 20
# Readings that a series must have before its own tails count.
_LEAST_OF_SERIES = 24
# Nine tenths of a normal distribution lie within so many standard deviations of its mean.
_NINTH_TENTH = 1.6449
# Readings that the scatter of the technology counts for beside a series' own.
_WEIGHT_OF_FLEET = 4.0


@dataclass(frozen=True, slots=True)
class OwnHistory:
    """Readings beside what they should be.

    Parameters
    ----------
    logarithm : ndarray of bool, shape (n_columns,)
        Whether a column's numbers here are natural logarithms.
    low, high : ndarray of float32, shape (n_samples, n_columns), Fortran order
        Ends of each reading; -inf where it may be nothing, NaN where there is none.
    predicted_low, predicted_high : ndarray of float32, as above
        Ends of what it should be; NaN where nothing is known.
    spread : ndarray of float32, as above
        Standard deviation of the difference between a good reading and its prediction.
    step : ndarray of float32, as above
        Distance to the nearer of the exact readings before and behind in the same fill,
        infinite where there is none: small where a step was confirmed.
    others : ndarray of int8, as above
        Exact readings of the same fill that the prediction rests on; 0 where only the
        technology or non-detects speak.
    """

    logarithm: npt.NDArray[np.bool_]
    low: Singles
    high: Singles
    predicted_low: Singles
    predicted_high: Singles
    spread: Singles
    step: Singles
    others: npt.NDArray[np.int8]

    def distance(self) -> Singles:
        """Return how far each reading is from its prediction, in standard deviations.

        Returns
        -------
        ndarray of float32, shape (n_samples, n_columns)
            0 where the intervals touch, NaN where either is unknown.
        """
        return distances(self.low, self.high, self.predicted_low, self.predicted_high, self.spread)


def distances(
    low: Singles, high: Singles, predicted_low: Singles, predicted_high: Singles, spread: Singles
) -> Singles:
    """Return the signed gap between readings and predictions, in standard deviations."""
    with np.errstate(invalid="ignore"):
        above = np.maximum(low - predicted_high, 0.0)
        below = np.maximum(predicted_low - high, 0.0)
        return np.asarray((above - below) / spread, dtype=np.float32)


def own_history(readings: Readings, fills: Fills) -> OwnHistory:
    """Predict every reading from the other readings of its fill, and of its technology.

    Parameters
    ----------
    readings : Readings
        Samples of units over time.
    fills : Fills
        Of the same samples.

    Returns
    -------
    OwnHistory
        From two exact neighbours in the fill on, they alone speak; with fewer the
        technology does, where it is known better. Where all others are non-detects the
        prediction is anything up to the greatest of their limits.
    """
    n, m = readings.lower.shape
    settings = slip_library().settings
    floors = (settings["least_difference"].value, settings["least_scatter"].value)
    analytes = [vocabulary()[column.analyte] for column in readings.columns]
    logarithm = np.array([a.dimension not in _DIFFERENCES for a in analytes], dtype=np.bool_)
    unknown = np.full((n, m), np.nan, dtype=np.float32, order="F")
    answer = OwnHistory(
        logarithm=logarithm,
        low=unknown,
        high=unknown.copy(order="F"),
        predicted_low=unknown.copy(order="F"),
        predicted_high=unknown.copy(order="F"),
        spread=unknown.copy(order="F"),
        step=np.full((n, m), np.inf, dtype=np.float32, order="F"),
        others=np.zeros((n, m), dtype=np.int8, order="F"),
    )
    series = _series(readings, fills)
    kind = _kinds(readings.samples)
    time = _time(readings.samples)
    order = np.lexsort((time, series))
    order = order[series[order] >= 0]

    def one(j: int) -> None:
        _fill(answer, j, readings, series, kind, time, order, floors[int(logarithm[j])])

    with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
        for _ in pool.map(one, [j for j, analyte in enumerate(analytes) if not analyte.words]):
            pass
    return answer


def _series(readings: Readings, fills: Fills) -> npt.NDArray[np.int64]:
    """Return the fill of each sample, apart by material; -1 for samples that show no unit."""
    is_coolant = (readings.samples["material"] == "coolant").to_numpy()
    series = np.where(fills.group >= 0, 2 * fills.group + is_coolant, -1)
    series[rows_of_type(readings.samples, NOT_OF_A_UNIT)] = -1
    return series


def _kinds(samples: pd.DataFrame) -> npt.NDArray[np.int64]:
    """Return a number for each technology; -1 where it is unknown, as of all waters."""
    return np.asarray(pd.factorize(samples["technology"])[0], dtype=np.int64)


def _time(samples: pd.DataFrame) -> Floats:
    """Return the date in days where most samples have one, else the meter, else the row."""
    best = np.arange(len(samples), dtype=np.float64)
    for name in ("distance", "hours", "taken_on"):
        values = as_number(samples[name])
        if np.count_nonzero(~np.isnan(values)) >= 0.9 * len(values):
            best = values
    middle = np.nanmedian(best) if np.isfinite(best).any() else 0.0
    return np.where(np.isnan(best), middle, best)


def _fill(
    answer: OwnHistory,
    j: int,
    readings: Readings,
    series: npt.NDArray[np.int64],
    kind: npt.NDArray[np.int64],
    time: Floats,
    order: npt.NDArray[np.intp],
    floor: float,
) -> None:
    """Fill in one column."""
    low, high = _on_scale(readings, j, bool(answer.logarithm[j]))
    answer.low[:, j], answer.high[:, j] = low, high
    read = order[~np.isnan(high[order])]
    value = np.where((low == high) & np.isfinite(low), low, np.nan)
    if np.isfinite(value[read]).any():
        _from_exact(answer, j, series, kind, time, read, value, floor)
    _from_limits(answer, j, series, order, low, high, floor)


def _on_scale(readings: Readings, j: int, logarithm: bool) -> tuple[Floats, Floats]:
    lower, upper = readings.lower[:, j], readings.upper[:, j]
    if not logarithm:
        return lower, upper
    with np.errstate(divide="ignore", invalid="ignore"):  # nothing, and below nothing
        low, high = np.log(lower), np.log(upper)
    # A reading of nothing at all has no logarithm to compare.
    return low, np.where(np.isneginf(high), np.nan, high)


def _from_exact(
    answer: OwnHistory,
    j: int,
    series: npt.NDArray[np.int64],
    kind: npt.NDArray[np.int64],
    time: Floats,
    read: npt.NDArray[np.intp],
    value: Floats,
    floor: float,
) -> None:
    """Predict from exact readings, where a fill or a technology has enough."""
    own, exact = kind[read], value[read]
    lines = lines_through_neighbours(series[read], time[read], exact)
    residual = np.abs(exact - lines.predicted) / lines.inflation
    residual[lines.others < 2] = np.nan
    fleet = np.maximum(_fleet_scatter(own, residual), floor)
    weight = np.minimum(lines.others, 8)
    mine = np.maximum(lines.scatter, _series_scatter(series[read], residual))
    scatter = np.sqrt(
        (weight * mine**2 + _WEIGHT_OF_FLEET * fleet**2) / (weight + _WEIGHT_OF_FLEET)
    )
    # Through two or three neighbours any line runs well: that is no proof of little scatter.
    spread = np.maximum(scatter, floor) * lines.inflation * np.maximum(1.0, 4.0 / weight.clip(1))
    middle, between = _technologies(own, series[read], exact)
    # One neighbour says nothing of how fast the fill changes.
    spread = np.where(lines.others == 1, np.hypot(spread, between / 2), spread)
    spread = np.where(lines.others == 0, np.inf, spread)
    by_technology = np.hypot(between, fleet)
    use = (lines.others < 2) & (by_technology < spread)
    predicted = np.where(use, middle, lines.predicted)
    spread = np.where(use, by_technology, spread)
    known = np.isfinite(spread) & np.isfinite(predicted)
    at = read[known]
    answer.predicted_low[at, j] = answer.predicted_high[at, j] = predicted[known]
    answer.spread[at, j] = spread[known]
    answer.others[at, j] = np.where(use, 0, lines.others)[known]
    answer.step[read, j] = _nearer_neighbour(series[read], exact)


def _nearer_neighbour(series: npt.NDArray[np.int64], value: Floats) -> Floats:
    """Return the distance of each value to the nearer of its neighbours in the series."""
    gap = np.full(value.size + 1, np.inf)
    between = np.abs(np.diff(value))
    gap[1:-1] = np.where((np.diff(series) == 0) & ~np.isnan(between), between, np.inf)
    return np.asarray(np.minimum(gap[:-1], gap[1:]))


def _fleet_scatter(kind: npt.NDArray[np.int64], residual: Floats) -> Floats:
    """Return the scatter of a column's readings, by technology where it has enough."""
    good = ~np.isnan(residual)
    # Where no fill has three readings, a tenth of each is what is allowed for.
    answer = np.full(kind.shape, _robust(residual[good]) if good.any() else 0.1)
    for each in np.unique(kind):
        here = good & (kind == each)
        if np.count_nonzero(here) >= _LEAST_READINGS:
            answer[kind == each] = _robust(residual[here])
    return answer


def _series_scatter(series: npt.NDArray[np.int64], residual: Floats) -> Floats:
    """Return the scatter of each series by its ninth tenth; 0 where it is short."""
    good = np.flatnonzero(~np.isnan(residual))
    order = good[np.lexsort((residual[good], series[good]))]
    begins = np.flatnonzero(np.diff(series[order], prepend=-1))
    count = np.diff(np.r_[begins, order.size])
    place = np.minimum((0.9 * count).astype(np.int64), count - 2)
    enough = count >= _LEAST_OF_SERIES
    size = int(series.max(initial=0)) + 1
    by_series = np.zeros(size)
    at = order[begins[enough] + place[enough]]
    by_series[series[at]] = residual[at] / _NINTH_TENTH
    return np.asarray(by_series[series])


def _technologies(
    kind: npt.NDArray[np.int64], series: npt.NDArray[np.int64], value: Floats
) -> tuple[Floats, Floats]:
    """Return the middle of each reading's technology, and how far its fills lie apart."""
    middle, between = np.full(value.shape, np.nan), np.full(value.shape, np.inf)
    for each in np.unique(kind[kind >= 0]):
        here = np.flatnonzero((kind == each) & ~np.isnan(value))
        of_series = pd.Series(value[here]).groupby(series[here]).median().to_numpy()
        if of_series.size >= _LEAST_SERIES:
            middle[kind == each] = np.median(of_series)
            between[kind == each] = _robust(of_series - np.median(of_series))
    return middle, between


def _robust(values: Floats) -> float:
    """Return the standard deviation of differences by their middle, or by the ninth tenth.

    The greater counts: where tails are heavy the middle would promise too much. Of few the
    ninth tenth is one wrong value.
    """
    middle, most = np.quantile(np.abs(values), (0.5, 0.9))
    tails = most / _NINTH_TENTH if values.size >= _LEAST_READINGS else 0.0
    return float(max(1.4826 * middle, tails))


def _from_limits(
    answer: OwnHistory,
    j: int,
    series: npt.NDArray[np.int64],
    order: npt.NDArray[np.intp],
    low: Floats,
    high: Floats,
    floor: float,
) -> None:
    """Bound what a reading should be where all others of its fill are non-detects."""
    below = order[np.isneginf(low[order]) & np.isfinite(high[order])]
    if not below.size:
        return
    size = int(series.max()) + 1
    count, read = np.zeros(size, dtype=np.int64), np.zeros(size, dtype=np.int64)
    np.add.at(count, series[below], 1)
    np.add.at(read, series[order[~np.isnan(high[order])]], 1)
    greatest = np.full(size, -np.inf)
    np.maximum.at(greatest, series[below], high[below])
    open_cells = order[np.isnan(answer.spread[order, j]) & ~np.isnan(high[order])]
    mine = np.isneginf(low[open_cells])
    others = count[series[open_cells]] - mine
    alone = (others >= 2) & (others == read[series[open_cells]] - 1)
    at = open_cells[alone]
    answer.predicted_low[at, j] = -np.inf
    answer.predicted_high[at, j] = greatest[series[at]]
    # What is below a limit may lie anywhere there: only far above it is unlike the others.
    answer.spread[at, j] = max(0.3, floor)
