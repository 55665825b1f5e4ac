"""Result rows of a long table, and the cells of its samples that they make."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from chemcheck.intake.assemble import RepeatedRows
from chemcheck.intake.same_result import join_results
from chemcheck.intake.set_aside import ColumnLine, FileLines, Lines
from chemcheck.readings.record import ABSENT, READ, REJECTED, Coded, ReadingColumn

_Floats = npt.NDArray[np.float64]
_Codes = npt.NDArray[np.int64]
_Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class RowResults:
    """What each result row says.

    Parameters
    ----------
    columns : tuple of ReadingColumn
        What is measured, in the order of the file.
    column : ndarray of int64, shape (n_rows,)
        Position in ``columns``; -1 where the row is no result of a water that is known
        here: such a row is rejected as a whole.
    lower, upper : ndarray of float64, shape (n_rows,)
        The ends of each reading [canonical unit]; NaN where there is none.
    rounding : ndarray of float64, shape (n_rows,)
        Half a unit of the last digit written [canonical unit].
    status : ndarray of int8, shape (n_rows,)
        ``READ``, ``BLANK`` or ``REJECTED``.
    problem, question : ndarray of int64, shape (n_rows,)
        Positions in ``problems`` and ``questions``; -1 where there is none.
    problems, questions : tuple of str
        What is wrong and what was expected; what is unusual.
    assumptions : tuple of (str or None, str)
        What was taken for granted: of which analyte, None for the whole file.
    open : ndarray of bool, shape (n_rows,), or None
        Rows whose problem is a choice that the user can settle for all like them.
    shared_factor : ndarray of float32, shape (n_rows,), or None
        As in `Readings`, of each row.
    """

    columns: tuple[ReadingColumn, ...]
    column: _Codes
    lower: _Floats
    upper: _Floats
    rounding: _Floats
    status: npt.NDArray[np.int8]
    problem: _Codes
    problems: tuple[str, ...]
    question: _Codes
    questions: tuple[str, ...]
    assumptions: tuple[tuple[str | None, str], ...]
    open: _Mask | None = None
    shared_factor: npt.NDArray[np.float32] | None = None


@dataclass(frozen=True, slots=True)
class RowNames:
    """What the rows of a table are called in lines about them.

    Parameters
    ----------
    row : ndarray of int64, shape (n_rows,)
        As a spreadsheet numbers them.
    names : sequence of str
        The distinct names of what is measured, as the file writes them.
    name : ndarray of int64, shape (n_rows,)
        Which of them each row has.
    shown : callable
        Returns the text of some rows: what was measured, its number and its unit.
    """

    row: npt.NDArray[np.int64]
    names: Sequence[str]
    name: _Codes
    shown: Callable[[_Codes], pa.Array]


class SampleCells:
    """The cells that result rows make: of several rows of a cell one stands for it.

    Parameters
    ----------
    rows : RowResults
        What each row says.
    used : ndarray of int64
        The rows that belong to a sample.
    sample : ndarray of int64
        The sample of each of these.
    samples : int
        How many there are.
    called : RowNames
        What the rows are called.
    """

    def __init__(
        self, rows: RowResults, used: _Codes, sample: _Codes, samples: int, called: RowNames
    ) -> None:
        self.rows, self.used, self.sample, self.called = rows, used, sample, called
        self.shape = (samples, len(rows.columns))
        cell = rows.column[used] * samples + sample
        self.joined = join_results(
            cell, rows.lower[used], rows.upper[used], rows.rounding[used], rows.status[used]
        )
        self.at = cell[self.joined.place]

    def lower(self) -> _Floats:
        """Return the lower ends."""
        return np.asarray(self._placed(self.joined.lower, np.nan))

    def upper(self) -> _Floats:
        """Return the upper ends."""
        return np.asarray(self._placed(self.joined.upper, np.nan))

    def status(self) -> npt.NDArray[np.int8]:
        """Return what became of each cell."""
        return np.asarray(self._placed(self.joined.status, ABSENT))

    def shared_factor(self) -> npt.NDArray[np.float32] | None:
        """Return the factor that readings in ppm share, None where there is none."""
        if self.rows.shared_factor is None:
            return None
        factor = self.rows.shared_factor[self.used[self.joined.place]]
        return np.asarray(self._placed(factor, np.float32(1)))

    def coded(self, texts: Sequence[str], codes: npt.NDArray[np.integer]) -> Coded:
        """Return a text of each cell; an empty one is unknown.

        Parameters
        ----------
        texts : sequence of str
            Distinct texts.
        codes : ndarray of int, shape (n_rows,)
            Which of them each row has; -1 none.
        """
        names = tuple(dict.fromkeys(text for text in texts if text))
        place = {text: number for number, text in enumerate(names)}
        number = np.array([*(place.get(text, -1) for text in texts), -1], dtype=np.int16)
        of_cell = number[codes[self.used[self.joined.place]]]
        return Coded(np.asarray(self._placed(of_cell, np.int16(-1))), names)

    def _placed(self, values: npt.NDArray[Any], fill: object) -> npt.NDArray[Any]:
        """Put one value of each cell where it belongs."""
        flat = np.full(self.shape[0] * self.shape[1], fill, dtype=values.dtype)
        flat[self.at] = values
        return flat.reshape(self.shape, order="F")

    def repeated(self) -> RepeatedRows:
        """Return the rows whose result another row of their sample already gives."""
        again = self._beside() & (self.rows.status[self.used] != REJECTED)
        row = self.called.row[self.used]
        return RepeatedRows(row[again], self.sample[again], row[self.joined.kept[again]])

    def _beside(self) -> _Mask:
        return np.asarray(self.joined.kept != np.arange(len(self.used)))

    def lines(self, rows: Sequence[Lines], cells: Sequence[Lines]) -> FileLines:
        """Write what was set aside, and what is unusual.

        Parameters
        ----------
        rows, cells : sequence of Lines
            What is said of rows and cells besides.
        """
        results, used = self.rows, self.used
        whole = results.column < 0
        beside = self._beside() & (results.status[used] == REJECTED)
        whole[used[beside]] = True
        of_row = np.full(len(self.called.row), -1, dtype=np.int64)
        of_row[used] = self.sample
        refused = (results.status == REJECTED) & ~whole
        open_choice = refused & results.open if results.open is not None else refused & False
        asked = (results.question >= 0) & (results.status == READ)
        return FileLines(
            rows=(*rows, *self._each(whole, results.problem, results.problems, None)),
            columns=(*self._open(open_choice, of_row),),
            cells=(
                *self._each(refused & ~open_choice, results.problem, results.problems, of_row),
                *cells,
            ),
            questions=(
                *self._each(asked, results.question, results.questions, of_row),
                *self._contradictions(of_row),
            ),
            assumptions=results.assumptions,
        )

    def _each(
        self, mask: _Mask, code: _Codes, texts: tuple[str, ...], of_row: _Codes | None
    ) -> Iterator[Lines]:
        """Give the lines of some rows, by what was measured where they are about cells."""
        names, name = self.called.names, self.called.name
        for number in np.unique(name[mask]).tolist() if of_row is not None else [-1]:
            here = np.flatnonzero(mask & ((name == number) | (number < 0)))
            if not len(here):
                continue
            yield Lines(
                names[number] if of_row is not None else None,
                self.called.row[here],
                self.called.shown(here),
                pa.array(texts, pa.string()).take(pa.array(code[here])),
                None if of_row is None else of_row[here],
            )

    def _open(self, mask: _Mask, of_row: _Codes) -> Iterator[ColumnLine]:
        """Give one line for all rows of a name that one choice would settle."""
        names, name, problem = self.called.names, self.called.name, self.rows.problem
        for number in np.unique(name[mask]).tolist():
            of_name = mask & (name == number)
            for code in np.unique(problem[of_name]).tolist():
                here = np.flatnonzero(of_name & (problem == code))
                text = self.called.shown(here[:1])[0].as_py()
                yield ColumnLine(names[number], of_row[here], text, self.rows.problems[code])

    def _contradictions(self, of_row: _Codes) -> Iterator[Lines]:
        """Ask about readings whose results of one sample do not agree."""
        joined, names, name = self.joined, self.called.names, self.called.name
        rows = self.used[joined.place[joined.differs]]
        low, high = joined.lower[joined.differs], joined.upper[joined.differs]
        for number in np.unique(name[rows]).tolist():
            here = name[rows] == number
            said = [
                f"results of one sample differ: carried as the range {a:g} to {b:g}"
                for a, b in zip(low[here].tolist(), high[here].tolist(), strict=True)
            ]
            yield Lines(
                names[number],
                self.called.row[rows[here]],
                self.called.shown(rows[here]),
                pa.array(said, pa.string()),
                of_row[rows[here]],
            )
