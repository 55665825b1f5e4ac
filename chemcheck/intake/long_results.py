"""Results of a long table, a row per result, placed in a column per analyte."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.readings.record import ABSENT, READ, REJECTED


@dataclass(frozen=True, slots=True)
class PlacedResults:
    """Results of a long table, placed in whole columns.

    Parameters
    ----------
    lower, upper, status : ndarray, shape (n_samples, n_columns), Fortran order
        As in `Readings`; ``ABSENT`` where the table has no result.
    repeated : ndarray of bool, shape (n_results,)
        Results that say what another of the same sample and column says.
    contradictory : ndarray of bool, shape (n_results,)
        Results that say something else; their cell is rejected.
    """

    lower: npt.NDArray[np.float64]
    upper: npt.NDArray[np.float64]
    status: npt.NDArray[np.int8]
    repeated: npt.NDArray[np.bool_]
    contradictory: npt.NDArray[np.bool_]


def place_results(
    shape: tuple[int, int],
    sample: npt.NDArray[np.int64],
    column: npt.NDArray[np.int64],
    lower: npt.NDArray[np.float64],
    upper: npt.NDArray[np.float64],
    status: npt.NDArray[np.int8],
) -> PlacedResults:
    """Turn a long table, a row per result, into a column per analyte.

    Parameters
    ----------
    shape : (int, int)
        Numbers of samples and columns.
    sample, column : ndarray of int64, shape (n_results,)
        Where each result belongs.
    lower, upper : ndarray of float64, shape (n_results,)
        Its ends [the analyte's canonical unit].
    status : ndarray of int8, shape (n_results,)
        ``READ``, ``BLANK`` or ``REJECTED``. A reading fills a cell before a blank does.

    Returns
    -------
    PlacedResults
        Several results of one sample and column must agree; else the cell is rejected.

    Examples
    --------
    >>> value = np.array([7.0, 8.0, 8.0, 9.0])
    >>> none = np.zeros(4, np.int8)
    >>> sample, column = np.array([0, 1, 1, 1]), np.array([0, 0, 0, 1])
    >>> at = place_results((2, 2), sample, column, value, value, none)
    >>> at.lower.tolist(), at.repeated.tolist()
    ([[7.0, nan], [8.0, 9.0]], [False, False, True, False])
    """
    cell = column * shape[0] + sample
    order = np.lexsort((status, cell))
    begins = np.flatnonzero(np.diff(cell[order], prepend=-1))
    sizes = np.diff(np.r_[begins, len(order)])
    first = np.repeat(order[begins], sizes)
    read = (status[order] == READ) & (status[first] == READ)
    differs = read & ((lower[order] != lower[first]) | (upper[order] != upper[first]))
    bad = np.repeat(np.logical_or.reduceat(differs, begins), sizes) if len(begins) else differs
    repeated, contradictory = np.zeros(len(cell), dtype=bool), np.zeros(len(cell), dtype=bool)
    repeated[order] = read & ~bad & (order != first)
    contradictory[order] = bad & (status[order] == READ)
    leaders = order[begins]
    good = leaders[~contradictory[leaders]]
    flat = [np.full(shape[0] * shape[1], np.nan) for _ in range(2)]
    flat[0][cell[good]], flat[1][cell[good]] = lower[good], upper[good]
    state = np.full(shape[0] * shape[1], ABSENT)
    state[cell[leaders]] = status[leaders]
    state[cell[contradictory]] = REJECTED
    return PlacedResults(
        flat[0].reshape(shape, order="F"),
        flat[1].reshape(shape, order="F"),
        state.reshape(shape, order="F"),
        repeated,
        contradictory,
    )
