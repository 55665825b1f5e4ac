"""Which units get a page of their own, and how the index names them."""

from collections.abc import Collection, Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.dispositions import DISPOSITIONS
from chemcheck.judging.record import VERDICT_NAMES
from chemcheck.progress import steps
from chemcheck.reports.numbers import counted
from chemcheck.reports.page import write_unit_page
from chemcheck.reports.unit_document import UnitLink
from chemcheck.reports.unit_names import unit_names
from chemcheck.reports.unit_pages import UnitPages

UNIT_FOLDER = "units"
# Of more units that are not plainly fit, none gets a page unless it is asked for: a whole
# laboratory's batch would take longer to draw than to judge.
MOST_PAGES = 2000


def choose_pages(
    of_units: UnitPages,
    *,
    all_pages: bool,
    also: Collection[str] = (),
    most: int = MOST_PAGES,
) -> tuple[npt.NDArray[np.intp], str]:
    """Return the units that get a page, the worst first, and what is said of the others.

    Parameters
    ----------
    of_units : UnitPages
        All units.
    all_pages : bool
        Whether every unit gets one.
    also : collection of str
        Units that get one whatever their verdict, such as those that are due.
    most : int
        Pages that are written without being asked for.
    """
    n = len(of_units.units.unit_ids)
    due = of_units.due()
    due = np.append(
        due, [k for k, unit in enumerate(of_units.units.unit_ids) if unit in also and k not in due]
    ).astype(np.intp)
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


def write_unit_pages(of_units: UnitPages, links: Sequence[UnitLink], folder: Path) -> None:
    """Write the pages of units into a folder of their own, where there are any.

    Parameters
    ----------
    of_units : UnitPages
        All units.
    links : sequence of UnitLink
        Those that get a page.
    folder : Path
        Where the index stands.
    """
    if links:
        (folder / UNIT_FOLDER).mkdir()
    for link in steps(links, "unit pages"):
        page = write_unit_page(of_units.page(link.unit))
        (folder / link.file).write_text(page, encoding="utf-8", newline="\n")
