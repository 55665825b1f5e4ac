"""One offset for each method and laboratory: readings of a trend brought to one level."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.dilution import Dilution
from chemcheck.assessment.offset_priors import MethodLevel, OffsetPrior, offset_prior
from chemcheck.assessment.trend_ends import trend_ends
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.errors import NotEnoughDataError
from chemcheck.forecasting.level_offsets import level_offsets
from chemcheck.forecasting.level_readings import LevelReadings
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.record import READ, Coded, Readings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Integers = npt.NDArray[np.int64]

# Levels beside the reference that are compared with it, those of most readings first: each is a
# column of the fit, and a file in which hundreds of names stand for laboratories names people.
MOST_LEVELS = 12


@dataclass(frozen=True, slots=True)
class MethodOffsets:
    """How far the methods and laboratories of one analyte in one technology read apart.

    Parameters
    ----------
    column : int
        Of the readings.
    technology : str or None
        Of the fills; None where nobody stated it.
    levels : tuple of MethodLevel
        Method and laboratory of each level, the reference first: the one of most readings.
    counts : ndarray of int64, shape (L + 1,)
        Readings of each that the offsets were found from.
    prior : OffsetPrior
        What was known before: its scale, and how far levels may be apart.
    told : ndarray of bool, shape (L,)
        Levels whose offset the readings tell; the others keep the prior.
    offset : ndarray, shape (L,)
        Logarithms of factors, or in the analyte's unit; 0 where not told.
    covariance : ndarray, shape (L, L)
        How sure they are.
    level : ndarray of int64, shape (n_samples,)
        Level of each reading that belongs here, else -1.
    """

    column: int
    technology: str | None
    levels: tuple[MethodLevel, ...]
    counts: Integers
    prior: OffsetPrior
    told: Bools
    offset: Floats
    covariance: Floats
    level: Integers

    @property
    def deviation(self) -> Floats:
        """Standard deviation of each offset, shape (L,)."""
        return np.sqrt(np.diag(self.covariance))

    def correct(self, readings: Readings, lower: Floats, upper: Floats) -> None:
        """Bring the readings that belong here to the reference's level, in place.

        Parameters
        ----------
        readings : Readings
            As they were read.
        lower, upper : ndarray, shape (n_samples, n_columns)
            Where to write; both ends of an interval move.
        """
        here = self.level > 0
        shared = readings.shared_factor[here, self.column]
        ends = readings.lower[here, self.column], readings.upper[here, self.column] / shared
        none = np.zeros(len(shared))
        given = LevelReadings(
            none, none.astype(np.intp), *ends, self.level[here], self._gain(none + 1.0)
        )
        low, high = given.corrected(self.offset)
        lower[here, self.column], upper[here, self.column] = low, high * shared

    def doubts(self, pooled: Bools, middle: Floats, factor: Floats) -> Floats:
        """Return what one standard deviation of each independent part of the offsets adds.

        Parameters
        ----------
        pooled : ndarray of bool, shape (n_samples,)
            Samples of a trend, n of them.
        middle : ndarray, shape (n,)
            Their readings as fitted.
        factor : ndarray, shape (n,)
            What they were divided by, for dilution.

        Returns
        -------
        ndarray, shape (n, L)
            As `FleetTrend.fit` takes them.
        """
        who = self.level[pooled, None] == np.arange(1, len(self.levels))
        gain = middle if self.prior.relative else 1.0 / factor
        root = np.linalg.cholesky(self.covariance)
        return np.asarray(-(who * gain[:, None]) @ root)

    def reading_back(
        self, rows: npt.NDArray[np.bool_], mean: Floats, deviation: Floats
    ) -> tuple[Floats, Floats]:
        """Turn values foreseen at the reference's level into readings of those who measured.

        Parameters
        ----------
        rows : ndarray of bool, shape (n_samples,)
            Samples foreseen, n of them.
        mean, deviation : ndarray, shape (n,)
            At the reference's level.

        Returns
        -------
        mean, deviation : ndarray, shape (n,)
            Of the readings to come.
        """
        level = np.maximum(self.level[rows], 0)
        offset = np.append(0.0, self.offset)[level]
        unsure = np.append(0.0, self.deviation)[level]
        if not self.prior.relative:
            return mean + offset, np.hypot(deviation, unsure)
        factor = np.exp(offset)
        return mean * factor, factor * np.hypot(deviation, mean * unsure)

    def _gain(self, gain: Floats) -> Floats | None:
        return None if self.prior.relative else gain


def find_method_offsets(
    readings: Readings,
    rows: TrendRows,
    column: int,
    pooled: Bools,
    dilution: Dilution | None = None,
    known: Bools | None = None,
) -> MethodOffsets | None:
    """Find how far the methods and laboratories of one analyte in one technology read apart.

    Parameters
    ----------
    readings : Readings
        The samples.
    rows : TrendRows
        Where they stand.
    column : int
        Of the readings.
    pooled : ndarray of bool, shape (n_samples,)
        Samples of one technology with a reading of the column.
    dilution : Dilution or None
        What top-ups did: offsets are found beside trends corrected for it.
    known : ndarray of bool, shape (n_samples,), optional
        Samples that may be used to find them; all by default.

    Returns
    -------
    MethodOffsets or None
        None where one method of one laboratory read them all: nothing is reckoned then.

    Notes
    -----
    A level is a method in a laboratory; where neither is stated, that is a level of its own. The
    offsets are found by `level_offsets` beside the fills' own starts and rates and a walk, from a
    normal prior about no offset with the deviations of `offset_prior`. They are factors where the
    analyte's precision is stated as a share, and amounts where it is stated in the analyte's unit:
    pH, reserve alkalinity, temperatures, glycol.

    Only levels that were in use over the same dates tell their offset: where all units went from
    one laboratory to another on a day, whatever else happened then would be taken for it. Such an
    offset stays nothing, as unsure as the prior, and its readings help to find no other. What the
    reference itself is off by nobody here can learn: all readings share it.
    """
    used = pooled if known is None else pooled & known
    level, levels = _levels(readings, rows, column, pooled, used)
    if len(levels) < 2:
        return None
    counts = np.bincount(level[used], minlength=len(levels))
    lower, upper = trend_ends(readings, column, used)
    prior = offset_prior(readings.columns[column].analyte, levels, level[used], lower, upper)
    told = _comparable(level[used], _time(rows, used), len(levels))
    told[MOST_LEVELS:] = False
    offset, covariance = np.zeros(len(told)), np.diag(np.diag(prior.covariance))
    kind = rows.technology[rows.fills.group[used][0]] if used.any() else None
    if told.any():
        given = _compared(readings, rows, column, used, (level, told), prior.relative, dilution)
        some = np.ix_(told, told)
        try:
            found = level_offsets(given, prior.covariance[some])
        except NotEnoughDataError:
            told = np.zeros_like(told)
        else:
            offset[told], covariance[some] = found.offset, found.covariance
    return MethodOffsets(column, kind, levels, counts, prior, told, offset, covariance, level)


def _compared(
    readings: Readings,
    rows: TrendRows,
    column: int,
    used: Bools,
    who: tuple[Integers, Bools],
    relative: bool,
    dilution: Dilution | None,
) -> LevelReadings:
    """Return the readings of the reference and of the levels that can be told, numbered anew."""
    level, told = who
    number = np.cumsum(np.append(True, told)) - 1
    kept = used & np.append(np.append(True, told), False)[level]
    lower, upper = trend_ends(readings, column, kept)
    factor, breaks = np.ones(len(lower)), None
    if dilution is not None:
        breaks = dilution.breaks(readings, rows, column, kept)
        if dilution.corrects(readings, column):
            factor = np.exp(dilution.log_factor(readings, rows, column)[kept])
    return LevelReadings(
        rows.usage.age[kept],
        np.unique(rows.fills.group[kept], return_inverse=True)[1],
        lower / factor,
        upper / factor,
        number[level[kept]],
        None if relative else 1.0 / factor,
        breaks,
    )


def _levels(
    readings: Readings, rows: TrendRows, column: int, pooled: Bools, used: Bools
) -> tuple[Integers, tuple[MethodLevel, ...]]:
    """Return the level of each reading, -1 of others, and the levels, most readings first."""
    ways = readings.method, readings.laboratory
    if all((one := way.codes[pooled, column]).size == 0 or (one == one[0]).all() for way in ways):
        return np.full(len(pooled), -1, dtype=np.int64), ()
    # Fresh fills are what bounds are fractions of: they move with the rest.
    fresh = rows.fresh[pooled]
    also = np.zeros(len(pooled), dtype=bool)
    also[fresh[fresh >= 0]] = True
    wide = np.flatnonzero(pooled | (also & (readings.status[:, column] == READ)))
    (method, methods), (laboratory, laboratories) = (_folded(way, column, wide) for way in ways)
    pairs, code = np.unique(np.column_stack((method, laboratory)), axis=0, return_inverse=True)
    code = code.ravel()  # numpy 2.0 gives it a second axis
    names = [MethodLevel(methods[m], laboratories[b]) for m, b in pairs.tolist()]
    counts = np.bincount(code[(used if used.any() else pooled)[wide]], minlength=len(names))
    in_trends = np.flatnonzero(np.bincount(code[pooled[wide]], minlength=len(names)))
    order = sorted(in_trends.tolist(), key=lambda k: (-counts[k], names[k].sort_key))
    place = np.full(len(names), -1, dtype=np.int64)
    place[order] = np.arange(len(order))
    level = np.full(len(pooled), -1, dtype=np.int64)
    level[wide] = place[code]
    return level, tuple(names[k] for k in order)


def _folded(
    coded: Coded, column: int, wide: npt.NDArray[np.intp]
) -> tuple[npt.NDArray[np.intp], list[str | None]]:
    """Return codes of one text of some samples, spellings put together, and the texts."""
    codes = coded.codes[wide, column].astype(np.intp)
    names: dict[str, int] = {}
    turn = [names.setdefault(" ".join(name.casefold().split()), len(names)) for name in coded.names]
    first: list[str | None] = [None] * (len(names) + 1)
    for name, place in zip(reversed(coded.names), reversed(turn), strict=True):
        first[place] = name
    return np.array([*turn, len(names)], dtype=np.intp)[codes], first


def _time(rows: TrendRows, used: Bools) -> Floats:
    """Return when samples were taken; where a date is missing, how old their fills were."""
    dates = rows.dates[used]
    if np.isnat(dates).any():
        return rows.usage.age[used]
    return dates.astype("datetime64[D]").astype(np.float64)


def _comparable(level: Integers, time: Floats, levels: int) -> Bools:
    """Return which levels were in use together with the reference, or with one that was.

    A level that shares no dates with another differs from it by whatever else changed.
    """
    least = check_settings("method_offsets")["least_shared"].value
    spans = [time[level == k] for k in range(levels)]
    known = np.zeros(levels, dtype=bool)
    known[0] = spans[0].size > 0
    new = [0] if known[0] else []
    while new:
        base = spans[new.pop()]
        for k in np.flatnonzero(~known).tolist():
            if not spans[k].size:
                continue
            first = max(base.min(), spans[k].min())
            last = min(base.max(), spans[k].max())
            shared = [((one >= first) & (one <= last)).sum() for one in (base, spans[k])]
            if min(shared) >= least:
                known[k] = True
                new.append(k)
    return known[1:]
