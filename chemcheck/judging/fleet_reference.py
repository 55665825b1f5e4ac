"""What new coolant is held against: the fleet's fresh-fill references, at its own strength."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.judging.glycol_of_concentrate import GLYCOL
from chemcheck.judging.uncertainty import PrecisionTable
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]
Rows = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class ReferenceEnd:
    """One end of what references hold, for each sample of new coolant.

    Parameters
    ----------
    lower, upper : ndarray of float64, shape (m, n_columns)
        Between these the end lies, because the strengths are intervals; infinite where the
        references ask for nothing, NaN where none was read [canonical unit].
    u : ndarray of float64, shape (m, n_columns)
        Its standard uncertainty: of the reference's method and of both strengths.
    """

    lower: Floats
    upper: Floats
    u: Floats


@dataclass(frozen=True, slots=True)
class FleetReference:
    """References of the samples of new coolant among some readings.

    Parameters
    ----------
    row : ndarray of int, shape (m,)
        The samples of new coolant.
    place : ndarray of int, shape (n_samples,)
        Position of each sample among them; -1 for all others.
    least, most : ReferenceEnd
        What the references hold at the least and at the most, at the sample's strength.
    group : ndarray of int, shape (m,)
        Position in ``members``.
    members : tuple of (ndarray of int)
        Samples that are references of one technology and glycol; a sample that is among
        its own references was not held against itself.
    """

    row: Rows
    place: npt.NDArray[np.intp]
    least: ReferenceEnd
    most: ReferenceEnd
    group: npt.NDArray[np.intp]
    members: tuple[Rows, ...]

    def of(self, k: int) -> Rows:
        """Return the references of one sample of new coolant, without itself."""
        members = self.members[int(self.group[k])]
        return np.asarray(members[members != self.row[k]])


@dataclass(frozen=True, slots=True)
class _Side:
    """Readings of one column in some samples, and their glycol."""

    lower: Floats
    upper: Floats
    u: Floats
    share_lower: Floats
    share_upper: Floats
    share_u: Floats  # relative


def fleet_reference(
    readings: Readings,
    goods: Rows,
    references: Rows,
    precision: PrecisionTable,
    material: npt.NDArray[np.int8],
    absent_below: Mapping[str, float],
) -> FleetReference:
    """Bring the fleet's references to the strength of each sample of new coolant.

    Parameters
    ----------
    readings : Readings
        With the glycol filled in where it was worked out.
    goods, references : ndarray of int
        Samples of new coolant, and those that may serve as reference. A sample in both is
        not held against itself.
    precision : PrecisionTable
        Of the methods.
    material : ndarray of int8, shape (n_samples,)
        0 for water, 1 for coolant.
    absent_below : mapping of str to float
        By analyte, the amount that counts as none [canonical unit].

    Returns
    -------
    FleetReference
        For every column of these analytes and of glycol. References have the technology of
        the sample; a glycol that either leaves open may be the same.

    Notes
    -----
    An amount per glycol does not change with the water added, so ``amount x glycol of the
    sample / glycol of the reference`` is what the reference would read at the sample's
    strength. Glycol itself is compared as it is. Relative uncertainties of the reference's
    method and of both strengths add in quadrature (JCGM 100:2008, 5.1.6); those of strengths
    that are intervals remain intervals.
    """
    width = len(readings.columns)
    ends = [ReferenceEnd(*(np.full((goods.size, width), np.nan) for _ in range(3))) for _ in "ab"]
    group, members = _groups(readings.samples, goods, references)
    row = precision.row
    rows_of = {
        name: [
            row(
                readings.method.codes[rows, j],
                material[rows],
                readings.laboratory.codes[rows, j],
            )
            for j in range(width)
        ]
        for name, rows in (("goods", goods), ("references", references))
    }
    share = readings.columns.index(GLYCOL) if GLYCOL in readings.columns else None
    own = _shares(readings, goods, share, precision, rows_of["goods"])
    for k, of_group in enumerate(members):
        at = np.flatnonzero(group == k)
        place = np.flatnonzero(np.isin(references, of_group))
        theirs = _shares(
            readings, of_group, share, precision, [codes[place] for codes in rows_of["references"]]
        )
        for j, column in enumerate(readings.columns):
            if column != GLYCOL and column.analyte not in absent_below:
                continue
            lower, upper = readings.lower[of_group, j], readings.upper[of_group, j]
            u = precision.standard_uncertainty(
                np.where(np.isfinite(upper), upper, lower), j, rows_of["references"][j][place]
            )
            same = goods[at][:, None] == of_group[None, :]
            if column == GLYCOL:
                _fill_as_read(ends, at, j, lower, upper, u, same)
            else:
                side = _Side(lower, upper, u, *theirs)
                of_sample = tuple(each[at] for each in own)
                _fill_scaled(ends, at, j, side, of_sample, same, absent_below[column.analyte])
    place_of = np.full(len(readings.samples), -1, dtype=np.intp)
    place_of[goods] = np.arange(goods.size)
    return FleetReference(goods, place_of, ends[0], ends[1], group, members)


def _groups(
    samples: pd.DataFrame, goods: Rows, references: Rows
) -> tuple[npt.NDArray[np.intp], tuple[Rows, ...]]:
    """Return which references each sample of new coolant has, by technology and glycol."""
    technology = pd.factorize(samples["technology"])[0]
    glycol = pd.factorize(samples["glycol_type"])[0]
    kinds = np.column_stack([technology, glycol])
    distinct, group = np.unique(kinds[goods], axis=0, return_inverse=True)
    members = []
    for one, kind in distinct.tolist():
        fits = (technology[references] == one) & (one >= 0)
        if kind >= 0:
            fits &= (glycol[references] == kind) | (glycol[references] < 0)
        members.append(references[fits])
    return np.asarray(group, dtype=np.intp).reshape(-1), tuple(members)


def _shares(
    readings: Readings,
    rows: Rows,
    column: int | None,
    precision: PrecisionTable,
    row: Sequence[npt.NDArray[np.intp]],
) -> tuple[Floats, Floats, Floats]:
    """Return the ends of the glycol of some samples, and its relative uncertainty."""
    if column is None:
        nothing = np.full(rows.size, np.nan)
        return nothing, nothing, nothing
    lower, upper = readings.lower[rows, column], readings.upper[rows, column]
    with np.errstate(divide="ignore", invalid="ignore"):  # no glycol: no strength to bring it to
        relative = precision.standard_uncertainty(upper, column, row[column]) / upper
    none = ~(lower > 0)
    return np.where(none, np.nan, lower), np.where(none, np.nan, upper), relative


def _fill_as_read(
    ends: Sequence[ReferenceEnd],
    at: Rows,
    column: int,
    lower: Floats,
    upper: Floats,
    u: Floats,
    same: npt.NDArray[np.bool_],
) -> None:
    """Fill in the range of the references' own readings."""
    for end, (values, absent, pick) in zip(
        ends, ((lower, np.inf, np.argmin), (upper, -np.inf, np.argmax)), strict=True
    ):
        each = np.where(same | np.isnan(values), absent, values)
        if not each.shape[1]:
            continue
        best = pick(each, axis=1)
        known = np.isfinite(np.take_along_axis(each, best[:, None], axis=1)[:, 0])
        value = np.where(known, values[best], np.nan)
        end.lower[at, column] = end.upper[at, column] = value
        end.u[at, column] = np.where(known, u[best], np.nan)


def _fill_scaled(
    ends: Sequence[ReferenceEnd],
    at: Rows,
    column: int,
    theirs: _Side,
    own: tuple[Floats, ...],
    same: npt.NDArray[np.bool_],
    absent_below: float,
) -> None:
    """Fill in what the references would read at the strength of each sample."""
    least, most = ends
    share_lower, share_upper, share_u = own
    left_out = same | np.isnan(theirs.lower) | np.isnan(theirs.share_lower)
    if not left_out.shape[1]:
        return
    with np.errstate(invalid="ignore", divide="ignore"):  # what was not read stays NaN
        of_value = np.where(theirs.upper > 0, theirs.u / theirs.upper, 0.0)
        of_value = np.where(np.isfinite(theirs.upper), of_value, theirs.u / theirs.lower)
        relative = np.hypot(of_value, theirs.share_u)
        per_glycol = theirs.lower / theirs.share_upper, theirs.upper / theirs.share_lower
    low = np.where(left_out, np.inf, per_glycol[0]).argmin(axis=1)
    high = np.where(left_out, -np.inf, per_glycol[1]).argmax(axis=1)
    unknown = left_out.all(axis=1) | np.isnan(share_lower)
    for end, best, of in ((least, low, per_glycol[0]), (most, high, per_glycol[1])):
        with np.errstate(invalid="ignore"):  # an open end at no glycol says nothing
            end.lower[at, column] = np.where(unknown, np.nan, of[best] * share_lower)
            end.upper[at, column] = np.where(unknown, np.nan, of[best] * share_upper)
            end.u[at, column] = end.upper[at, column] * np.hypot(relative[best], share_u)
    # What counts as none asks for nothing, and nobody has too much who has no more than it.
    none = most.upper[at, column] < absent_below
    least.lower[at[none], column] = least.upper[at[none], column] = -np.inf
    least.u[at[none], column] = 0.0
    raised = most.lower[at, column] < absent_below
    most.u[at[raised & none], column] = 0.0
    most.lower[at[raised], column] = absent_below
    most.upper[at, column] = np.fmax(most.upper[at, column], most.lower[at, column])
    open_end = np.isinf(most.upper[at, column])
    most.u[at[open_end], column] = 0.0
    zero = least.lower[at, column] == 0.0
    least.lower[at[zero], column] = -np.inf  # a reading below a detection limit asks for nothing
    least.upper[at[zero], column] = np.where(
        least.upper[at[zero], column] == 0.0, -np.inf, least.upper[at[zero], column]
    )
