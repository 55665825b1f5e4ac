"""Steps from each reading to the next of its unit, and what stood beside them."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.fills.event_order import as_number
from chemcheck.fills.fill_numbers import Fills
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import NOT_OF_A_UNIT, rows_of_type

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
_DIFFERENCES = ("pH", "temperature")
_STEPS_NEEDED = 8
# From so many readings of a fill on its steps are alike.
_YOUNG = 4


@dataclass(frozen=True, slots=True)
class Steps:
    """Steps between neighbouring exact readings of one analyte within a fill.

    Parameters
    ----------
    column : int
        The column of readings.
    logarithm : bool
        Whether a step is the natural logarithm of a ratio, or a difference.
    before, after : ndarray of int, shape (n,)
        The two samples.
    size : ndarray of float64, shape (n,)
        The step, less the usual one of a fill's first, second, third and later steps.
    scatter : float
        Robust standard deviation of the steps.
    """

    column: int
    logarithm: bool
    before: Places
    after: Places
    size: Floats
    scatter: float

    def only(self, keep: npt.NDArray[np.bool_]) -> "Steps":
        """Return some of the steps, measured by the scatter of all."""
        return Steps(
            self.column,
            self.logarithm,
            self.before[keep],
            self.after[keep],
            self.size[keep],
            self.scatter,
        )


@dataclass(frozen=True, slots=True)
class SampleOrder:
    """The samples of each fill in the order of their dates; undated ones are left out.

    Parameters
    ----------
    row : ndarray of int, shape (n,)
        Positions of the samples.
    series : ndarray of int64, shape (n,)
        The fill of each.
    month : ndarray of int64, shape (n_samples,)
        Months since 1970 of every sample; -1 where it has no date.
    """

    row: Places
    series: npt.NDArray[np.int64]
    month: npt.NDArray[np.int64]


def sample_order(samples: pd.DataFrame, fills: Fills) -> SampleOrder:
    """Put samples in the order in which their fills went through them."""
    day = as_number(samples["taken_on"])
    known = ~np.isnan(day) & (fills.group >= 0)
    known[rows_of_type(samples, NOT_OF_A_UNIT)] = False
    is_coolant = (samples["material"] == "coolant").to_numpy()
    series = 2 * fills.group + is_coolant
    row = np.lexsort((day, series))
    row = row[known[row]]
    date = samples["taken_on"].to_numpy("datetime64[M]").astype(np.int64)
    return SampleOrder(row, series[row], np.where(np.isnan(day), -1, date))


def steps_of(readings: Readings, order: SampleOrder, column: int) -> Steps | None:
    """Return the steps of one analyte, None where there are too few to know their scatter."""
    analyte = vocabulary()[readings.columns[column].analyte]
    if analyte.words:
        return None
    logarithm = analyte.dimension not in _DIFFERENCES
    lower, upper = readings.lower[order.row, column], readings.upper[order.row, column]
    shared = readings.shared_factor[order.row, column]
    exact = np.isfinite(upper) & (lower * shared >= upper * (1 - 1e-6))
    exact &= (lower > 0) if logarithm else exact
    row, series = order.row[exact], order.series[exact]
    value = np.log(lower[exact]) if logarithm else lower[exact]
    same = np.diff(series) == 0
    size = np.diff(value)[same]
    if size.size < _STEPS_NEEDED:
        return None
    size = _less_the_usual(size, _ordinals(series)[1:][same])
    scatter = 1.4826 * float(np.median(np.abs(size)))
    if scatter == 0:
        return None
    return Steps(column, logarithm, row[:-1][same], row[1:][same], size, scatter)


def _ordinals(series: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Count the readings of each series from 0."""
    begins = np.flatnonzero(np.diff(series, prepend=-1))
    length = np.diff(np.r_[begins, series.size])
    return np.arange(series.size) - np.repeat(begins, length)


def _less_the_usual(size: Floats, ordinal: npt.NDArray[np.int64]) -> Floats:
    """Subtract the usual step: a fill changes most in proportion while it is new."""
    answer = size - np.median(size)
    for each in range(1, _YOUNG + 1):
        here = ordinal == each if each < _YOUNG else ordinal >= each
        if np.count_nonzero(here) >= _STEPS_NEEDED:
            answer[here] = size[here] - np.median(size[here])
    return answer
