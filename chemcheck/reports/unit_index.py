"""Which units get a page of their own, and how the index names them."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.dispositions import DISPOSITIONS
from chemcheck.judging.record import VERDICT_NAMES
from chemcheck.reports.numbers import counted
from chemcheck.reports.unit_names import unit_names
from chemcheck.reports.unit_pages import UnitPages

UNIT_FOLDER = "units"
# Of more units that are not plainly fit, none gets a page unless it is asked for: a whole
# laboratory's batch would take longer to draw than to judge.
MOST_PAGES = 2000


@dataclass(frozen=True, slots=True)
class UnitLink:
    """A unit's page in an index.

    Parameters
    ----------
    unit : int
        Position among the units.
    unit_id : str
        As in the files.
    file : str
        The page, from the index.
    verdict, disposition : str
        Of the unit's latest sample.
    """

    unit: int
    unit_id: str
    file: str
    verdict: str
    disposition: str


def choose_pages(
    of_units: UnitPages, *, all_pages: bool, most: int = MOST_PAGES
) -> tuple[npt.NDArray[np.intp], str]:
    """Return the units that get a page, the worst first, and what is said of the others.

    Parameters
    ----------
    of_units : UnitPages
        All units.
    all_pages : bool
        Whether every unit gets one.
    most : int
        Pages that are written without being asked for.
    """
    n = len(of_units.units.unit_ids)
    due = of_units.due()
    if all_pages:
        fit = np.setdiff1d(np.arange(n), due)
        return np.concatenate([due, fit]), ""
    if due.size > most:
        return due[:0], (
            f"{counted(due.size, 'unit')} are unfit or undecided: no pages were written. "
            "--unit ID writes the page of one, --all-pages one for each."
        )
    others = n - due.size
    told = f"{counted(others, 'other unit')} fit, without a page (--all-pages writes it)."
    return due, told if others else ""


def unit_links(of_units: UnitPages, chosen: npt.NDArray[np.intp]) -> tuple[UnitLink, ...]:
    """Return the links of an index to the pages of some units, in their order."""
    assessment, units = of_units.assessment, of_units.units
    ids = [units.unit_ids[unit] for unit in chosen.tolist()]
    names, latest = unit_names(ids), units.latest
    return tuple(
        UnitLink(
            unit=unit,
            unit_id=unit_id,
            file=f"{UNIT_FOLDER}/{names[unit_id]}.html",
            verdict=VERDICT_NAMES[assessment.headline.verdict[latest[unit]]],
            disposition=DISPOSITIONS[int(assessment.disposition[latest[unit]])],
        )
        for unit, unit_id in zip(chosen.tolist(), ids, strict=True)
    )
