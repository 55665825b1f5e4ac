"""A table of the WQX layout with its columns by name, and the sample each row belongs to."""

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list

_Codes = npt.NDArray[np.int64]


class WqxTable:
    """The columns of a table by the names of `wqx.yaml`.

    Parameters
    ----------
    table : TextTable
        The table.
    places : mapping of str to int
        Where each column stands; a column that is absent is empty.
    """

    def __init__(self, table: TextTable, places: Mapping[str, int]) -> None:
        self.table = table
        self.places = places
        self._coded: dict[str, tuple[list[str], _Codes]] = {}

    def __len__(self) -> int:
        """Return the number of result rows."""
        return len(self.table.row)

    def has(self, column: str) -> bool:
        """Say whether the file has a column."""
        return column in self.places

    def texts(self, column: str) -> list[str]:
        """Return the distinct texts of a column, without spaces around them."""
        return self._column(column)[0]

    def codes(self, column: str) -> _Codes:
        """Return which of its distinct texts each row has."""
        return self._column(column)[1]

    def title(self, column: str) -> str:
        """Return what the file calls a column."""
        return self.table.layout.header[self.places[column]]

    def _column(self, column: str) -> tuple[list[str], _Codes]:
        if column not in self._coded:
            self._coded[column] = self._read(column)
        return self._coded[column]

    def _read(self, column: str) -> tuple[list[str], _Codes]:
        if column not in self.places:
            return [""], np.zeros(len(self), dtype=np.int64)
        texts, codes = self.table.coded(self.places[column])
        return [(text or "").strip() for text in texts.to_pylist()], codes.astype(np.int64)

    def samples(self, rows: _Codes) -> tuple[_Codes, _Codes]:
        """Give the samples of some rows numbers, in the order in which they begin.

        Parameters
        ----------
        rows : ndarray of int64
            The rows that count.

        Returns
        -------
        sample : ndarray of int64, shape (n_rows,)
            Of each of these rows.
        first : ndarray of int64, shape (n_samples,)
            The first row of each sample.
        """
        key = np.zeros(len(rows), dtype=np.int64)
        for column in word_list("wqx")["sample_key"]:
            if self.has(column):
                key = combined(key, self.codes(column)[rows])
        sample, first = np.unique(key, return_index=True)
        order = np.argsort(first)
        place = np.empty(len(sample), dtype=np.int64)
        place[order] = np.arange(len(sample))
        return place[key], rows[first[order]]


def combined(key: _Codes, more: _Codes) -> _Codes:
    """Give each distinct pair of two codes a number.

    Examples
    --------
    >>> combined(np.array([0, 0, 1, 0]), np.array([5, 6, 5, 5])).tolist()
    [0, 1, 2, 0]
    """
    pair = key * (int(more.max(initial=0)) + 1) + more
    return np.asarray(pd.factorize(pair)[0], dtype=np.int64)
