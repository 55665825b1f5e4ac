"""What several dated samples of one water source say of the next one."""

from collections.abc import Mapping
from functools import cache
from math import ceil
from types import MappingProxyType

import numpy as np
import numpy.typing as npt
import pandas as pd
from numpy.typing import ArrayLike

from chemcheck.analytes import vocabulary
from chemcheck.limit_library.settings import check_file_node, check_settings
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import DUPLICATE, OF_THE_LABORATORY, rows_of_type

Floats = npt.NDArray[np.float64]
SOURCE_COLUMNS = (
    "source",
    "analyte",
    "basis",
    "samples",
    "first",
    "last",
    "least",
    "greatest",
    "next_at_most",
    "how",
    "worst_month",
    "test_again",
)
_DIFFERENCES = ("pH", "temperature")


def next_at_most(values: ArrayLike, *, logarithm: bool = True) -> tuple[float, str]:
    """Return what the next sample stays below with a chance of 90 %.

    Parameters
    ----------
    values : array-like, shape (n,)
        Samples of one source [unit]; of intervals the upper ends.
    logarithm : bool
        Whether the range is taken on the logarithm, as suits amounts.

    Returns
    -------
    bound : float
        [unit]; NaN for a single sample, infinite where an end is open and counts.
    how : str
        Which sample it is, or by which factor the range was added.

    Notes
    -----
    From ten samples on the bound is the r-th smallest of n, r the least integer with
    ``r / (n + 1)`` of 0.9 or more: the next of n + 1 samples from one distribution is
    equally likely to have any rank [1]_. That needs no shape of the distribution, only that
    the source stays as it was. With fewer samples no sample reaches 0.9, and the bound is
    the greatest plus a stated factor times the range (``limits/checks/water_sources.yaml``),
    which holds for a normal distribution, or of logarithms for a log-normal one. If a sample
    of nothing rules out the logarithm, the plain range is used.

    References
    ----------
    .. [1] US EPA, Statistical analysis of groundwater monitoring data at RCRA facilities:
       Unified Guidance, EPA 530/R-09-007 (2009), chapter on prediction limits,
       non-parametric limits for one future value (memory).

    Examples
    --------
    >>> next_at_most([31, 35, 28, 44, 39, 30, 33, 36, 41, 29])
    (44.0, 'greatest of 10')
    >>> next_at_most([6.8, 7.0, 7.4], logarithm=False)
    (7.79, 'greatest of 3, and 0.65 times the range')
    """
    ordered = np.sort(np.asarray(values, dtype=np.float64))
    n = ordered.size
    if n < 2:
        return float("nan"), "a single sample says nothing of the next"
    settings = check_settings("water_sources")
    if n >= settings["nonparametric_from"].value:
        rank = min(ceil(settings["chance"].value * (n + 1) - 1e-9), n)
        how = f"greatest of {n}" if rank == n else f"sample {rank} of {n} from the smallest"
        return float(ordered[rank - 1]), how
    factor = range_factors()[n]
    how = f"greatest of {n}, and {factor:g} times the range"
    if not np.isfinite(ordered[-1]):
        return float("inf"), how
    if logarithm and ordered[0] > 0:
        bound = ordered[-1] * (ordered[-1] / ordered[0]) ** factor
        return float(bound), f"{how} of logarithms"
    return round(float(ordered[-1] + factor * (ordered[-1] - ordered[0])), 12), how


@cache
def range_factors() -> Mapping[int, float]:
    """Return the factors of the range by the number of samples.

    Examples
    --------
    >>> range_factors()[3]
    0.65
    """
    node = check_file_node("water_sources").mapping()["range_factors"]
    names = ("values", "source", "evidence")
    values = node.fields(names, names)["values"].mapping()
    return MappingProxyType({int(key): entry.number() for key, entry in values.items()})


def source_outlook(readings: Readings, limits: Mapping[str, float] | None = None) -> pd.DataFrame:
    """Say of every water source and analyte what its next sample may hold.

    Parameters
    ----------
    readings : Readings
        Of water, the source as its unit, with dates.
    limits : mapping of str to float, optional
        Upper bound by analyte [canonical unit]: a source whose next sample may be beyond
        one is tested again sooner.

    Returns
    -------
    DataFrame
        ``SOURCE_COLUMNS``, a row for each source of two or more samples and each analyte;
        ``worst_month`` is 1 to 12, missing where too few months were sampled or no month
        stands out; ``test_again`` is a date, missing where no sample has one.
    """
    samples = readings.samples
    usable = (samples["material"] == "water").to_numpy(dtype=np.bool_, copy=True)
    usable[rows_of_type(samples, (*OF_THE_LABORATORY, DUPLICATE))] = False
    source, names = pd.factorize(samples["unit_id"])
    usable &= source >= 0
    rows = []
    for j, column in enumerate(readings.columns):
        analyte = vocabulary()[column.analyte]
        if analyte.words or not usable.any():
            continue
        at = np.flatnonzero(usable & ~np.isnan(readings.upper[:, j]))
        at = at[np.argsort(source[at], kind="stable")]
        parts = np.split(at, np.flatnonzero(np.diff(source[at])) + 1)
        logarithm = analyte.dimension not in _DIFFERENCES
        limit = (limits or {}).get(analyte.key, np.inf)
        for part in parts:
            if part.size >= 2:
                row = _outlook(readings, j, part, logarithm, limit)
                rows.append((str(names[source[part[0]]]), analyte.key, column.basis, *row))
    table = pd.DataFrame(rows, columns=list(SOURCE_COLUMNS))
    return table.astype({"worst_month": "Int64"})


def _outlook(
    readings: Readings, column: int, part: npt.NDArray[np.intp], logarithm: bool, limit: float
) -> tuple[object, ...]:
    """Return the row of one source and analyte, without their names."""
    upper = readings.upper[part, column]
    dates = readings.samples["taken_on"].iloc[part].reset_index(drop=True)
    bound, how = next_at_most(upper, logarithm=logarithm)
    month = worst_month(dates, upper)
    if not dates.notna().any():
        return (*_span(readings, column, part, pd.NaT, pd.NaT), bound, how, None, pd.NaT)
    last = dates.max()
    close = bool(bound > limit >= upper[int(dates.argmax())])
    return (
        *_span(readings, column, part, dates.min(), last),
        bound,
        how,
        month,
        _test_again(last, part.size, month, close),
    )


def _span(
    readings: Readings, column: int, part: npt.NDArray[np.intp], first: object, last: object
) -> tuple[object, ...]:
    """Return how many samples there are, from when to when, and between which ends."""
    least, greatest = readings.lower[part, column].min(), readings.upper[part, column].max()
    return part.size, first, last, float(least), float(greatest)


def worst_month(dates: pd.Series, values: ArrayLike) -> int | None:
    """Return the calendar month whose samples are highest.

    Parameters
    ----------
    dates : Series of datetime64, shape (n,)
        When each was taken; undated samples are left out.
    values : array-like, shape (n,)
        [unit].

    Returns
    -------
    int or None
        1 to 12, by the median of the month's samples; None where fewer than ``least_months``
        months were sampled, or where all months are the same.

    Examples
    --------
    >>> dates = pd.Series(pd.to_datetime(["2031-01-09", "2031-04-09", "2031-07-09", "2031-10-09"]))
    >>> worst_month(dates, [20.0, 31.0, 55.0, 24.0])
    7
    """
    table = pd.Series(np.asarray(values, dtype=np.float64)).groupby(dates.dt.month).median()
    least = check_settings("water_sources")["least_months"].value
    if len(table) < least or table.min() == table.max():
        return None
    return int(table.index.to_numpy()[int(table.to_numpy().argmax())])


def _test_again(last: pd.Timestamp, count: int, month: int | None, close: bool) -> pd.Timestamp:
    """Return when to sample next: before long if close, and never past the worst month."""
    settings = check_settings("water_sources")
    months = settings["months_at_most"].value
    if count < settings["nonparametric_from"].value:
        months = settings["months_while_few"].value
    if close:
        months = settings["months_where_close"].value
    due = last + pd.DateOffset(months=int(months))
    if month is None:
        return due
    worst = pd.Timestamp(last.year, month, 1)
    if worst <= last:
        worst += pd.DateOffset(years=1)
    return min(due, worst)
