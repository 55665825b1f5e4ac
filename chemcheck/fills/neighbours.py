"""What a value should be by its neighbours in a series: a line that one wrong value cannot bend."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

# So many values on either side are looked at.
REACH = 4
_OFFSETS = np.array([k for k in range(-REACH, REACH + 1) if k])
# With fewer neighbours one wrong one would tilt the line.
_FOR_A_SLOPE = 4
# So many values at once stay within a few megabytes.
_STRETCH = 1 << 15


@dataclass(frozen=True, slots=True)
class Lines:
    """What each value should be by the others of its series.

    Parameters
    ----------
    predicted : ndarray of float64, shape (n,)
        NaN where there is no other value.
    scatter : ndarray of float64, shape (n,)
        Robust standard deviation of the neighbours about their line, 0 for fewer than two.
    inflation : ndarray of float64, shape (n,)
        By what the scatter of one value is multiplied for the difference between a value
        and its prediction.
    slope : ndarray of float64, shape (n,)
        Of the line; NaN for fewer than four neighbours, whose median is the prediction.
    others : ndarray of int64, shape (n,)
        Neighbours looked at.
    """

    predicted: Floats
    scatter: Floats
    inflation: Floats
    slope: Floats
    others: npt.NDArray[np.int64]


def lines_through_neighbours(series: npt.NDArray[np.int64], time: Floats, value: Floats) -> Lines:
    """Predict every value of some series from its neighbours, itself left out.

    Parameters
    ----------
    series : ndarray of int64, shape (n,)
        Which series each value belongs to; the values of a series stand together, in the
        order of time.
    time : ndarray of float64, shape (n,)
        No NaN.
    value : ndarray of float64, shape (n,)
        NaN where only the prediction is wanted.

    Returns
    -------
    Lines
        Through up to four neighbours on either side.

    Notes
    -----
    Slope and height are medians: the slope of each neighbour's median slope to the others
    (Siegel's repeated medians [1]_), the height of what each neighbour and the slope give.
    One of three neighbours and two of five may be anything. The inflation is that of a
    least-squares line with the variance of its height and slope raised by pi/2, as a
    median's is over a mean's:
    ``sqrt(1 + pi/2 (1/m + (t - mean)^2 / sum((t_k - mean)^2)))``.

    References
    ----------
    .. [1] Siegel, A. F., Robust regression using repeated medians, Biometrika 69 (1982)
       242-244.

    Examples
    --------
    >>> time = np.arange(6.0)
    >>> lines = lines_through_neighbours(np.zeros(6, int), time, 2 * time + 1)
    >>> lines.predicted, lines.others
    (array([ 1.,  3.,  5.,  7.,  9., 11.]), array([4, 5, 5, 5, 5, 4]))
    """
    n = value.size
    answer = Lines(
        np.full(n, np.nan), np.zeros(n), np.ones(n), np.full(n, np.nan), np.zeros(n, dtype=np.int64)
    )
    for start in range(0, n, _STRETCH):
        _fill(answer, slice(start, min(start + _STRETCH, n)), series, time, value)
    return answer


def _fill(
    answer: Lines, part: slice, series: npt.NDArray[np.int64], time: Floats, value: Floats
) -> None:
    here = np.arange(part.start, part.stop)
    place = here[:, None] + _OFFSETS
    there = (place >= 0) & (place < value.size)
    place = np.clip(place, 0, value.size - 1)
    there &= (series[place] == series[here][:, None]) & ~np.isnan(value[place])
    t = np.where(there, time[place] - time[here][:, None], np.nan)
    y = np.where(there, value[place], np.nan)
    others = there.sum(axis=1)
    run = t[:, None, :] - t[:, :, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        slopes = np.where(run != 0, (y[:, None, :] - y[:, :, None]) / run, np.nan)
    slope = _row_medians(_row_medians(slopes))
    slope[others < _FOR_A_SLOPE] = np.nan
    steady = np.where(np.isnan(slope), 0.0, slope)
    residual = y - steady[:, None] * t
    predicted = _row_medians(residual)
    answer.predicted[part] = predicted
    spread = _row_medians(np.abs(residual - predicted[:, None]))
    answer.scatter[part] = np.where(others > 1, 1.4826 * spread, 0.0)
    count = np.maximum(others, 1)
    mean = np.where(there, t, 0.0).sum(axis=1) / count
    square = np.where(there, (t - mean[:, None]) ** 2, 0.0).sum(axis=1)
    reach = np.divide(
        mean**2, square, out=np.zeros(len(here)), where=(square > 0) & (others >= _FOR_A_SLOPE)
    )
    answer.inflation[part] = np.sqrt(1.0 + np.pi / 2 * (1.0 / count + reach))
    answer.slope[part] = slope
    answer.others[part] = others


def _row_medians(values: Floats) -> Floats:
    """Return medians along the last axis, NaN left out; NaN where nothing is left."""
    ordered = np.sort(values, axis=-1)  # NaN last
    count = (~np.isnan(values)).sum(axis=-1)[..., None]
    low, high = np.maximum(count - 1, 0) // 2, np.minimum(count // 2, values.shape[-1] - 1)
    ends = (np.take_along_axis(ordered, at, axis=-1)[..., 0] for at in (low, high))
    return np.asarray(sum(ends) / 2.0)
