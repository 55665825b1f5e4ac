"""Samples that do not look like their unit: swapped bottles, and readings off by one factor."""

import warnings
from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import chdtri

from chemcheck.assessment.along_fills import in_order
from chemcheck.assessment.dilution import Dilution
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.errors import NotEnoughDataError
from chemcheck.fills.event_signs import event_signs
from chemcheck.fills.neighbours import lines_through_neighbours
from chemcheck.readings.record import READ, Readings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Integers = npt.NDArray[np.int64]

COLUMNS = ("row", "distance", "kind", "other", "factor", "question")
SWAP, FACTOR, UNLIKE = "swapped bottles", "one factor", "unlike its unit"
# A fingerprint takes so many analytes, a covariance so many samples for each, and what a unit
# looks like so many others of its fill.
LEAST_ANALYTES, SAMPLES_AN_ANALYTE, LEAST_OTHERS = 3, 6, 2
# An analyte belongs to the fingerprint if this share of the samples has it.
PRESENT = 0.9
# Chance of a good sample being asked about, and of one that fits being thought not to.
ODD, FITS = 1e-4, 0.01
# Bottles are swapped on one round: between samples at most so many days apart.
SAME_ROUND = 3
# More samples change no covariance that anybody sees.
MOST_FITTED, FIT_SEED = 2_000, 20_260_105
# No logarithm of a reading is trusted more closely than this.
LEAST_ERROR = 0.02
# A factor nearer to one than this is no slip.
LEAST_FACTOR = 0.25


def odd_samples(readings: Readings, rows: TrendRows, dilution: Dilution) -> pd.DataFrame:
    """Find samples whose inhibitor fingerprint does not fit the others of their fill.

    Parameters
    ----------
    readings : Readings
        The samples.
    rows : TrendRows
        Where they stand.
    dilution : Dilution
        What top-ups did; fingerprints are corrected for it.

    Returns
    -------
    DataFrame
        ``row``, ``distance`` (robust, in standard deviations), ``kind``, ``other`` (row of the
        bottle it may have been swapped with, -1 for none), ``factor`` (NaN but for one factor),
        ``question``. A swap is asked about only if both bottles fit the other's unit and not
        their own.

    Notes
    -----
    The fingerprint is the logarithm of what is in a fill from the start, less what a robust line
    through its neighbours in the fill says. Its covariance in each technology is the minimum
    covariance determinant [1]_, which odd samples do not bend.

    References
    ----------
    .. [1] Rousseeuw, P. J. and Van Driessen, K. (1999), A fast algorithm for the minimum
       covariance determinant estimator, Technometrics 41, 212-223, as scikit-learn implements
       it.
    """
    technology = np.append(rows.technology, [None])[rows.fills.group]
    found: list[tuple[int, float, str, int, float, str]] = []
    for kind in pd.unique(technology[rows.usable]):
        found.extend(
            _of_technology(readings, rows, dilution, rows.usable & rows.of_technology(kind))
        )
    return pd.DataFrame(found, columns=list(COLUMNS))


def held_out(samples: pd.DataFrame, wanted: Sequence[str]) -> Bools:
    """Find the samples that a user wants left out.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``file`` and ``row``.
    wanted : sequence of str
        Rows as a spreadsheet numbers them, or FILE:ROW where there are several files.

    Raises
    ------
    NotEnoughDataError
        If one is no row of these files, or a row of several.

    Examples
    --------
    >>> held_out(pd.DataFrame({"file": ["a.csv", "b.csv"], "row": [2, 2]}), ["b.csv:2"])
    array([False,  True])
    """
    mask = np.zeros(len(samples), dtype=bool)
    file = samples["file"].astype("str")
    for text in wanted:
        name, _, number = text.rpartition(":")
        here = (samples["row"].astype("str") == number.strip()).to_numpy()
        if name:
            here = here & (file.eq(name) | file.str.endswith("/" + name)).to_numpy()
        if here.sum() != 1:
            found = "no sample" if not here.any() else f"{here.sum()} samples"
            problem = f"--hold-out {text}: {found}; expected one row, such as 12 or FILE:12"
            raise NotEnoughDataError(problem)
        mask |= here
    return mask


def samples_asked_about(odd: pd.DataFrame, samples: int) -> Bools:
    """Return which samples a table of odd samples is about, both bottles of a swap.

    Parameters
    ----------
    odd : DataFrame
        As `odd_samples` gives it.
    samples : int
        How many samples there are.

    Returns
    -------
    ndarray of bool, shape (samples,)

    Examples
    --------
    >>> samples_asked_about(pd.DataFrame({"row": [2, 1], "other": [3, -1]}), 4)
    array([False,  True,  True,  True])
    """
    mask = np.zeros(samples, dtype=bool)
    for name in ("row", "other"):
        places = odd[name].to_numpy(dtype=np.int64)
        mask[places[places >= 0]] = True
    return mask


def _of_technology(
    readings: Readings, rows: TrendRows, dilution: Dilution, pooled: Bools
) -> Iterator[tuple[int, float, str, int, float, str]]:
    prints = _Prints.of(readings, rows, dilution, pooled)
    if prints is None:
        return
    own = prints.distance(prints.beside)
    size = prints.beside.shape[1]
    cut = chdtri(size, ODD)
    odd = np.flatnonzero(own > cut)
    fits = chdtri(size, FITS)
    swapped: set[int] = set()
    for i in odd.tolist():
        if i in swapped:
            continue
        row, distance = int(prints.row[i]), float(np.sqrt(own[i]))
        partner = prints.partner(i, odd, own, fits, rows)
        factor = prints.one_factor(i, fits)
        if partner >= 0:
            swapped |= {i, partner}
            other = int(prints.row[partner])
            said = (
                f"{_named(readings, row)} and {_named(readings, other)} each fit the other's unit "
                "and not their own: were the bottles swapped?"
            )
            yield row, distance, SWAP, other, np.nan, said
        elif factor is not None:
            said = (
                f"all readings of {_named(readings, row)} are about {factor:.2g} times what the "
                "others of its fill say: was a dilution in the laboratory not reckoned back?"
            )
            yield row, distance, FACTOR, -1, factor, said
        elif prints.stands_alone(i, cut):
            said = (
                f"{_named(readings, row)} is unlike the samples before and behind it "
                f"({prints.worst(i)}): another unit's bottle?"
            )
            yield row, distance, UNLIKE, -1, np.nan, said


class _Prints:
    """Fingerprints of one technology beside what their fills look like."""

    def __init__(
        self, row: Integers, values: Floats, group: Integers, age: Floats, names: list[str]
    ) -> None:
        self.row, self.values, self.group, self.names = row, values, group, names
        lines = [lines_through_neighbours(group, age, column) for column in values.T]
        self.middle = np.column_stack([line.predicted for line in lines])
        # The ends of a fill are foreseen less well than its middle.
        self.stretch = lines[0].inflation
        self.beside = (values - self.middle) / self.stretch[:, None]
        self.inverse, self.centre = _robust_inverse(self.beside)

    @classmethod
    def of(
        cls, readings: Readings, rows: TrendRows, dilution: Dilution, pooled: Bools
    ) -> "_Prints | None":
        """Gather the samples with a whole fingerprint; None where there are too few."""
        columns = _fingerprint(readings, pooled)
        if len(columns) < LEAST_ANALYTES:
            return None
        table = np.column_stack([_logarithm(readings, dilution, k) for k in columns])
        whole = pooled & np.isfinite(table).all(axis=1)
        order = in_order(rows, whole)
        group = rows.fills.group[order]
        counts = np.bincount(group, minlength=group.max(initial=0) + 1)[group]
        order = order[counts > LEAST_OTHERS]
        if order.size < SAMPLES_AN_ANALYTE * len(columns):
            return None
        names = [readings.columns[k].analyte.replace("_", " ") for k in columns]
        return cls(order, table[order], rows.fills.group[order], rows.usage.age[order], names)

    def stands_alone(self, i: int, cut: float) -> bool:
        """Say whether a sample is far from those before and behind it, and they are not."""
        inside = 0 < i < len(self.row) - 1
        if not inside or not self.group[i - 1] == self.group[i] == self.group[i + 1]:
            return False
        steps = np.stack(
            [
                self.values[i] - self.values[i - 1],
                self.values[i] - self.values[i + 1],
                self.values[i + 1] - self.values[i - 1],
            ]
        )
        # A step between two samples errs by the root of two more than one sample.
        before, behind, across = self.distance(steps / np.sqrt(2.0))
        return bool(min(before, behind) > cut and across < min(before, behind) / 4.0)

    def distance(self, beside: Floats) -> Floats:
        """Return squared robust distances."""
        away = beside - self.centre
        return np.asarray(np.einsum("na,ab,nb->n", away, self.inverse, away))

    def partner(self, i: int, odd: Integers, own: Floats, fits: float, rows: TrendRows) -> int:
        """Return the odd sample of another unit that fits here, and this one there; -1 for none."""
        unit, day = rows.fills.unit[self.row], rows.dates[self.row]
        near = np.abs((day[odd] - day[i]).astype("timedelta64[D]").astype(np.float64))
        others = odd[(unit[odd] != unit[i]) & (near <= SAME_ROUND)]
        if not others.size:
            return -1
        there = self.values[[i]] - self.middle[others]
        there = self.distance(there / self.stretch[others, None])
        here = self.distance((self.values[others] - self.middle[i]) / self.stretch[i])
        both = np.maximum(there, here)
        best = int(np.argmin(both))
        better = both[best] < min(own[i], own[others[best]])
        return int(others[best]) if better and both[best] <= fits else -1

    def one_factor(self, i: int, fits: float) -> float | None:
        """Return the factor that all readings of a sample are off by, None if no one is."""
        away = self.beside[i] - self.centre
        ones = np.ones(len(away))
        shift = float(ones @ self.inverse @ away / (ones @ self.inverse @ ones))
        rest = away - shift
        whole = shift * float(self.stretch[i])
        if float(rest @ self.inverse @ rest) > fits or abs(np.expm1(whole)) < LEAST_FACTOR:
            return None
        return float(np.exp(whole))

    def worst(self, i: int) -> str:
        """Name the analytes that are furthest off, with their factors."""
        factor = np.exp(self.values[i] - self.middle[i])
        scale = np.sqrt(np.diag(np.linalg.inv(self.inverse)))
        order = np.argsort(-np.abs(self.beside[i] - self.centre) / scale)[:3]
        return ", ".join(f"{self.names[k]} x {factor[k]:.2g}" for k in order.tolist())


def _fingerprint(readings: Readings, pooled: Bools) -> list[int]:
    """Return the columns of what is in a fill from the start that most samples have."""
    answer: dict[str, int] = {}
    for place, column in enumerate(readings.columns):
        if column.analyte not in event_signs().initial:
            continue
        lower, upper = readings.lower[pooled, place], readings.upper[pooled, place]
        told = (readings.status[pooled, place] == READ) & (lower > 0.0) & np.isfinite(upper)
        if told.mean() >= PRESENT:
            answer.setdefault(column.analyte, place)
    return list(answer.values())


def _logarithm(readings: Readings, dilution: Dilution, column: int) -> Floats:
    lower = readings.lower[:, column]
    upper = np.maximum(readings.upper[:, column] / readings.shared_factor[:, column], lower)
    told = (readings.status[:, column] == READ) & (lower > 0.0) & np.isfinite(upper)
    with np.errstate(divide="ignore", invalid="ignore"):
        value = np.where(told, np.log((lower + upper) / 2.0), np.nan)
    # Water takes all of a fingerprint down by one factor, the reference itself included.
    return np.asarray(value - dilution.log_left)


def _robust_inverse(beside: Floats) -> tuple[Floats, Floats]:
    """Return the inverse of the robust covariance, at least that of errors, and the centre."""
    from sklearn.covariance import MinCovDet

    random = np.random.default_rng(FIT_SEED)
    part = beside
    if len(beside) > MOST_FITTED:
        part = beside[random.choice(len(beside), MOST_FITTED, replace=False)]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fitted = MinCovDet(random_state=0).fit(part)
    covariance = fitted.covariance_ + LEAST_ERROR**2 * np.eye(beside.shape[1])
    return np.linalg.inv(covariance), np.asarray(fitted.location_)


def _named(readings: Readings, row: int) -> str:
    one = readings.samples.iloc[row]
    date = "" if pd.isna(one["taken_on"]) else f" of {one['taken_on']:%Y-%m-%d}"
    return f"unit {one['unit_id']}'s sample{date} (row {one['row']})"
