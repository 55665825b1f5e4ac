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
        self._place = np.full(len(serves) + 1, self._rows.size, dtype=np.int32)
        self._place[self._rows] = np.arange(self._rows.size, dtype=np.int32)
        self._columns: dict[int, tuple[Singles, Singles, Singles]] = {}

    def at(self, row: Rows) -> Rows:
        """Return where rows stand; for -1, where nothing is read."""
        return self._place[row]

    def column(self, j: int) -> tuple[Singles, Singles, Singles]:
        """Return ends and standard uncertainties of a column, with no reading at its end."""
        if j not in self._columns:
            self._columns[j] = (
                _with_none(self._readings.lower[:, j], self._rows),
                _with_none(self._readings.upper[:, j], self._rows),
                _with_none(self._uncertainty[:, j], self._rows),
            )
        return self._columns[j]


def _with_none(values: npt.NDArray[np.floating], rows: Rows) -> Singles:
    answer = np.full(rows.size + 1, np.nan, dtype=np.float32)
    answer[:-1] = values[rows]
    return answer
