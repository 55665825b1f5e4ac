"""How large each sample's system is, and how much of it drains: as told, or by a column."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.errors import QuantityError
from chemcheck.intake.sample_facts import fact_of_title
from chemcheck.readings.questions import ask, no_questions
from chemcheck.readings.record import SAMPLE_COLUMNS
from chemcheck.remedies.estimate import Estimate, exact, refuse_where
from chemcheck.remedies.quantity_text import read_amount, states_unit
from chemcheck.remedies.refill_plan import check_volumes

# What a free column states.
SYSTEM, DRAINS = "system_volume", "drain_volume"
_UNIT = re.compile(r"[(\[](?P<unit>[^)\]=]*)[)\]]")


@dataclass(frozen=True, slots=True)
class SystemSizes:
    """Volumes of the systems that samples are from.

    Parameters
    ----------
    system, drains : Estimate, of shape (n_samples,)
        Volume, and how much of it drains [L]; NaN where not known.
    questions : DataFrame
        ``QUESTION_COLUMNS``: volumes that could not be read or cannot be.
    """

    system: Estimate
    drains: Estimate
    questions: pd.DataFrame

    def of(self, row: int) -> tuple[Estimate | None, Estimate | None]:
        """Return the volumes of one sample's system, None where not known."""
        found = []
        for one in (self.system, self.drains):
            part = Estimate(one.value[row], one.lower[row], one.upper[row])
            found.append(None if np.isnan(part.value) else part)
        return found[0], found[1]


def system_sizes(
    samples: pd.DataFrame, system: Estimate | None = None, drains: Estimate | None = None
) -> SystemSizes:
    """Find the volumes of the systems.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With the free columns of their files.
    system, drains : Estimate, optional
        For samples whose row does not say [L].

    Returns
    -------
    SystemSizes
        A row's own volume counts before the one told.

    Raises
    ------
    QuantityError
        If the volumes told cannot be.

    Examples
    --------
    >>> table = pd.DataFrame({"file": "a.csv", "row": [2, 3], "System (L)": ["40", "10 gal"]})
    >>> system_sizes(table).system.value.round(1)
    array([40. , 37.9])
    """
    for told, name in ((system, "the system's volume"), (drains, "what drains")):
        if told is not None:
            refuse_where(told.lower <= 0.0, f"{name} must be above zero")
    if system is not None and drains is not None:
        check_volumes(system, drains)
    n = len(samples)
    asked: list[tuple[int, str, str, str]] = []
    found = {}
    for kind, told in ((SYSTEM, system), (DRAINS, drains)):
        ends = np.full((3, n), np.nan)
        for column, unit in _columns(samples, kind):
            asked += _read_column(samples, column, unit, ends)
        if told is not None:
            without = np.isnan(ends[0])
            ends[:, without] = np.array([[told.value], [told.lower], [told.upper]])
        found[kind] = ends
    impossible = found[DRAINS][0] > found[SYSTEM][0] * (1.0 + 1e-9)
    for row in np.flatnonzero(impossible).tolist():
        text = f"{found[DRAINS][0, row]:g} L of {found[SYSTEM][0, row]:g} L"
        asked.append((row, "drains", text, "more drains than the system holds; it is not used"))
    found[DRAINS][:, impossible] = np.nan
    return SystemSizes(
        Estimate(*found[SYSTEM]),
        Estimate(*found[DRAINS]),
        _questions(samples, asked),
    )


def _questions(samples: pd.DataFrame, asked: list[tuple[int, str, str, str]]) -> pd.DataFrame:
    if not asked:
        return no_questions()
    rows, columns, texts, questions = zip(*asked, strict=True)
    return ask(samples, np.array(rows), columns, texts, questions)


def _columns(samples: pd.DataFrame, fact: str) -> Iterator[tuple[str, str]]:
    """Give the free columns that state a fact, and the unit their title states."""
    for column in map(str, samples.columns):
        if column not in SAMPLE_COLUMNS and fact_of_title(column) == fact:
            match = _UNIT.search(column)
            yield column, "" if match is None else match["unit"]


def _read_column(
    samples: pd.DataFrame, column: str, unit: str, ends: npt.NDArray[np.float64]
) -> list[tuple[int, str, str, str]]:
    """Read a column's volumes into the ends, each distinct text once; return what to ask."""
    codes, texts = pd.factorize(samples[column])
    read = np.full((3, len(texts) + 1), np.nan)
    asked = []
    for k, text in enumerate(texts):
        if not str(text).strip():
            continue
        try:
            volume = read_amount(
                str(text) if states_unit(str(text)) else f"{text} {unit}", column, "L", "40 L"
            )
            problem = "" if float(volume.lower) > 0.0 else f"{column} {text!r} is not above zero"
        except QuantityError as error:
            volume, problem = exact(np.nan), str(error)
        if problem:
            first = int(np.argmax(codes == k))
            asked.append((first, column, str(text), f"{problem}; it is taken as unknown"))
            continue
        read[:, k] = float(volume.value), float(volume.lower), float(volume.upper)
    here = read[:, codes]
    new = np.isnan(ends[0]) & ~np.isnan(here[0])
    ends[:, new] = here[:, new]
    return asked
