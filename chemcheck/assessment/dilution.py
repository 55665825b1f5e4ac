"""How far each sample's coolant had been diluted by top-ups, by what only dilution changes."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.along_fills import previous_samples, running_sums
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.fills.event_signs import event_signs
from chemcheck.fills.top_up_shares import dilution_library
from chemcheck.readings.record import READ, Readings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Integers = npt.NDArray[np.int64]

LITRES, NOTHING = "litres logged", ""
# No factor of one step goes beyond these, whatever a misread tracer says.
LEAST_STEP, MOST_STEP = np.log(0.02), np.log(50.0)


@dataclass(frozen=True, slots=True)
class Dilution:
    """What top-ups did to the coolant of every fill, and how they go on.

    Parameters
    ----------
    log_left : ndarray, shape (n_samples,)
        Logarithm of what the reference says is left since the fill began; 0 where nothing tells.
    reference : ndarray of object, shape (n_groups,)
        What tells: an analyte, `LITRES`, or `NOTHING`.
    rate, variance, walk : ndarray, shape (n_groups,)
        Rate of that logarithm [1 / axis unit], its variance, and the variance that the logarithm
        gains beside it over one axis unit.
    previous : ndarray of int64, shape (n_samples,)
        The sample before in the fill; -1 where there is none.
    log_kept : ndarray, shape (n_samples,)
        Logarithm of what top-ups with coolant since the sample before left of the old one.
    strength : float
        What they bring over a fresh fill, 1 for premix.
    exchange : ndarray, shape (n_groups,)
        Share that such top-ups exchange over one axis unit.
    doses : ndarray of int64, shape (n_samples,)
        How many doses were logged before each sample.
    remarks : tuple of (str, str)
        What was corrected by what, what was not, and what disagrees.
    """

    log_left: Floats
    reference: npt.NDArray[np.object_]
    rate: Floats
    variance: Floats
    walk: Floats
    previous: Integers
    log_kept: Floats
    strength: Floats
    exchange: Floats
    doses: Integers
    remarks: tuple[tuple[str, str], ...]

    def corrects(self, readings: Readings, column: int) -> bool:
        """Say whether an analyte is one that top-ups dilute, and any fill tells by how much."""
        diluted = readings.columns[column].analyte in dilution_library().diluted
        return diluted and bool((self.reference != NOTHING).any())

    def references(self) -> list[str]:
        """Return what tells the dilution, most fills first."""
        names, counts = np.unique(
            self.reference[self.reference != NOTHING].astype(np.str_), return_counts=True
        )
        return [str(names[k]) for k in np.argsort(-counts, kind="stable")]

    def log_factor(self, readings: Readings, rows: TrendRows, column: int) -> Floats:
        """Return by what each sample's reading was moved by top-ups since its fill began.

        Parameters
        ----------
        readings : Readings
            The samples.
        rows : TrendRows
            Where they stand.
        column : int
            Of the readings.

        Returns
        -------
        ndarray, shape (n_samples,)
            Logarithm of the factor: the reading over it is what chemistry alone would have left.

        Notes
        -----
        Water takes all down by one factor, which glycol shows: c G0/G is corrected. Premix of
        share v turns c into c (1 - v) + v c_fresh, and glycol likewise, so that it is corrected
        for by both factors' quotient.
        """
        steps = np.flatnonzero(self.log_kept < 0.0)
        if not steps.size:
            return self.log_left
        ratio, glycol = self._ratios(readings, rows, column, self.previous[steps], steps)
        kept = np.exp(self.log_kept[steps])
        brought = (1.0 - kept) * self.strength[steps]
        by_step = np.zeros(len(self.log_left))
        with np.errstate(divide="ignore"):
            factor = np.log(kept + brought * ratio) - np.log(kept + brought * glycol)
        by_step[steps] = np.where(np.isnan(ratio), 0.0, np.clip(factor, LEAST_STEP, MOST_STEP))
        return self.log_left + running_sums(by_step, rows)

    def drift(
        self, readings: Readings, rows: TrendRows, column: int, last: Integers, level: Floats
    ) -> pd.DataFrame:
        """Return how a bound moves on the corrected scale, as `FleetTrend.first_crossing` takes it.

        Parameters
        ----------
        readings, rows, column
            As for `log_factor`.
        last : ndarray of int64, shape (n,)
            Last sample of each fill.
        level : ndarray, shape (n,)
            About where the reading will be [canonical unit].
        """
        group = rows.fills.group[last]
        ratio, glycol = self._ratios(readings, rows, column, None, last, level)
        more = np.nan_to_num(ratio - glycol)
        exchange = self.exchange[group] * self.strength[last]
        return pd.DataFrame(
            {
                "rate": -(self.rate[group] + exchange * more),
                "variance": self.variance[group],
                "walk": self.walk[group],
            },
            index=pd.Index(group, name="group"),
        )

    def _ratios(
        self,
        readings: Readings,
        rows: TrendRows,
        column: int,
        before: Integers | None,
        at: Integers,
        level: Floats | None = None,
    ) -> tuple[Floats, Floats]:
        """Return the fresh fill's reading over that before a top-up, and the same of glycol."""
        middle = middle_of(readings, column)
        fresh = np.append(middle, np.nan)[rows.fresh[at]]
        now = middle[before] if before is not None else level
        left = self.log_left[at if before is None else before]
        # Where litres of water stand for glycol, top-ups with coolant are not in them.
        by_litres = self.reference[rows.fills.group[at]] == LITRES
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.where(np.asarray(now) > 0.0, fresh / now, np.nan)
        return ratio, np.where(by_litres, 1.0, np.exp(-left))

    def breaks(
        self, readings: Readings, rows: TrendRows, column: int, pooled: Bools
    ) -> Bools | None:
        """Return before which of some samples a dose raised this analyte.

        Parameters
        ----------
        readings, rows, column
            As for `log_factor`.
        pooled : ndarray of bool, shape (n_samples,)
            Samples with a reading of it.

        Returns
        -------
        ndarray of bool, shape (pooled,), or None
            None where nothing did.
        """
        if readings.columns[column].analyte not in event_signs().dosed:
            return None
        previous = previous_samples(rows, pooled)[pooled]
        doses = self.doses[pooled]
        raised = (previous >= 0) & (doses != self.doses[previous])
        return raised if raised.any() else None


def column_of(readings: Readings, analyte: str) -> int:
    """Return the first column of an analyte; -1 where there is none."""
    names = [column.analyte for column in readings.columns]
    return names.index(analyte) if analyte in names else -1


def exact_readings(readings: Readings, analyte: str) -> Bools:
    """Return the samples with an exact reading above zero of an analyte."""
    column = column_of(readings, analyte)
    if column < 0:
        return np.zeros(len(readings.samples), dtype=bool)
    lower, upper = readings.lower[:, column], readings.upper[:, column]
    upper = upper / readings.shared_factor[:, column]
    exact = np.isclose(lower, upper, rtol=1e-6, atol=0.0) & (lower > 0.0)
    return np.asarray(exact & (readings.status[:, column] == READ))


def middle_of(readings: Readings, column: int) -> Floats:
    """Return the middle of each reading, NaN where there is none or it is open above."""
    lower = readings.lower[:, column]
    upper = np.maximum(readings.upper[:, column] / readings.shared_factor[:, column], lower)
    read = (readings.status[:, column] == READ) & np.isfinite(upper)
    return np.where(read, (lower + upper) / 2.0, np.nan)
