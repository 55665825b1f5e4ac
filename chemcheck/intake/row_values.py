"""The readings of one column, row by row, from what its distinct texts mean."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from chemcheck.intake.cell_records import (
    EITHER,
    PER_MASS,
    PER_VOLUME,
    CellValues,
    Measured,
)
from chemcheck.intake.cell_values import ColumnReader
from chemcheck.intake.set_aside import ColumnLine, Lines
from chemcheck.readings.record import READ, REJECTED

_Values = npt.NDArray[np.float64]
_Codes = npt.NDArray[np.int32]
# Between which ends the density of each row's sample lies [kg/L]; asked for when needed.
Densities = Callable[[], tuple[_Values, _Values]]


@dataclass(frozen=True, slots=True)
class RowValues:
    """The readings of one column.

    Parameters
    ----------
    lower, upper : ndarray of float64, shape (n_rows,)
        The ends of each reading [canonical unit].
    status : ndarray of int8, shape (n_rows,)
        ``READ``, ``BLANK`` or ``REJECTED``.
    shared_factor : ndarray of float32, shape (n_rows,), or None
        By how much the upper end is raised because ppm may be mg/kg or mg/L.
    """

    lower: _Values
    upper: _Values
    status: npt.NDArray[np.int8]
    shared_factor: npt.NDArray[np.float32] | None = None

    def empty_copy(self) -> "RowValues":
        """Return arrays of the same size, to be filled."""
        ends = np.empty_like(self.lower), np.empty_like(self.upper)
        return RowValues(*ends, np.empty_like(self.status))


@dataclass(frozen=True, slots=True)
class ColumnLines:
    """What is to be said of one column's cells; see `FileLines`."""

    cells: list[Lines] = field(default_factory=list)
    whole: list[ColumnLine] = field(default_factory=list)
    questions: list[Lines] = field(default_factory=list)

    def extend(self, others: "ColumnLines") -> None:
        """Add what is to be said of another column."""
        self.cells.extend(others.cells)
        self.whole.extend(others.whole)
        self.questions.extend(others.questions)


class RowReader:
    """Reads the rows of a column.

    Parameters
    ----------
    title : str
        The column as the file has it.
    row : ndarray of int64, shape (n_rows,)
        The row of each as a spreadsheet numbers it.
    texts : pyarrow string array, shape (n,)
        The distinct texts.
    codes : ndarray of int32, shape (n_rows,)
        Which of them each row has.
    way : ndarray of int32, shape (n_rows,), or None
        Which of ``ways`` each row was measured in; None where there is one.
    ways : sequence of Measured
        The ways in which readings were measured.
    """

    def __init__(
        self,
        title: str,
        row: npt.NDArray[np.int64],
        texts: pa.Array,
        codes: _Codes,
        way: _Codes | None,
        ways: Sequence[Measured],
    ) -> None:
        self.title, self.row, self.texts, self.codes = title, row, texts, codes
        self.ways = ways
        self.place = codes if way is None else way * len(texts) + codes

    def read(
        self, reader: ColumnReader, densities: Densities, into: RowValues
    ) -> tuple[RowValues, ColumnLines]:
        """Fill the arrays of a column, and say what is wrong or unusual in it.

        Parameters
        ----------
        reader : ColumnReader
            What the distinct texts mean.
        densities : callable
            Returns between which ends the density of each sample lies [kg/L].
        into : RowValues
            The arrays to fill.
        """
        values = _one_after_the_other([reader.values(way) for way in self.ways])
        for answer, array in ((values.lower, into.lower), (values.upper, into.upper)):
            np.take(answer, self.place, out=array, mode="clip")
        np.take(values.status, self.place, out=into.status, mode="clip")
        if (values.counts != PER_VOLUME).any():
            into = self._with_density(values, densities, into)
        lines = ColumnLines()
        said = pa.array(reader.said.texts, pa.string())
        lines.cells.extend(self._lines(values.problem, said))
        lines.questions.extend(self._lines(values.question, said))
        lines.whole.extend(self._open(values.open, reader.said.texts))
        return into, lines

    def _with_density(self, values: CellValues, densities: Densities, into: RowValues) -> RowValues:
        """Bring numbers per mass to numbers per volume; carry both where either may be meant."""
        counts = values.counts[self.place]
        low, high = densities()
        by_mass, either = counts == PER_MASS, counts == EITHER
        np.multiply(into.lower, low, out=into.lower, where=by_mass)
        np.multiply(into.upper, high, out=into.upper, where=by_mass | either)
        factor = np.ones(len(counts), dtype=np.float32)
        np.copyto(factor, high, where=either, casting="same_kind")
        return RowValues(into.lower, into.upper, into.status, factor)

    def _lines(self, numbers: npt.NDArray[np.int32], said: pa.Array) -> list[Lines]:
        """Write a line for each row whose text something is said of."""
        if not (numbers >= 0).any():
            return []
        number = numbers[self.place]
        sample = np.flatnonzero(number >= 0)
        if not len(sample):
            return []
        text = self.texts.take(pa.array(self.codes[sample]))
        said = said.take(pa.array(number[sample]))
        return [Lines(self.title, self.row[sample], text, said, sample)]

    def _open(self, numbers: npt.NDArray[np.int32], said: list[str]) -> list[ColumnLine]:
        """Write a line for each choice that the file leaves open."""
        lines = []
        number = numbers[self.place] if (numbers >= 0).any() else numbers[:0]
        for one in np.unique(number[number >= 0]).tolist():
            sample = np.flatnonzero(number == one)
            text = self.texts[int(self.codes[sample[0]])].as_py()
            lines.append(ColumnLine(self.title, sample, text, said[one]))
        return lines


def _one_after_the_other(values: Sequence[CellValues]) -> CellValues:
    if len(values) == 1:
        return values[0]
    names = ("lower", "upper", "status", "counts", "problem", "open", "question")
    return CellValues(*(np.concatenate([getattr(v, name) for v in values]) for name in names))


def merge_twin(
    first: RowValues, second: RowValues, lines: ColumnLines, reader: RowReader, title: str
) -> ColumnLines:
    """Bring a second column of the same analyte and basis into the first.

    Where only one of the two has a reading it counts; where both have and they differ,
    neither does.

    Parameters
    ----------
    first : RowValues
        The first column; it is changed.
    second : RowValues
        The second column.
    lines : ColumnLines
        What was to be said of the second.
    reader : RowReader
        Of the second.
    title : str
        Of the first.

    Returns
    -------
    ColumnLines
        What is to be said of the second now. A cell of two columns is one cell.
    """
    already = first.status == REJECTED
    both = (first.status == READ) & (second.status == READ)
    differ = both & ((first.lower != second.lower) | (first.upper != second.upper))
    take = ~already & ~both & (second.status != first.status) & (first.status != READ)
    take |= (second.status == REJECTED) & ~already
    for mine, theirs in ((first.lower, second.lower), (first.upper, second.upper)):
        np.copyto(mine, theirs, where=take)
        mine[differ] = np.nan
    if first.shared_factor is not None:
        factor = np.float32(1) if second.shared_factor is None else second.shared_factor
        np.copyto(first.shared_factor, factor, where=take)
    np.copyto(first.status, second.status, where=take)
    first.status[differ] = REJECTED
    sample = np.flatnonzero(differ)
    text = reader.texts.take(pa.array(reader.codes[sample]))
    problem = f"another result than in the column {title!r}; neither is used; keep one of them as "
    said = pa.repeat(problem + "text in a columns file (--columns)", len(sample))
    new = [Lines(reader.title, reader.row[sample], text, said, sample)] if len(sample) else []
    fresh = ~already
    return ColumnLines(
        [*(line.of_kept(fresh) for line in lines.cells), *new],
        [
            ColumnLine(line.column, line.sample[fresh[line.sample]], line.text, line.problem)
            for line in lines.whole
        ],
        lines.questions,
    )
