"""Pads of a test strip as intervals."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

_Values = npt.NDArray[np.float64]


def pad_intervals(
    lower: npt.ArrayLike,
    upper: npt.ArrayLike,
    steps: Sequence[float],
    *,
    floor: float = 0.0,
    doubling: bool = False,
    widened: bool = False,
) -> tuple[_Values, _Values]:
    """Return what readings of a test strip span.

    A reading at a pad spans to the midpoints of its neighbours, at the lowest pad from
    the floor, at the highest pad without end. A reading between two pads, or a range of
    pads, spans from the pad below to the pad above. What is written as below or above a
    number stays so.

    Parameters
    ----------
    lower, upper : array-like of float, shape (n,)
        The ends of each reading as written: equal where one pad was read [the unit of
        the steps]; NaN stays NaN.
    steps : sequence of float
        The pads of the chart, ascending.
    floor : float
        The least possible value.
    doubling : bool
        The steps double, so that the midpoint of two is geometric; beside a pad of zero
        it stays arithmetic.
    widened : bool
        The strip was read late, is expired, or its lot is not known: a reading at a pad
        spans to the neighbouring pads themselves.

    Returns
    -------
    lower, upper : ndarray of float64, shape (n,)
        The ends of each interval; infinite above the highest pad.

    Notes
    -----
    Common practice, no source; the chart of the strips' own lot comes first.

    Examples
    --------
    >>> hardness = [0, 25, 50, 120, 250, 425]
    >>> low, high = pad_intervals([50, 120, 425, 0], [50, 250, 425, 0], hardness)
    >>> low.tolist(), high.tolist()
    ([37.5, 120.0, 337.5, 0.0], [85.0, 250.0, inf, 12.5])
    >>> low, high = pad_intervals([80], [80], hardness)  # between two pads
    >>> low.item(), high.item()
    (50.0, 120.0)
    >>> low, high = pad_intervals([50], [50], hardness, widened=True)
    >>> low.item(), high.item()
    (25.0, 120.0)
    """
    low, high = np.asarray(lower, dtype=float), np.asarray(upper, dtype=float)
    pads = np.asarray(steps, dtype=float)
    below, above = (pads[:-1], pads[1:]) if widened else (_midpoints(pads, doubling),) * 2
    # What a reading at each pad spans.
    begins, ends = np.r_[floor, below], np.r_[above, np.inf]
    # A pad is recognised in spite of the rounding of a conversion.
    near = 1e-6 * max(float(np.abs(pads).max()), 1.0)
    first = np.clip(np.searchsorted(pads, low + near, side="right") - 1, 0, None)
    last = np.clip(np.searchsorted(pads, high - near, side="left"), None, len(pads) - 1)
    at_pad = (low == high) & (np.abs(pads[last] - low) <= near)
    one_sided = (low < high) & ((low <= floor) | np.isinf(high))
    span_low = np.where(low < pads[0] - near, floor, pads[first])
    span_high = np.where(high > pads[-1] + near, np.inf, pads[last])
    new_low = np.where(at_pad, begins[last], np.where(one_sided, low, span_low))
    new_high = np.where(at_pad, ends[last], np.where(one_sided, high, span_high))
    unknown = np.isnan(low)
    return np.where(unknown, np.nan, new_low), np.where(unknown, np.nan, new_high)


def _midpoints(pads: _Values, doubling: bool) -> _Values:
    low, high = pads[:-1], pads[1:]
    middle = (low + high) / 2
    if doubling:
        positive = low > 0
        middle[positive] = np.sqrt(low[positive] * high[positive])
    return middle
