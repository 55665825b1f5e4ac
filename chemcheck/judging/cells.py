"""The readings of a stretch of samples, with their uncertainty."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.judging.comparisons import Term
from chemcheck.judging.decision_rules import Cells, FreshCells
from chemcheck.judging.fleet_reference import ReferenceEnd
from chemcheck.judging.implied import implied_conductivity
from chemcheck.judging.plan import Plan
from chemcheck.readings.record import REJECTED

Floats = npt.NDArray[np.float64]


def read_cells(plan: Plan, rows: slice, column: int) -> Cells:
    """Return a stretch of one column of readings with its uncertainty at both ends.

    Parameters
    ----------
    plan : Plan
        With the readings and the precision of their methods.
    rows : slice
        The stretch.
    column : int
        The column.

    Returns
    -------
    Cells
        The uncertainty at an open end is that of the other end.
    """
    lower, upper = plan.readings.lower[rows, column], plan.readings.upper[rows, column]
    row = _precision_rows(plan, rows, column)
    u_lower = plan.precision.standard_uncertainty(lower, column, row)
    apart = np.flatnonzero((upper > lower) & np.isfinite(upper))
    u_upper = u_lower
    if apart.size:
        u_upper = u_lower.copy()
        row_apart = row if isinstance(row, int) else row[apart]
        u_upper[apart] = plan.precision.standard_uncertainty(upper[apart], column, row_apart)
    return Cells(lower, upper, u_lower, u_upper, np.isnan(lower))


def fresh_cells(
    plan: Plan, rows: slice, fresh: npt.NDArray[np.int64] | None, column: int
) -> FreshCells | None:
    """Return the fresh fill's readings of a column for each sample.

    Parameters
    ----------
    plan : Plan
        With the readings, and the fleet's references of new coolant.
    rows : slice
        The stretch.
    fresh : ndarray of int64, shape (n,), or None
        Sample that shows each one's fresh fill; -1 where there is none.
    column : int
        The column.

    Returns
    -------
    FreshCells or None
        NaN where there is no such reading; None where no sample has one.
    """
    own = None if fresh is None else _cells_of(plan, fresh, column)
    fleet = plan.references
    at = np.zeros(0, dtype=np.intp) if fleet is None else np.flatnonzero(fleet.place[rows] >= 0)
    if fleet is None or not at.size:
        return None if own is None else FreshCells(own, own)
    place = fleet.place[rows][at]
    return FreshCells(
        *(_with_reference(own, end, rows, at, place, column) for end in (fleet.least, fleet.most))
    )


def _with_reference(
    own: Cells | None,
    end: ReferenceEnd,
    rows: slice,
    at: npt.NDArray[np.intp],
    place: npt.NDArray[np.intp],
    column: int,
) -> Cells:
    """Put a fleet's reference in the place of a fill's own fresh sample."""
    nothing = np.full(rows.stop - rows.start, np.nan)
    lower, upper, u_lower, u_upper = (
        nothing.copy() if own is None else getattr(own, name).copy()
        for name in ("lower", "upper", "u_lower", "u_upper")
    )
    lower[at], upper[at] = end.lower[place, column], end.upper[place, column]
    u_lower[at] = u_upper[at] = end.u[place, column]
    return Cells(lower, upper, u_lower, u_upper, np.isnan(lower))


def _cells_of(plan: Plan, fresh: npt.NDArray[np.int64], column: int) -> Cells:
    """Return the readings of other samples, NaN where there is none."""
    readings = plan.readings
    row = plan.precision.row(
        readings.method.codes[fresh, column],
        plan.material[fresh],
        readings.laboratory.codes[fresh, column],
    )
    lower, upper = (
        np.where(fresh < 0, np.nan, ends[fresh, column])
        for ends in (plan.readings.lower, plan.readings.upper)
    )
    last = np.where(np.isfinite(upper), upper, lower)
    u_lower, u_upper = (
        plan.precision.standard_uncertainty(end, column, row) for end in (lower, last)
    )
    return Cells(lower, upper, u_lower, u_upper, np.isnan(lower))


@dataclass(frozen=True, slots=True)
class Stretch:
    """What conditions and rules look at in a stretch of samples.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    rows : slice
        The stretch.
    stratum : ndarray of int16, shape (n,)
        Of each sample of the stretch.
    cells : mapping of int to Cells
        The columns in question.
    """

    plan: Plan
    rows: slice
    stratum: npt.NDArray[np.int16]
    cells: Mapping[int, Cells]

    def ends(self, analyte: str, width: float) -> tuple[Floats, Floats]:
        """Return an analyte's readings, widened as far as is possible; NaN where there is none."""
        place = self.plan.readings.position(analyte)
        if place is None:
            nothing = np.full(self.stratum.shape, np.nan)
            return nothing, nothing.copy()
        low, high = self.cells[place].widened(width)
        # No more is left open where a reading stands than where there is none.
        least, most = vocabulary()[analyte].possible
        return np.maximum(low, least), np.minimum(high, most)

    def implied(
        self, analyte: str, rows: npt.NDArray[np.intp], width: float
    ) -> tuple[Floats, Floats]:
        """Return the ends between which other readings put an analyte in some rows."""
        least, most = vocabulary()[analyte].possible
        lower, upper = np.full(rows.size, least), np.full(rows.size, most)
        if analyte == "conductivity":
            water = np.flatnonzero(self.plan.water[self.stratum[rows]])
            at = rows[water]

            def ends_at(key: str) -> tuple[Floats, Floats]:
                low, high = self.ends(key, width)
                return low[at], high[at]

            lower[water], upper[water] = implied_conductivity(ends_at, at.size)
        return lower, upper

    def term(self, analyte: str) -> Term:
        """Return an analyte's readings as a term of a rule: where missing, all it may be."""
        possible = vocabulary()[analyte].possible
        place = self.plan.readings.position(analyte)
        shape = self.stratum.shape
        if place is None:
            lower, upper = np.full(shape, possible[0]), np.full(shape, possible[1])
            zero = np.zeros(shape)
            return Term(lower, upper, zero, zero, None, np.zeros(shape, dtype=np.bool_), possible)
        cells = self.cells[place]
        missing = cells.missing
        rejected = self.plan.readings.status[self.rows, place] == REJECTED
        shared = self.plan.readings.shared_factor[self.rows, place].astype(np.float64)
        return Term(
            lower=np.where(missing, possible[0], np.clip(cells.lower, *possible)),
            upper=np.where(missing, possible[1], np.clip(cells.upper, *possible)),
            u_lower=np.where(missing, 0.0, cells.u_lower),
            u_upper=np.where(missing, 0.0, cells.u_upper),
            shared=None if np.all(shared == 1.0) else shared,
            read=~missing | rejected,
            possible=possible,
        )


def _precision_rows(plan: Plan, rows: slice, column: int) -> npt.NDArray[np.intp] | int:
    """Return the row of each reading in the table of precision, or the one row of all."""
    method = plan.readings.method.codes[rows, column]
    material = plan.material[rows]
    laboratory = plan.readings.laboratory.codes[rows, column]
    codes = (method, material, laboratory) if plan.precision.of_laboratory else (method, material)
    if method.size and all(each.min() == each.max() for each in codes):
        return int(plan.precision.row(method[:1], material[:1], laboratory[:1])[0])
    return plan.precision.row(method, material, laboratory)
