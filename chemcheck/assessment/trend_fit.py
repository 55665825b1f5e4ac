"""The trend of one analyte over the fills of one technology."""

import warnings

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.dilution import Dilution
from chemcheck.assessment.method_offsets import MethodOffsets
from chemcheck.assessment.trend_ends import trend_ends
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.errors import ChemcheckWarning, NotEnoughDataError
from chemcheck.forecasting import FleetTrend
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]
# A line and its error take at least so many.
LEAST_READINGS = 3
# Readings that say more than 'below a limit' must stand over this share of the axis: at one
# place beside non-detects they bound a rate from below only, and any steeper line fits.
LEAST_SPREAD = 0.2


def fit_trend(
    readings: Readings,
    rows: TrendRows,
    column: int,
    pooled: npt.NDArray[np.bool_],
    name: str,
    remarks: list[tuple[str, str]],
    dilution: Dilution | None = None,
    offsets: MethodOffsets | None = None,
) -> FleetTrend | None:
    """Fit the trends of one analyte over the fills of one technology, or say why not.

    Parameters
    ----------
    readings : Readings
        The samples.
    rows : TrendRows
        Where they stand.
    column : int
        Of the readings.
    pooled : ndarray of bool, shape (n_samples,)
        Samples to fit.
    name : str
        What is fitted, for the remarks.
    remarks : list of (str, str)
        Grows by what could not be fitted, or only roughly.
    dilution : Dilution or None
        What top-ups did: readings are corrected for it, and levels break at doses.
    offsets : MethodOffsets or None
        What was taken off the readings of some methods and laboratories already, and how unsure
        it is: the trend is as unsure.

    Returns
    -------
    FleetTrend or None
        Grouped by ``rows.fills.group``, on the scale of readings corrected for dilution.
    """
    if np.count_nonzero(pooled) < LEAST_READINGS:
        remarks.append((name, "too few readings for a trend"))
        return None
    lower, upper = trend_ends(readings, column, pooled)
    if (lower == lower[0]).all() and (readings.upper[pooled, column] > lower).all():
        remarks.append((name, "nothing but non-detects or one strip pad: they tell no rate"))
        return None
    breaks, factor = None, np.ones(len(lower))
    if dilution is not None:
        if dilution.corrects(readings, column):
            factor = np.exp(dilution.log_factor(readings, rows, column)[pooled])
            lower, upper = lower / factor, upper / factor
        breaks = dilution.breaks(readings, rows, column, pooled)
    age, fill = rows.usage.age[pooled][:, None], rows.fills.group[pooled]
    told = lower > 0
    if told.any() and np.ptp(age[told]) < LEAST_SPREAD * np.ptp(age):
        remarks.append((name, "readings above the detection limit at one age only: no rate"))
        return None
    doubts = None
    if offsets is not None:
        middle = np.where(np.isfinite(upper), 0.5 * (lower + upper), lower)
        doubts = offsets.doubts(pooled, middle, factor)
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always", ChemcheckWarning)
        try:
            trend = FleetTrend().fit(
                age, lower, groups=fill, y_upper=upper, breaks=breaks, doubts=doubts
            )
        except NotEnoughDataError as problem:
            remarks.append((name, str(problem)))
            return None
    if len(trend.groups_) == 1:
        # Said once for all analytes of a technology.
        alone = "one fill alone: its rates rest on its own samples, not on a fleet"
        remarks.append((name.rpartition(", ")[2], alone))
    remarks.extend(
        (name, str(warning.message))
        for warning in said
        if issubclass(warning.category, ChemcheckWarning)
    )
    return trend
