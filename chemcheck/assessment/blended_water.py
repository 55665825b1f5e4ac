"""What a mixture of waters holds: amounts in proportion, pH by equilibrium, judged as a sample."""

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.blend_record import Blended, Held
from chemcheck.assessment.blend_sources import Waters
from chemcheck.assessment.check import check
from chemcheck.assessment.record import Assessment
from chemcheck.intake.intervals_given import readings_of_intervals
from chemcheck.judging.decision_rules import DECISION_RULES
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import ReadingColumn
from chemcheck.remedies.mixture import Mixture
from chemcheck.remedies.mixture_ph import mixture_ph
from chemcheck.remedies.water_blend import mixes_in_proportion

Floats = npt.NDArray[np.float64]

MIXTURE = "the mixture"
PH = ReadingColumn("ph", "neat")
# So many standard uncertainties hold 95 %.
ROOM = DECISION_RULES["overlap"].accept
_DIGITS = 9


def blended_water(
    waters: Waters, alone: Assessment, mixture: Mixture, sets: Sequence[LimitSet], rule: str
) -> Blended | None:
    """Reckon what a mixture holds, its pH, and judge it.

    Parameters
    ----------
    waters : Waters
        What was mixed.
    alone : Assessment
        Of the waters by themselves: it knows the uncertainty of their readings.
    mixture : Mixture
        The shares.
    sets : sequence of LimitSet
        What judges it.
    rule : {"overlap", "simple", "guarded"}
        How uncertainty counts.

    Returns
    -------
    Blended or None
        None where there are no shares.
    """
    if np.isnan(mixture.shares).any():
        return None
    held = dict(_held(waters, alone, mixture.shares))
    reported, widened = (
        mixture_ph(_by_analyte(waters, alone, width), waters.pure, mixture.shares)
        for width in (0.0, ROOM)
    )
    if not np.isnan(reported.ends[0]):
        held[PH] = Held(*reported.ends, _spread(reported.ends, widened.ends) / ROOM)
    # The uncertainty is that of the readings behind the mixture, not of a reading of it: it is
    # put into the interval, and the interval alone is judged.
    width = DECISION_RULES[rule].accept
    ends = {
        column: (
            np.array([_exactly(max(one.lower - width * one.u, 0.0))]),
            np.array([_exactly(one.upper + width * one.u)]),
        )
        for column, one in held.items()
    }
    readings = readings_of_intervals([MIXTURE], ends, file=MIXTURE)
    return Blended(mixture, held, reported, check(readings, sets, rule="simple"))


def _held(
    waters: Waters, alone: Assessment, shares: Floats
) -> Iterator[tuple[ReadingColumn, Held]]:
    used = np.flatnonzero(shares > 0.0)
    readings, part = alone.readings, shares[used]
    for place, column in enumerate(readings.columns):
        lower, upper = readings.lower[used, place], readings.upper[used, place]
        if np.isnan(lower).any() or not mixes_in_proportion(column.analyte):
            continue
        u = _uncertainty(waters, alone, place)[used]
        yield column, Held(float(part @ lower), float(part @ upper), float(part @ u))


def _uncertainty(waters: Waters, alone: Assessment, place: int) -> Floats:
    """Return the standard uncertainty of a column; what is assumed is an allowance already."""
    u = np.nan_to_num(alone.headline.uncertainty[:, place]).astype(np.float64)
    return np.where(np.array(waters.samples) == 0, 0.0, u)


def _by_analyte(
    waters: Waters, alone: Assessment, width: float
) -> list[dict[str, tuple[float, float]]]:
    """Return the ends of each water's readings, moved out by so many standard uncertainties."""
    readings = alone.readings
    found: list[dict[str, tuple[float, float]]] = [{} for _ in waters.sources]
    for place, column in enumerate(readings.columns):
        reach = width * _uncertainty(waters, alone, place)
        for k, water in enumerate(found):
            lower, upper = readings.lower[k, place], readings.upper[k, place]
            if not np.isnan(lower):
                ends = (max(float(lower - reach[k]), 0.0), float(upper + reach[k]))
                water.setdefault(column.analyte, ends)
    return found


def _spread(inner: tuple[float, float], outer: tuple[float, float]) -> float:
    """Return how far the farther end of one interval lies beyond another's."""
    return max(inner[0] - outer[0], outer[1] - inner[1], 0.0)


def _exactly(value: float) -> float:
    """Take out what the linear program's arithmetic left in the last digits."""
    return float(f"{value:.{_DIGITS}g}")
