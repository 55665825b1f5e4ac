"""Readings that others are held against, each once and close together.

Units stand anywhere in a batch, so that their first samples lie far apart in memory, and each
analyte of one far from the next: for a stretch of samples it takes longer to fetch what they
are held against than to weigh it. The rows that anything is held against are a small part of
all; here all that was read of one stands side by side.
"""

import numpy as np
import numpy.typing as npt

from chemcheck.causes.references import ReferenceRows
from chemcheck.readings.record import Readings

Singles = npt.NDArray[np.float32]
Rows = npt.NDArray[np.integer]
_TURNED = 256


class ReferenceReadings:
    """Readings of all rows that serve as reference.

    Parameters
    ----------
    readings : Readings
        All samples.
    references : ReferenceRows
        Their references.
    uncertainty : ndarray of float32, shape (n_samples, n_columns)
        Standard uncertainty of the methods [canonical unit].
    """

    def __init__(self, readings: Readings, references: ReferenceRows, uncertainty: Singles) -> None:
        serves = np.zeros(len(references.use), dtype=np.bool_)
        for rows in (references.baseline, references.fresh, references.previous):
            serves[rows[rows >= 0]] = True
        kept = np.flatnonzero(serves)
        # The last place is that of no row.
        self._place = np.full(len(serves) + 1, kept.size, dtype=np.intp)
        self._place[kept] = np.arange(kept.size)
        m = readings.lower.shape[1]
        self._table = np.full((kept.size + 1, 3 * m), np.nan, dtype=np.float32)
        for j in range(m):
            self._table[:-1, 3 * j] = readings.lower[kept, j]
            self._table[:-1, 3 * j + 1] = readings.upper[kept, j]
            self._table[:-1, 3 * j + 2] = method_variance(uncertainty[kept, j])

    def of(self, rows: Rows) -> Singles:
        """Return all that was read of some rows; NaN of row -1.

        Parameters
        ----------
        rows : ndarray of int, shape (n,)
            Rows that serve as reference.

        Returns
        -------
        ndarray of float32, shape (3 n_columns, n)
            Of each column of readings both ends and the variance of the method.
        """
        places = self._place[rows]
        answer = np.empty((self._table.shape[1], rows.size), dtype=np.float32)
        # So few at a time that they are turned round within the processor's cache.
        for start in range(0, rows.size, _TURNED):
            some = slice(start, start + _TURNED)
            answer[:, some] = self._table.take(places[some], axis=0).T
        return answer


def method_variance(uncertainty: Singles) -> Singles:
    """Return the variance of readings by their method; none where the method is not known.

    Examples
    --------
    >>> method_variance(np.array([2.0, np.nan, np.inf], dtype=np.float32)).tolist()
    [4.0, 0.0, 0.0]
    """
    variance = np.fmax(uncertainty, 0)
    if np.isinf(variance).any():
        variance[np.isinf(variance)] = 0
    return np.asarray(np.square(variance, out=variance))
