"""The first crossing of several bounds together: whichever comes first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from chemcheck.forecasting.fill_rows import Floats, Integers
from chemcheck.forecasting.fleet_trend import FleetTrend

# The joint probability is met to this much.
CLOSE = 5e-4
ROUNDS = 40

Facing = tuple[FleetTrend, ArrayLike, str]


def joint_crossing(
    facing: Mapping[str, Facing],
    quantiles: Sequence[float] = (0.1, 0.5, 0.9),
    horizon: float | None = None,
) -> pd.DataFrame:
    """Say when the first of several bounds is passed by each fill.

    Parameters
    ----------
    facing : mapping of str to (FleetTrend, bound, side)
        Fitted trends, on one axis, with bound and side as for `FleetTrend.first_crossing`, by
        the name of what is trended.
    quantiles : sequence of float, default (0.1, 0.5, 0.9)
        Probabilities, each above 0 and below 1.
    horizon : float, optional
        Axis beyond which no crossing is reported; the longest of the trends' own.

    Returns
    -------
    pandas.DataFrame
        Indexed by fill, of all that any trend knows: ``p10``, ``p50``, ``p90`` (or as asked),
        the axis by which some bound has been passed with that probability, infinite if not by
        the horizon; ``limiting``, the name most likely to have been passed by the median, or by
        the horizon where that comes first; None where no bound applies.

    Raises
    ------
    ValueError
        If there is no trend.

    Notes
    -----
    1 - F(t) is the product of the trends' 1 - F_a(t): given their own readings, the analytes
    are taken to go their ways independently. Where they hang together the joint crossing comes
    no earlier than this says.

    Examples
    --------
    >>> hours = [[0.0], [250.0], [500.0], [750.0]]
    >>> falling = FleetTrend("straight", "independent").fit(hours, [10.0, 9.0, 8.1, 7.0])
    >>> rising = FleetTrend("straight", "independent").fit(hours, [0.0, 1.0, 2.1, 3.0])
    >>> both = {"nitrite": (falling, 5.0, "below"), "chloride": (rising, 10.0, "above")}
    >>> joint_crossing(both)["limiting"].tolist()
    ['nitrite']
    """
    if not facing:
        message = "no trend to cross a bound: expected at least one"
        raise ValueError(message)
    farthest = max(trend.horizon_ for trend, _, _ in facing.values())
    farthest = farthest if horizon is None else float(horizon)
    fills = pd.Index([], dtype=object)
    for trend, _, _ in facing.values():
        fills = fills.union(pd.Index(trend.groups_, dtype=object))
    asked = np.unique(np.asarray(quantiles, dtype=np.float64))
    bounds = [
        _Bound.face(one, fills, np.union1d(asked, asked / len(facing)), farthest)
        for one in facing.values()
    ]
    columns: dict[str, object] = {}
    for p in np.union1d(asked, 0.5):
        columns[f"p{100.0 * p:g}"] = _quantile(bounds, float(p), farthest, fills.size)
    median = columns["p50"]
    result = pd.DataFrame(columns, index=pd.Index(fills, name="group"))
    result = result[[f"p{100.0 * p:g}" for p in quantiles]]
    by_then = np.minimum(np.asarray(median, dtype=np.float64), farthest)
    chances = np.stack([bound.reached(by_then, np.arange(fills.size)) for bound in bounds])
    names = np.array([*facing, None], dtype=object)
    result["limiting"] = names[np.where(chances.any(axis=0), chances.argmax(axis=0), -1)]
    return result


@dataclass(frozen=True, slots=True)
class _Bound:
    """One trend facing its bound, for all fills of the union."""

    facing: Facing
    place: Integers
    outside: Floats
    crossing: pd.DataFrame

    @classmethod
    def face(cls, facing: Facing, fills: pd.Index, asked: Floats, farthest: float) -> "_Bound":
        trend, bound, side = facing
        table = trend.first_crossing(bound, side, quantiles=list(asked), horizon=farthest)
        table = table.reindex(fills)
        place = fills.get_indexer(pd.Index(trend.groups_, dtype=object))
        outside = table["probability_outside_now"].fillna(0.0).to_numpy()
        return cls(facing, place, outside, table)

    def quantile(self, p: float) -> Floats:
        """Axis at a probability; infinite where no bound applies."""
        column = self.crossing[f"p{100.0 * p:g}"]
        axis: Floats = column.fillna(np.inf).to_numpy(dtype=np.float64)
        return axis

    def reached(self, axis: Floats, fills: Integers) -> Floats:
        """Chance that the bound is passed by places on the axis, for some fills.

        Before the last sample it is the chance of being beyond at that sample.
        """
        trend, bound, side = self.facing
        everywhere = np.full(self.outside.size, np.nan)
        everywhere[fills] = axis
        chance = np.zeros(self.outside.size)
        found = trend.crossing_probability(bound, side, everywhere[self.place]).to_numpy()
        chance[self.place] = found
        known = self.outside[fills]
        asked: Floats = np.where(np.isnan(chance[fills]), known, chance[fills])
        return asked


def _quantile(bounds: list[_Bound], p: float, farthest: float, fills: int) -> Floats:
    """Axis by which some bound is passed with probability p."""
    # No later than the first alone; no earlier than if the chances simply added up.
    answer: Floats = np.minimum.reduce([bound.quantile(p) for bound in bounds])
    low = np.minimum.reduce([bound.quantile(p / len(bounds)) for bound in bounds])
    high = np.minimum(answer, farthest)
    every = np.arange(fills)
    # Where the chance is there from the first, the bound passed long ago has said when.
    between = (_joint(bounds, low, every) < p) & (_joint(bounds, high, every) >= p)
    active = np.flatnonzero((low < high) & between)
    low, high = low[active], high[active]
    for _ in range(ROUNDS):
        if active.size == 0:
            break
        middle = 0.5 * (low + high)
        chance = _joint(bounds, middle, active)
        answer[active] = middle
        low = np.where(chance < p, middle, low)
        high = np.where(chance < p, high, middle)
        open_ = np.flatnonzero((np.abs(chance - p) > CLOSE) & (high - low > 1e-9 * high))
        active, low, high = active[open_], low[open_], high[open_]
    return answer


def _joint(bounds: list[_Bound], axis: Floats, fills: Integers) -> Floats:
    """Chance that some bound is passed."""
    none = np.ones(fills.size)
    for bound in bounds:
        none *= 1.0 - bound.reached(axis, fills)
    passed: Floats = 1.0 - none
    return passed
