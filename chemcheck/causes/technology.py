"""The technology that was stated, held against the fingerprint of the readings."""

from collections.abc import Mapping
from typing import Literal

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.plan import Plan
from chemcheck.causes.record import TechnologyCheck
from chemcheck.limit_library.fresh_coolant import Range, fresh_coolant
from chemcheck.readings.record import Readings


def contradicted(
    readings: Readings, technology: npt.NDArray[np.integer], technologies: tuple[str, ...]
) -> npt.NDArray[np.bool_]:
    """Return which samples hold what their stated technology does not.

    Parameters
    ----------
    readings : Readings
        All samples.
    technology : ndarray of int, shape (n_samples,)
        Position in ``technologies``; -1 where none is stated.
    technologies : tuple of str
        Those stated.

    Returns
    -------
    ndarray of bool, shape (n_samples,)
        Only where a whole reading lies in a range that contradicts; never by colour.
    """
    answer = np.zeros(len(technology), dtype=np.bool_)
    known = fresh_coolant().contradicts
    for code, name in enumerate(technologies):
        for analyte, (low, high) in known.get(name, {}).items():
            place = readings.position(analyte)
            if place is None:
                continue
            beyond = (
                (readings.lower[:, place] > low) if low > 0 else (readings.upper[:, place] < high)
            )
            answer |= beyond & (technology == code)
    return answer


def technology_of(plan: Plan, row: int) -> TechnologyCheck:
    """Say of one sample whether its readings bear out its technology.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    row : int
        Position of the sample.
    """
    known = fresh_coolant()
    code = int(plan.references.technology[row])
    stated = plan.references.technologies[code] if code >= 0 else None
    against = _within(plan, row, known.contradicts.get(stated or "", {}))
    speaks_for = _within(plan, row, known.shows.get(stated or "", {}))
    supported: Literal["yes", "no", "cannot tell"] = "cannot tell"
    if against:
        supported = "no"
    elif len(speaks_for) >= 2:
        supported = "yes"
    candidates: tuple[str, ...] = ()
    if supported == "no" or stated is None:
        candidates = tuple(
            name
            for name, shown in known.shows.items()
            if name != stated
            and len(_within(plan, row, shown)) >= 2
            and not _within(plan, row, known.contradicts.get(name, {}))
        )
    return TechnologyCheck(stated, supported, against, speaks_for, candidates)


def _within(plan: Plan, row: int, ranges: Mapping[str, Range]) -> tuple[str, ...]:
    """Name the analytes whose whole reading lies within its range."""
    found = []
    for analyte, (low, high) in ranges.items():
        place = plan.readings.position(analyte)
        if place is None:
            continue
        lower, upper = plan.readings.lower[row, place], plan.readings.upper[row, place]
        if (lower > low) if low > 0 else (upper < high):
            found.append(vocabulary()[analyte].title)
    return tuple(found)
