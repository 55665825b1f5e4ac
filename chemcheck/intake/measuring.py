"""How each reading of a file was measured: method, laboratory and lot."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import MATERIALS
from chemcheck.errors import not_one_of
from chemcheck.intake.cell_records import Measured
from chemcheck.intake.choices import Choices
from chemcheck.intake.column_plan import Column
from chemcheck.intake.samples import text_column
from chemcheck.intake.table import TextTable
from chemcheck.limit_library import find_method, methods
from chemcheck.limit_library.records import Method
from chemcheck.readings.record import Coded

_Codes = npt.NDArray[np.int32]
_MOST = np.iinfo(np.int16).max


@dataclass(frozen=True, slots=True)
class RowText:
    """A fact of each row as text, once per distinct text.

    Parameters
    ----------
    codes : ndarray of int32, shape (n_rows,)
        Position in ``names``; -1 where not stated.
    names : tuple of str
        The distinct texts.
    """

    codes: _Codes
    names: tuple[str, ...]

    @classmethod
    def read(cls, table: TextTable, column: Column | None, default: str | None) -> "RowText":
        """Read a column; rows that do not say take the default."""
        codes, names = pd.factorize(text_column(table, column))
        texts = [*map(str, names)]
        if default is not None:
            if default not in texts:
                texts.append(default)
            codes = np.where(codes < 0, texts.index(default), codes)
        return cls(codes.astype(np.int32), tuple(texts))

    def coded(self, columns: int) -> tuple[Coded, str | None]:
        """Return the same text for every column, and what is to be said of it."""
        shape = (len(self.codes), columns)
        if len(self.names) > _MOST:
            said = f"{len(self.names):,} distinct texts; at most {_MOST:,} are kept: none is"
            return Coded(np.broadcast_to(np.int16(-1), shape), ()), said
        return Coded(np.broadcast_to(self.codes.astype(np.int16)[:, None], shape), self.names), None


class Measuring:
    """How the rows of a file were measured.

    Parameters
    ----------
    table : TextTable
        The file.
    roles : mapping of str to Column
        The columns of facts about the sample.
    material : ndarray of int8, shape (n_rows,)
        Position in `MATERIALS`.
    choices : Choices
        What the user settled.
    not_by_refraction : ndarray of bool, shape (n_rows,), or None
        Rows in which refractive index tells no glycol; None where there are none.
    """

    def __init__(
        self,
        table: TextTable,
        roles: Mapping[str, Column],
        material: npt.NDArray[np.int8],
        choices: Choices,
        not_by_refraction: npt.NDArray[np.bool_] | None = None,
    ) -> None:
        self.material = material
        self.not_by_refraction = not_by_refraction
        self.lot = RowText.read(table, roles.get("lot"), choices.lot)
        self.laboratory = RowText.read(table, roles.get("laboratory"), choices.laboratory)
        stated = RowText.read(table, roles.get("method"), choices.method)
        self.method = self._known_methods(stated)
        self.assumptions: list[tuple[str | None, str]] = []
        if "method" in roles:
            title = roles["method"].title
            unknown = [name for name in self.method.names if name not in methods()]
            for name in unknown[:5]:
                said = not_one_of(name, methods(), "method")
                self.assumptions.append((title, f"{said}; its uncertainty is taken as usual"))

    def _known_methods(self, stated: RowText) -> RowText:
        """Write the library's id of a method in place of its other names."""
        names: dict[str, int] = {}
        pair = stated.codes * len(MATERIALS) + self.material
        number = np.full((len(stated.names) + 1) * len(MATERIALS), -1, dtype=np.int32)
        for used in np.flatnonzero(np.bincount(pair[stated.codes >= 0], minlength=1)).tolist():
            text, material = stated.names[used // len(MATERIALS)], used % len(MATERIALS)
            found = find_method(text, MATERIALS[material])
            name = text if found is None else found.id
            number[used] = names.setdefault(name, len(names))
        return RowText(number[pair], tuple(names))

    def of_column(self, method: str | None) -> RowText:
        """Return the methods of one column: its own where a columns file says it."""
        if method is None:
            return self.method
        stated = RowText(np.zeros(len(self.material), dtype=np.int32), (method,))
        return self._known_methods(stated)

    def ways(self, method: RowText) -> tuple[_Codes | None, list[Measured]]:
        """Return the distinct ways in which rows were measured, and which each row is.

        Parameters
        ----------
        method : RowText
            Of the column in question.

        Returns
        -------
        codes : ndarray of int32, shape (n_rows,), or None
            None where all rows were measured in the one way.
        ways : list of Measured
            At least one.
        """
        known: list[Method | None] = [methods().get(name) for name in method.names]
        strips = any(one is not None and one.kind == "strip" for one in known)
        lot = self.lot.codes >= 0 if strips else np.zeros(len(self.material), dtype=bool)
        key = ((method.codes + 1) * len(MATERIALS) + self.material) * 4 + 2 * lot
        if self.not_by_refraction is not None:
            key = key + self.not_by_refraction
        counts = np.bincount(key, minlength=1)
        used = np.flatnonzero(counts) if len(key) else np.zeros(1, dtype=np.int64)
        ways = [
            Measured(
                MATERIALS[int(one // 4 % len(MATERIALS))],
                [*known, None][int(one // 4 // len(MATERIALS)) - 1],
                bool(one // 2 % 2),
                bool(one % 2),
            )
            for one in used
        ]
        if len(ways) == 1:
            return None, ways
        number = np.zeros(len(counts), dtype=np.int32)
        number[used] = np.arange(len(used))
        return number[key], ways
