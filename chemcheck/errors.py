"""Everything chemcheck raises or warns, so that one ``except`` or one filter catches it.

The module imports nothing heavy: every layer stands on it.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from difflib import get_close_matches


class ChemcheckError(Exception):
    """Base of every error raised on purpose by chemcheck; its text is one clear line."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong with an input, and where.

    Parameters
    ----------
    file : str
        The file as the user named it; ``-`` is standard input.
    row : int or None
        The row as a spreadsheet numbers it (the first line of the file is 1).
    column : str or None
        The column as the file's header writes it.
    text : str
        The text found.
    problem : str
        What is wrong and what was expected.
    """

    file: str
    row: int | None
    column: str | None
    text: str
    problem: str

    def __str__(self) -> str:
        """Write the problem as one line: where, what was found, what was expected.

        Examples
        --------
        >>> str(Problem("log.csv", 7, "pH", "99", "expected a pH from 0 to 14"))
        "log.csv, row 7, column 'pH': '99': expected a pH from 0 to 14"
        """
        place = self.file
        if self.row is not None:
            place += f", row {self.row}"
        if self.column is not None:
            place += f", column {self.column!r}"
        found = f": {shorten(self.text)!r}" if self.text else ""
        return f"{place}{found}: {self.problem}"


class IntakeError(ChemcheckError, ValueError):
    """An input from which nothing can be read.

    Parameters
    ----------
    problems : sequence of Problem
        What was found; the message shows the first and counts the rest.
    """

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
        super().__init__(f"{problems[0]}{more}")


class LimitFileError(ChemcheckError, ValueError):
    """A YAML file of the library that cannot be used.

    Parameters
    ----------
    file : str
        The file.
    line : int or None
        The line, counted from 1.
    key : str or None
        The key in question, as a dotted path.
    problem : str
        What is wrong and what was expected.
    """

    def __init__(self, file: str, line: int | None, key: str | None, problem: str) -> None:
        self.file, self.line, self.key, self.problem = file, line, key, problem
        place = file if line is None else f"{file}, line {line}"
        super().__init__(f"{place}: {problem}" if key is None else f"{place}, {key}: {problem}")


class OutputError(ChemcheckError):
    """An output that cannot be written, or that would replace what is not ours."""


class UnitError(ChemcheckError, ValueError):
    """A unit that is unknown, or that measures something else than what was asked."""


class QuantityError(ChemcheckError, ValueError):
    """A quantity that cannot be read, or that cannot be what it says."""


class NotEnoughDataError(ChemcheckError, ValueError):
    """Too few readings for what was asked."""


class UnknownTechnologyError(ChemcheckError, ValueError):
    """An answer that depends on a coolant technology nobody stated."""


class UnknownSampleError(ChemcheckError, ValueError):
    """A sample number that no file holds."""


class UnknownUnitError(ChemcheckError, ValueError):
    """A unit that no sample names."""


class ChemcheckWarning(UserWarning):
    """Base of every warning given on purpose by chemcheck."""


class OutsideValidityWarning(ChemcheckWarning):
    """A value outside the published range of a formula; the result there is NaN."""


class ExtrapolationWarning(ChemcheckWarning):
    """A value where a formula is used beyond its published range, and says so."""


class ConvergenceWarning(ChemcheckWarning):
    """An iteration that did not reach its tolerance; those results are NaN."""


def shorten(text: str, width: int = 60) -> str:
    """Cut a text found in an input, so that a message stays one readable line.

    Examples
    --------
    >>> shorten("abcdef", width=4)
    'abc…'
    """
    flat = " ".join(text.split())
    return flat if len(flat) <= width else flat[: width - 1] + "…"


def not_one_of(value: str, options: Collection[str], name: str) -> str:
    """Say that a value is not among the options, with the nearest one as a suggestion.

    Parameters
    ----------
    value : str
        What was found.
    options : collection of str
        What would have been accepted.
    name : str
        What the value is, in the trade's word.

    Examples
    --------
    >>> not_one_of("chlorid", ["chloride", "sulfate"], "analyte")
    "'chlorid' is no analyte known here; nearest: chloride"
    >>> not_one_of("x", ["hours", "days"], "axis")
    "'x' is no axis known here; expected one of: days, hours"
    """
    near = get_close_matches(value, list(options), n=1, cutoff=0.75)
    said = f"{shorten(value)!r} is no {name} known here"
    if near:
        return f"{said}; nearest: {near[0]}"
    known = sorted(options)
    shown = ", ".join(known[:12]) + (", …" if len(known) > 12 else "")
    return f"{said}; expected one of: {shown}"
