"""What a mixture of waters holds: amounts in proportion, pH by equilibrium, judged as a sample."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.blend_record import Blended, Held
from chemcheck.assessment.blend_sources import Waters
from chemcheck.assessment.check import check
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.trust import weigh_trust
from chemcheck.chemistry.box_search import IONS
from chemcheck.intake.intervals_given import readings_of_intervals
from chemcheck.judging.decision_rules import DECISION_RULES
from chemcheck.judging.water_analysis import water_analysis
from chemcheck.judging.water_cross_checks import reading_of
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
_SILICA = "silica"
_ANALYTES = {"alkalinity": "total_alkalinity"}


def doubted_sources(waters: Waters) -> list[tuple[str, ...]]:
    """Say of each source why its readings are not to be relied on.

    Parameters
    ----------
    waters : Waters
        What is mixed.
    """
    doubts = weigh_trust(waters.readings, None).doubts
    if doubts is None:
        return [() for _ in waters.sources]
    found = []
    for k, source in enumerate(waters.sources):
        codes = [doubts.of_sample[k], *([] if doubts.of_cell is None else doubts.of_cell[k])]
        says = dict.fromkeys(doubts.kinds[code].says for code in codes if code >= 0)
        found.append(tuple(f"{source.name}: {one}" for one in says))
    return found


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
    doubted = doubted_sources(waters)
    held = dict(_held(waters, alone, mixture.shares))
    reported, widened = (
        mixture_ph(*ph_inputs(waters, alone, width), np.array(waters.pure), mixture.shares)
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
    used = np.flatnonzero(mixture.shares > 0.0)
    return Blended(
        mixture=mixture,
        held=held,
        ph=reported,
        assessment=check(readings, sets, rule="simple"),
        doubted=tuple(line for k in used for line in doubted[k]),
    )


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


def ph_inputs(
    waters: Waters, alone: Assessment, width: float
) -> tuple[dict[str, Floats], dict[str, Floats]]:
    """Return the ends of what the pH needs of each water, by input.

    Parameters
    ----------
    waters : Waters
        What was mixed.
    alone : Assessment
        Of the waters by themselves.
    width : float
        By how many standard uncertainties readings are moved out.
    """
    readings = alone.readings
    reach = np.column_stack(
        [width * _uncertainty(waters, alone, place) for place in range(len(readings.columns))]
    )
    lower = np.asfortranarray(np.maximum(readings.lower - reach, 0.0))
    widened = replace(readings, lower=lower, upper=readings.upper + reach)
    analysis = water_analysis(widened, np.arange(len(waters.sources)))
    ends = dict(analysis.lower), dict(analysis.upper)
    # Of deionised water the analysis says nothing without a pH; what it may hold is known.
    pure = np.array(waters.pure)
    for name in ("alkalinity", *IONS):
        held = reading_of(widened, _ANALYTES.get(name, name))
        for found, own in zip(ends, (held.lower, held.upper), strict=True):
            found[name] = np.where(pure, np.nan_to_num(own), found[name])
    for found in ends:  # what silica it holds does not move its pH
        found[_SILICA] = np.where(pure, 0.0, found[_SILICA])
    return ends


def _spread(inner: tuple[float, float], outer: tuple[float, float]) -> float:
    """Return how far the farther end of one interval lies beyond another's."""
    return max(inner[0] - outer[0], outer[1] - inner[1], 0.0)


def _exactly(value: float) -> float:
    """Take out what the linear program's arithmetic left in the last digits."""
    return float(f"{value:.{_DIGITS}g}")
