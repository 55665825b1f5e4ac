"""What the samples of a stretch are held against: readings of their reference rows."""

from functools import cached_property
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from chemcheck.causes.plan import UNKNOWN, Plan
from chemcheck.causes.reference_readings import method_variance

Singles = npt.NDArray[np.float32]
Rows = npt.NDArray[np.integer]


class Reference(NamedTuple):
    """Ends of the reading that serves as reference, and the variance of its method.

    Parameters
    ----------
    low, high, variance : ndarray of float32, shape (n,)
        Ends are NaN where there is no such reading.
    missing : ndarray of int, shape (k,)
        Where there is none.
    """

    low: Singles
    high: Singles
    variance: Singles
    missing: npt.NDArray[np.intp]


class HeldAgainst:
    """References of a stretch of samples; each read when first asked for.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    rows : slice or ndarray of int
        The stretch: a slice of a batch, whose references are read from where they are kept
        together, or some samples, whose references are read where they stand.
    """

    def __init__(self, plan: Plan, rows: slice | npt.NDArray[np.intp]) -> None:
        self._plan = plan
        self._rows = rows
        self._is_batch = isinstance(rows, slice)
        self._sources: dict[str, list[Rows]] = {}
        # By the identity of the rows of a source, which lives as long as this.
        self._kept: dict[int, Singles] = {}
        self._read: dict[tuple[str, str], Reference] = {}

    def of(self, analyte: str, held: str) -> Reference:
        """Return the reading that serves as reference."""
        if held == "previous" and self.is_one:
            held = "reference"
        if (analyte, held) not in self._read:
            self._read[analyte, held] = self._first_read(analyte, self._sources_of(held))
        return self._read[analyte, held]

    def share_of_life(self, held: str) -> Singles:
        """Return the share of a service life that went by since the reference."""
        references = self._plan.references
        since = references.since_first if held == "reference" else references.since_before
        return since[self._rows]

    @cached_property
    def since(self) -> npt.NDArray[np.bool_]:
        """Where the sample before is another than the one that shows the fill's beginning."""
        references = self._plan.references
        before, first = references.previous[self._rows], references.baseline[self._rows]
        return np.asarray(
            (before >= 0) & (before != first) & (before != references.fresh[self._rows])
        )

    @cached_property
    def is_one(self) -> bool:
        """Whether the sample before is the one that shows the fill's beginning, in every row."""
        references = self._plan.references
        same = references.previous is references.baseline
        return same and not (references.fresh[self._rows] >= 0).any()

    def _first_read(self, analyte: str, sources: list[Rows]) -> Reference:
        """Return the reading of the first of several rows that has one."""
        low, high, variance = self._read_at(analyte, sources[0])
        missing = np.flatnonzero(np.isnan(low))
        for rows in sources[1:]:
            if missing.size:
                low[missing], high[missing], variance[missing] = self._read_at(
                    analyte, rows, missing
                )
                missing = missing[np.isnan(low[missing])]
        return Reference(low, np.minimum(high, UNKNOWN, out=high), variance, missing)

    def _read_at(
        self, analyte: str, rows: Rows, at: npt.NDArray[np.intp] | None = None
    ) -> tuple[Singles, Singles, Singles]:
        """Return readings of rows, or of some of them, and their methods' variance."""
        j = self._plan.column[analyte]
        if self._is_batch:
            kept = self._kept_of(rows)[3 * j : 3 * j + 3]
            low, high, variance = kept if at is None else kept[:, at]
            return low, high, variance
        rows = rows if at is None else rows[at]
        readings = self._plan.readings
        low, high = (ends[rows, j].astype(np.float32) for ends in (readings.lower, readings.upper))
        nowhere = rows < 0
        low[nowhere], high[nowhere] = np.nan, np.nan
        return low, high, method_variance(self._plan.uncertainty[rows, j])

    def _kept_of(self, rows: Rows) -> Singles:
        """Return all readings of rows, fetched once for all analytes."""
        if id(rows) not in self._kept:
            self._kept[id(rows)] = self._plan.reference_readings.of(rows)
        return self._kept[id(rows)]

    def _sources_of(self, held: str) -> list[Rows]:
        """Return the rows that samples are held against, the first choice first."""
        if held not in self._sources:
            references, rows = self._plan.references, self._rows
            if held == "previous":
                sources: list[Rows] = [references.previous[rows]]
            else:
                fresh = references.fresh[rows]
                some = [fresh] if (fresh >= 0).any() else []
                sources = [references.baseline[rows], *some]
            self._sources[held] = sources
        return self._sources[held]
