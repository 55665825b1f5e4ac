"""The pH of a blend in words and as JSON, held against the bounds of its limit set."""

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.water import WaterAssessment
from chemcheck.assessment.water_blend_ph import MOST_BLENDED, water_blend_ph
from chemcheck.limit_library.records import LimitSet
from chemcheck.remedies.tap_blend_ph import BlendPh
from chemcheck.reports.numbers import interval, number
from chemcheck.reports.text_pieces import Pieces, numbers, of_texts

_DIGITS = 4
Writer = Callable[[slice], list[Pieces]]


def blend_ph_words(water: WaterAssessment, rows: Sequence[int]) -> list[str]:
    """Say of each water what pH its blend comes to.

    Parameters
    ----------
    water : WaterAssessment
        All waters.
    rows : sequence of int
        Positions of those in question.

    Returns
    -------
    list of str
        A sentence for each; empty where it cannot be reckoned or nothing is blended.
    """
    at = np.array(rows, dtype=np.intp)
    found = _ph(water, at)
    return [
        "" if np.isnan(found.ends[0][place]) else _words(water, found, place, row)
        for place, row in enumerate(at.tolist())
    ]


def blend_ph_writer(water: WaterAssessment) -> Writer:
    """Return what writes ``ph`` of the blends of a stretch of samples.

    Parameters
    ----------
    water : WaterAssessment
        All waters; of more than `MOST_BLENDED` it is null.

    Returns
    -------
    callable
        Takes the stretch; gives pieces begun with a comma.
    """
    n = len(water.assessment.readings.samples)

    def of(rows: slice) -> list[Pieces]:
        size = rows.stop - rows.start
        if n > MOST_BLENDED:
            return [of_texts([', "ph": null'], np.zeros(size, dtype=np.intp))]
        found = _ph(water, np.arange(rows.start, rows.stop))
        unknown = np.isnan(found.ends[0]).astype(np.intp)
        opening = ', "ph": {"closed": {"lower": '
        return [
            of_texts([opening, ', "ph": null'], unknown),
            *_ends(found.closed, unknown),
            of_texts(['}, "open_to_air": {"lower": ', ""], unknown),
            *_ends(found.open_to_air, unknown),
            of_texts(["}}", ""], unknown),
        ]

    return of


def _ends(
    ends: tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]], unknown: npt.NDArray[np.intp]
) -> list[Pieces]:
    return [
        numbers(ends[0], "", "", _DIGITS),
        of_texts([', "upper": ', ""], unknown),
        numbers(ends[1], "", "", _DIGITS),
    ]


def _ph(water: WaterAssessment, rows: npt.NDArray[np.intp]) -> BlendPh:
    return water_blend_ph(
        water.assessment.readings, [(part.rows, part.blend) for part in water.blends], rows
    )


def _words(water: WaterAssessment, found: BlendPh, place: int, row: int) -> str:
    closed, opened = (
        interval(float(ends[0][place]), float(ends[1][place]), 2)
        for ends in (found.closed, found.open_to_air)
    )
    [part] = [one for one in water.blends if row in one.rows]
    against = _against(part.limit_set, found, place)
    return (
        f"The pH of that blend comes to {closed} mixed without air, and to {opened} once it has "
        f"stood open to air{against}. Measure it in the blend."
    )


def _against(limit_set: LimitSet, found: BlendPh, place: int) -> str:
    """Hold the pH of a blend against the bounds of the set."""
    bounds = {
        bound.side: bound.value
        for limit in limit_set.limits
        if limit.analyte == "ph"
        for bound in limit.bounds
        if bound.kind == "action"
    }
    if not bounds:
        return ""
    lower, upper = (float(end[place]) for end in found.ends)
    least, most = bounds.get("lower", -np.inf), bounds.get("upper", np.inf)
    said = " to ".join(number(value) for value in (least, most) if np.isfinite(value))
    if least <= lower and upper <= most:
        return f", inside {said}"
    if upper < least or lower > most:
        return f", outside {said}"
    return f", perhaps outside {said}"
