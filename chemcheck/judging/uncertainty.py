"""Standard uncertainty of each reading, from the precision of the method that gave it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.judging.repeatability import OwnRepeatability
from chemcheck.limit_library import default_method, find_method, precision_of
from chemcheck.readings.record import ReadingColumn

Floats = npt.NDArray[np.float64]

MATERIALS = ("water", "coolant")


@dataclass(frozen=True, slots=True)
class PrecisionTable:
    """Precision by method and material, for the columns of some readings.

    Parameters
    ----------
    absolute, relative : ndarray of float64, shape (n_rows, n_columns)
        The two parts of a standard uncertainty [canonical unit, 1].
    of_laboratory : int
        Rows of each laboratory, one laboratory after the other; 0 where all laboratories
        have the same precision, and the same rows.

    Notes
    -----
    Within a laboratory row ``2 * (method + 1) + material`` holds a method, -1 being the one
    that nobody named, for water (0) or coolant (1). The first laboratory is the one that
    nobody named.
    """

    absolute: Floats
    relative: Floats
    of_laboratory: int = 0

    def row(
        self,
        method: npt.NDArray[np.int16],
        material: npt.NDArray[np.int8],
        laboratory: npt.NDArray[np.int16] | None = None,
    ) -> npt.NDArray[np.intp]:
        """Return the row that holds each method, material and laboratory, None if unnamed."""
        row = (method.astype(np.intp) + 1) * 2 + material
        if self.of_laboratory and laboratory is not None:
            row += (laboratory.astype(np.intp) + 1) * self.of_laboratory
        return row

    def standard_uncertainty(
        self, values: Floats, column: int, row: npt.NDArray[np.intp] | int
    ) -> Floats:
        """Return the standard uncertainty of values of one column.

        Parameters
        ----------
        values : ndarray of float64, shape (n,)
            [canonical unit]; NaN stays NaN.
        column : int
            The column of readings.
        row : ndarray of int, shape (n,), or int
            Rows of the table, or one row for all.

        Returns
        -------
        ndarray of float64, shape (n,)
            The absolute and the relative part in quadrature [canonical unit].
        """
        absolute, relative = self.absolute[row, column], self.relative[row, column]
        answer = values * relative
        np.multiply(answer, answer, out=answer)
        answer += absolute * absolute
        return np.asarray(np.sqrt(answer, out=answer))


def precision_table(names: Sequence[str], columns: Sequence[ReadingColumn]) -> PrecisionTable:
    """Look up how precise each method is for each column.

    A reading whose method is not named, or not known to the library, has the precision of
    the usual method for its material.

    Parameters
    ----------
    names : sequence of str
        Methods as the files name them.
    columns : sequence of ReadingColumn
        What was read.

    Returns
    -------
    PrecisionTable
        With a row for every name and material.
    """
    shape = (2 * (len(names) + 1), len(columns))
    table = PrecisionTable(np.zeros(shape), np.zeros(shape))
    for k, name in enumerate([None, *names]):
        for m, material in enumerate(MATERIALS):
            method = None if name is None else find_method(name, material)
            method = method or default_method(material)
            for j, column in enumerate(columns):
                found = precision_of(method, column.analyte)
                table.absolute[2 * k + m, j] = found.absolute
                table.relative[2 * k + m, j] = found.relative
    return table


def with_own_repeatability(
    table: PrecisionTable, laboratories: int, own: Sequence[OwnRepeatability]
) -> PrecisionTable:
    """Put laboratories' own repeatability in the place of the library's uncertainty.

    Parameters
    ----------
    table : PrecisionTable
        From `precision_table`.
    laboratories : int
        How many are named.
    own : sequence of OwnRepeatability
        Those with enough pairs count.

    Returns
    -------
    PrecisionTable
        The same table where none counts.
    """
    used = [each for each in own if each.enough and each.scatter is not None]
    if not used:
        return table
    block = len(table.absolute)
    absolute = np.tile(table.absolute, (laboratories + 1, 1))
    relative = np.tile(table.relative, (laboratories + 1, 1))
    for each in used:
        assert each.scatter is not None  # chosen so above
        row = (each.laboratory + 1) * block + 2 * (each.method + 1) + each.material
        absolute[row, each.column] = each.scatter.absolute
        relative[row, each.column] = each.scatter.relative
    return PrecisionTable(absolute, relative, block)


def unknown_methods(names: Sequence[str]) -> tuple[str, ...]:
    """Return the methods that the library does not know, so that the usual one stands in."""
    return tuple(name for name in names if all(find_method(name, m) is None for m in MATERIALS))
