"""What a check standard is certified to hold, and what was added to a spike.

Both stand in free columns of the results: ``Certified chloride (mg/L)``, ``Cl added, mg/L``,
or one column ``Certified value`` in a file whose standards have one analyte each.
"""

import re
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from chemcheck.analytes import stored_basis, to_canonical, vocabulary
from chemcheck.errors import Problem, UnitError
from chemcheck.intake.cells import parse_cells
from chemcheck.intake.characters import plain
from chemcheck.intake.decimal_mark import decimal_evidence
from chemcheck.intake.headers import read_header
from chemcheck.intake.sample_facts import fact_of_title
from chemcheck.intake.word_lists import word_list
from chemcheck.readings.record import READ, SAMPLE_COLUMNS, Readings

Places = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class StatedValues:
    """Values that some samples are stated to hold.

    Parameters
    ----------
    row, column : ndarray of int, shape (n,)
        Position of the sample and of the column of readings.
    value : ndarray of float64, shape (n,)
        [the analyte's canonical unit].
    problems : tuple of Problem
        Cells that could not be read.
    """

    row: Places
    column: Places
    value: npt.NDArray[np.float64]
    problems: tuple[Problem, ...]


def stated_values(readings: Readings, rows: Places, kind: str) -> StatedValues:
    """Read what samples are stated to hold.

    Parameters
    ----------
    readings : Readings
        With the free columns of its files.
    rows : ndarray of int
        Positions of the samples in question, such as the check standards.
    kind : {"certified", "added"}
        What is stated.

    Returns
    -------
    StatedValues
        Of the samples and analytes that were read. A column that names no analyte counts
        for samples of which one analyte was read. A number without a unit is in the unit
        that is usual for the analyte and material; ``ppm`` and mg/kg are taken as mg/L, as
        standards are made up in water.
    """
    found: dict[tuple[int, int], float] = {}
    problems: list[Problem] = []
    if rows.size:
        for title in readings.samples.columns:
            if title in SAMPLE_COLUMNS:
                continue
            rest = _without_words(str(title), kind)
            if rest is not None:
                _read_column(readings, rows, str(title), rest, found, problems)
    places = sorted(found)
    return StatedValues(
        np.array([row for row, _ in places], dtype=np.intp),
        np.array([column for _, column in places], dtype=np.intp),
        np.array([found[place] for place in places], dtype=np.float64),
        tuple(problems),
    )


@cache
def _phrases(kind: str) -> tuple[re.Pattern[str], ...]:
    """Return the phrases of a kind, the longest first."""
    phrases = sorted(map(str, word_list("stated_values")[kind]), key=len, reverse=True)
    return tuple(
        re.compile(rf"(?<!\w){re.escape(plain(phrase).casefold())}(?!\w)") for phrase in phrases
    )


def _without_words(title: str, kind: str) -> str | None:
    """Return a title without the phrase that says the kind; None where it has none.

    Examples
    --------
    >>> _without_words("Cl certified (mg/L)", "certified"), _without_words("Shelf", "certified")
    ('Cl (mg/L)', None)
    """
    text = plain(title)
    for phrase in _phrases(kind):
        match = phrase.search(text.casefold())
        if match is not None and len(text.casefold()) == len(text):
            rest = text[: match.start()] + text[match.end() :]
            return " ".join(rest.strip(" ,;:-_").split())
    return None


@lru_cache(maxsize=4096)
def is_fact_title(title: str) -> bool:
    """Return whether a free column is of use beside the readings.

    Examples
    --------
    >>> is_fact_title("Certified chloride (mg/L)"), is_fact_title("Depot"), is_fact_title("Shelf")
    (True, True, False)
    """
    if fact_of_title(title) is not None:
        return True
    rests = (_without_words(title, kind) for kind in ("certified", "added"))
    return any(rest and read_header(rest).analyte is not None for rest in rests)


def _read_column(
    readings: Readings,
    rows: Places,
    title: str,
    rest: str,
    found: dict[tuple[int, int], float],
    problems: list[Problem],
) -> None:
    """Read one free column for the samples in question."""
    header = read_header(rest) if rest else None
    place: int | None = None
    unit, form, basis = None, None, None
    if header is not None and header.analyte is not None:
        unit, form, basis = header.unit_text, header.form, header.basis
        stored = None if basis is None else stored_basis(header.analyte, basis)
        place = readings.position(header.analyte, stored)
        if place is None:
            return
    elif rest:
        return  # a number of something that is known to no vocabulary
    texts = readings.samples[title].iloc[rows]
    stated = texts.notna().to_numpy()
    if not stated.any():
        return
    rows, texts = rows[stated], texts[stated]
    written = texts.astype(str).tolist()
    parsed = parse_cells(written, decimal_evidence({title: pa.array(written)}, ",").mark or ".")
    for k, row in enumerate(rows.tolist()):
        column = _only_reading(readings, row) if place is None else place
        if column is None or (row, column) in found:
            continue
        text = texts.iloc[k]
        exact = parsed.kind[k] == READ and parsed.lower[k] == parsed.upper[k]
        if not exact:
            problems.append(_problem(readings, row, title, text, "expected a number"))
            continue
        in_cell = None if parsed.unit[k] < 0 else parsed.units[parsed.unit[k]]
        try:
            value = _canonical(readings, row, column, parsed.lower[k], in_cell or unit, form)
        except UnitError as error:
            problems.append(_problem(readings, row, title, text, str(error)))
            continue
        found[row, column] = value


def _only_reading(readings: Readings, row: int) -> int | None:
    """Return the one column that a sample has a reading in, None where there are several."""
    read = np.flatnonzero(readings.status[row] == READ)
    return int(read[0]) if read.size == 1 else None


def _canonical(
    readings: Readings, row: int, column: int, value: float, unit: str | None, form: str | None
) -> float:
    measured = readings.columns[column]
    analyte = vocabulary()[measured.analyte]
    material = str(readings.samples["material"].iloc[row])
    usual = unit or analyte.usual_unit.get(material) or analyte.unit
    change = to_canonical(measured.analyte, usual, form=form, basis=measured.basis, density=1.0)
    return float(change(value))


def _problem(readings: Readings, row: int, title: str, text: str, problem: str) -> Problem:
    sample: pd.Series = readings.samples.iloc[row]
    return Problem(str(sample["file"]), int(sample["row"]), title, str(text), problem)
