"""Several results of one sample and analyte, made one reading."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.readings.record import BLANK, READ, REJECTED

_Floats = npt.NDArray[np.float64]
_Places = npt.NDArray[np.int64]
_Mask = npt.NDArray[np.bool_]

# Two numbers of one result in two units differ by the rounding of the factor as well.
_OF_FACTORS = 1e-6
# A reading says more than a rejected result, and that more than a blank.
_RANK = np.zeros(3, dtype=np.int64)
_RANK[[READ, REJECTED, BLANK]] = 0, 1, 2


@dataclass(frozen=True, slots=True)
class JoinedResults:
    """Results of a long table with one for each cell.

    Parameters
    ----------
    place : ndarray of int64, shape (n_cells,)
        The result that stands for each cell, in the order of the cells' numbers.
    lower, upper : ndarray of float64, shape (n_cells,)
        The ends of each cell's reading [canonical unit].
    status : ndarray of int8, shape (n_cells,)
        ``READ``, ``BLANK`` or ``REJECTED``.
    kept : ndarray of int64, shape (n_results,)
        For each result, the one that stands for its cell.
    differs : ndarray of bool, shape (n_cells,)
        Cells whose results contradict each other: the reading spans them all.
    """

    place: _Places
    lower: _Floats
    upper: _Floats
    status: npt.NDArray[np.int8]
    kept: _Places
    differs: _Mask


def join_results(
    cell: _Places,
    lower: _Floats,
    upper: _Floats,
    rounding: _Floats,
    status: npt.NDArray[np.int8],
) -> JoinedResults:
    """Make one reading of the results that belong to one cell.

    Parameters
    ----------
    cell : ndarray of int64, shape (n_results,)
        The cell of each result: one sample, one analyte, one basis.
    lower, upper : ndarray of float64, shape (n_results,)
        The ends of each result [canonical unit].
    rounding : ndarray of float64, shape (n_results,)
        Half a unit of its last digit [canonical unit].
    status : ndarray of int8, shape (n_results,)
        ``READ``, ``BLANK`` or ``REJECTED``.

    Returns
    -------
    JoinedResults
        Results that agree within their rounding, as nitrate written as N and as NO3,
        count once, by the one with the most digits. Results that do not agree are
        carried as the range from the least to the greatest, so that none is preferred.

    Examples
    --------
    >>> value = np.array([5.843, 5.84, 7.0, 7.7])
    >>> joined = join_results(
    ...     np.array([0, 0, 1, 1]), value, value, np.array([0.022, 0.005, 0.05, 0.05]),
    ...     np.zeros(4, np.int8),
    ... )
    >>> joined.lower.tolist(), joined.upper.tolist(), joined.differs.tolist()
    ([5.84, 7.0], [5.84, 7.7], [False, True])
    """
    if not len(cell):
        none = np.zeros(0, dtype=np.int64)
        empty = np.zeros(0)
        return JoinedResults(none, empty, empty, status, none, np.zeros(0, dtype=bool))
    rank = _RANK[status]
    read = status == READ
    margin = rounding + _OF_FACTORS * np.where(read, np.abs(lower), 0.0)
    low, high = np.where(read, lower - margin, np.nan), np.where(read, upper + margin, np.nan)
    width = np.where(read, high - low, np.inf)
    order = np.lexsort((np.arange(len(cell)), width, rank, cell))
    begins = np.flatnonzero(np.diff(cell[order], prepend=cell[order[0]] - 1))
    place = order[begins]
    apart = np.fmax.reduceat(low[order], begins) > np.fmin.reduceat(high[order], begins)
    least = np.fmin.reduceat(np.where(read, lower, np.nan)[order], begins)
    greatest = np.fmax.reduceat(np.where(read, upper, np.nan)[order], begins)
    # Of contradicting results the first in the file stands for the cell.
    first = np.minimum.reduceat(np.where(read, np.arange(len(cell)), len(cell))[order], begins)
    place = np.where(apart, first, place)
    sizes = np.diff(np.r_[begins, len(cell)])
    kept = np.empty(len(cell), dtype=np.int64)
    kept[order] = np.repeat(place, sizes)
    return JoinedResults(
        place,
        np.where(apart, least, lower[place]),
        np.where(apart, greatest, upper[place]),
        status[place],
        kept,
        apart,
    )


def half_steps(texts: Sequence[str]) -> _Floats:
    """Return half a unit of the last digit of each text, as it is written.

    Examples
    --------
    >>> half_steps(["7", "7.0", "<0.005"]).tolist()
    [0.5, 0.05, 0.0005]
    """
    digits = pc.extract_regex(pa.array(texts, pa.string()), r"[.,](?P<decimals>\d+)")
    places = pc.fill_null(pc.utf8_length(digits.field("decimals")), 0)
    places = pc.if_else(digits.is_valid(), places, 0)
    return np.asarray(0.5 * 10.0 ** -np.asarray(places).astype(np.float64))
