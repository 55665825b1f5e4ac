"""The lines of a table that belong to one key, taken out when they are asked for."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd


@dataclass(frozen=True, slots=True)
class LinesByKey:
    """A table and where the lines of each key stand in it.

    Parameters
    ----------
    table : DataFrame or None
        All lines.
    places : mapping of tuple to ndarray of int
        Their positions by the values of the key's columns.

    Notes
    -----
    Pages are written for few of the samples of a batch: to divide the whole table for them
    would take longer than all else.
    """

    table: pd.DataFrame | None
    places: Mapping[tuple[Any, ...], npt.NDArray[np.intp]]

    @classmethod
    def of(cls, table: pd.DataFrame | None, *columns: str) -> "LinesByKey":
        """Find the lines by the values of some columns.

        Examples
        --------
        >>> table = pd.DataFrame({"unit_id": ["A", "B", "A"], "litres": [2.0, 5.0, 1.0]})
        >>> lines = LinesByKey.of(table, "unit_id")
        >>> lines.get(("A",))["litres"].tolist(), lines.get(("C",))
        ([2.0, 1.0], None)
        """
        if table is None or not len(table):
            return cls(None, {})
        found = table.groupby(list(columns), sort=False).indices
        places = {
            key if isinstance(key, tuple) else (key,): np.asarray(at, dtype=np.intp)
            for key, at in found.items()
        }
        return cls(table, places)

    def get(self, key: tuple[Any, ...]) -> pd.DataFrame | None:
        """Return the lines of a key, None where there is none."""
        at = self.places.get(key)
        return None if at is None or self.table is None else self.table.iloc[at]
