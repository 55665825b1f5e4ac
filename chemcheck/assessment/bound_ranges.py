"""What the choice of a bound is worth: the crossings repeated at what sources quote."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.corrected_bounds import CorrectedBounds
from chemcheck.assessment.ph_crossing import PhBounds
from chemcheck.forecasting import FleetTrend
from chemcheck.judging.bound_tables import ROLES, matches
from chemcheck.judging.strata import Stratum
from chemcheck.limit_library.records import Bound, LimitSet
from chemcheck.readings.record import ReadingColumn

Floats = npt.NDArray[np.float64]
ENDS = ("low", "high")


def range_of(bound: Bound) -> tuple[float, float] | None:
    """Return the least and the greatest value that sources give for a bound.

    Parameters
    ----------
    bound : Bound
        With what a source quotes, and what is seen across sources.

    Returns
    -------
    tuple of float or None
        With the bound itself between them; None where all agree.
    """
    values = [bound.value, *(bound.quoted or ()), *(bound.spread or ())]
    return (min(values), max(values)) if min(values) < max(values) else None


def range_table(
    column: ReadingColumn, sets: Sequence[LimitSet], strata: Sequence[Stratum], role: int
) -> Floats:
    """Gather the ranges of one column's bounds of one role.

    Parameters
    ----------
    column : ReadingColumn
        What was read.
    sets : sequence of LimitSet
        The sets in use.
    strata : sequence of Stratum
        As the samples divide.
    role : int
        Position in `judging.bound_tables.ROLES`.

    Returns
    -------
    ndarray, shape (2, n_strata + 1)
        Least and greatest value [canonical unit, or fraction of fresh]; NaN where the sources
        agree. The last place means no limit.
    """
    answer = np.full((2, len(strata) + 1), np.nan)
    for k, stratum in enumerate(strata):
        for limit in sets[stratum.limit_set].limits:
            if not (matches(limit, column) and stratum.has(limit)):
                continue
            for bound in limit.bounds:
                ends = range_of(bound) if (bound.side, bound.kind) == ROLES[role] else None
                if ends is not None:
                    answer[:, k] = ends
    return answer


def medians_at(
    corrected: CorrectedBounds | PhBounds,
    trend: FleetTrend,
    ends: Floats,
    beyond: str,
    horizon: float | None,
    known: pd.DataFrame | None = None,
) -> dict[str, Floats]:
    """Repeat crossings at both ends of the bounds' ranges.

    Parameters
    ----------
    corrected : CorrectedBounds
        The fills.
    trend : FleetTrend
        Fitted.
    ends : ndarray, shape (2, n)
        Least and greatest bound of each fill; NaN where sources agree.
    beyond : {"above", "below"}
        On which side the value is out of bounds.
    horizon : float or None
        Axis beyond which no crossing is reported.
    known : DataFrame, n rows, optional
        With ``bound`` and ``p50``: the median at an end that is the bound itself is known.

    Returns
    -------
    dict of str to ndarray, shape (n,)
        ``bound_low``, ``bound_high``, and the medians ``p50_at_low``, ``p50_at_high``.
    """
    answer = {f"bound_{name}": ends[k] for k, name in enumerate(ENDS)}
    for k, name in enumerate(ENDS):
        median = np.full(ends.shape[1], np.nan)
        told = np.isfinite(ends[k])
        if known is not None and (ends[k][told] == known["bound"].to_numpy()[told]).all():
            median[told] = known["p50"].to_numpy(dtype=np.float64)[told]
        elif told.any():
            table = corrected.crossing(trend, ends[k], beyond, horizon, (0.5,))
            median = table["p50"].to_numpy(dtype=np.float64)
        answer[f"p50_at_{name}"] = median
    return answer


def choice_outweighs(analytes: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """Say where the choice of bound is worth more than the statistical band.

    Parameters
    ----------
    analytes : DataFrame, n rows
        With ``p10``, ``p90``, ``p50_at_low`` and ``p50_at_high``; infinite beyond the horizon.

    Returns
    -------
    ndarray of bool, shape (n,)
        False where sources agree, or where not even one median lies before the horizon.

    Examples
    --------
    >>> choice_outweighs(pd.DataFrame({
    ...     "p10": [900.0, 900.0, 900.0], "p90": [1100.0, 1100.0, np.inf],
    ...     "p50_at_low": [1500.0, 1050.0, 1200.0], "p50_at_high": [800.0, 950.0, np.inf],
    ... }))
    array([ True, False, False])
    """
    low, high = (analytes[f"p50_at_{name}"].to_numpy(dtype=np.float64) for name in ENDS)
    first, last = analytes["p10"].to_numpy(), analytes["p90"].to_numpy()
    told = np.isfinite(low) | np.isfinite(high)
    with np.errstate(invalid="ignore"):
        worth = np.where(told, np.abs(high - low), np.nan)
        band = np.where(np.isfinite(first), last - first, np.inf)
    return np.asarray(worth > band)
