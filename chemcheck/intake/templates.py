"""Empty forms for results: a header, the units, and one invented line."""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from chemcheck.errors import not_one_of
from chemcheck.intake.word_lists import word_list

# The form of a job is no table: it is YAML, and not among the others.
JOB = "job"
_NUMBER = re.compile(r"[<>]?-?\d+\.\d+")
# With a decimal comma spreadsheets part the columns by semicolons.
_SEPARATORS = {".": ",", ",": ";"}


@dataclass(frozen=True, slots=True)
class Template:
    """An empty form.

    Parameters
    ----------
    name : str
        As the user asks for it.
    title : str
        What it is for.
    read_by : str
        The command that reads it.
    columns : tuple of (str, str, str)
        Title, unit and example of each column; numbers with a decimal point.
    """

    name: str
    title: str
    read_by: str
    columns: tuple[tuple[str, str, str], ...]


def templates() -> Mapping[str, Template]:
    """Return the forms there are.

    Examples
    --------
    >>> list(templates())
    ['strip', 'lab', 'history', 'rinse-log', 'water']
    """
    return {
        name: Template(
            name,
            said["title"],
            said["read_by"],
            tuple((title, unit, example) for title, unit, example in said["columns"]),
        )
        for name, said in word_list("templates").items()
    }


def template_text(name: str, decimal: str = ".") -> str:
    r"""Write a form as CSV.

    Parameters
    ----------
    name : str
        One of `templates`.
    decimal : {".", ","}, default "."
        Decimal mark of the example; with a comma columns are parted by semicolons.

    Returns
    -------
    str
        A row of titles, a row of units, and one invented line.

    Raises
    ------
    ValueError
        If there is no such form.

    Examples
    --------
    >>> print(template_text("rinse-log", ",").splitlines()[1])
    ;;yyyy-mm-dd;;vol%;uS/cm;
    """
    known = templates()
    if name not in known:
        raise ValueError(not_one_of(name, known, "template"))
    columns = known[name].columns
    examples = [_with_mark(example, decimal) for _, _, example in columns]
    return _lines(
        [[title for title, _, _ in columns], [unit for _, unit, _ in columns], examples],
        _SEPARATORS[decimal],
    )


def job_template() -> str:
    """Return the form of a job's record: YAML with invented lines to replace.

    Examples
    --------
    >>> "EXAMPLE UNIT" in job_template()
    True
    """
    return (Path(__file__).parent / "job_template.yaml").read_text(encoding="utf-8")


def _with_mark(text: str, decimal: str) -> str:
    return text.replace(".", decimal) if _NUMBER.fullmatch(text) else text


def _lines(rows: Sequence[Sequence[str]], separator: str) -> str:
    text = io.StringIO()
    csv.writer(text, delimiter=separator, lineterminator="\n").writerows(rows)
    return text.getvalue()
