"""Readings that others are held against, each once and close together.

Units stand anywhere in a batch, so that their first samples lie far apart in memory: for a
stretch of samples it takes longer to fetch what they are held against than to weigh it. The
rows that anything is held against are a small part of all, and fit a processor's cache.
"""

import numpy as np
import numpy.typing as npt

from chemcheck.causes.references import ReferenceRows
from chemcheck.readings.record import Readings

Singles = npt.NDArray[np.float32]
Rows = npt.NDArray[np.integer]


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
        self._readings = readings
        self._uncertainty = uncertainty
        serves = np.zeros(len(references.use), dtype=np.bool_)
        for rows in (references.baseline, references.fresh, references.previous):
            serves[rows[rows >= 0]] = True
        self._rows = np.flatnonzero(serves)
        # The last place is that of no row.
        self._place = np.full(len(serves) + 1, self._rows.size, dtype=np.intp)
        self._place[self._rows] = np.arange(self._rows.size)
        self._columns: dict[int, tuple[Singles, Singles, Singles]] = {}

    def places(self, rows: Rows) -> Rows:
        """Return where rows stand; for -1, where nothing is read."""
        return self._place[rows]

    def column(self, j: int) -> tuple[Singles, Singles, Singles]:
        """Return ends of a column and variances of its methods, with no reading at its end."""
        if j not in self._columns:
            self._columns[j] = (
                _with_none(self._readings.lower[:, j], self._rows),
                _with_none(self._readings.upper[:, j], self._rows),
                method_variance(_with_none(self._uncertainty[:, j], self._rows)),
            )
        return self._columns[j]


def _with_none(values: npt.NDArray[np.floating], rows: Rows) -> Singles:
    answer = np.full(rows.size + 1, np.nan, dtype=np.float32)
    answer[:-1] = values[rows]
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
