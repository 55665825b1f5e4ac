"""Chloride, sulfate and hardness: what the fresh fill and the top-ups explain, what they do not.

The same log means two things: what leaked took its share of everything along, what evaporated
left everything behind. Both are reckoned, and glycol says which of them it was where it can.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.causes.reading_ends import ends_of
from chemcheck.causes.top_up_fluids import TopUpFluids
from chemcheck.causes.top_up_log import TopUps
from chemcheck.chemistry.range_record import Range
from chemcheck.chemistry.top_up import (
    after_logged_evaporation,
    after_logged_leaks,
    salt_of_chloride,
    seawater_of_chloride,
)
from chemcheck.judging.record import Judged
from chemcheck.limit_library.settings import check_settings

CHLORIDE, GLYCOL = "chloride", "glycol"
CONTAMINANTS = (CHLORIDE, "sulfate", "total_hardness")
LEAK, EVAPORATION = "leak", "evaporation"
_AFTER: dict[str, Callable[..., npt.NDArray[np.float64]]] = {
    LEAK: after_logged_leaks,
    EVAPORATION: after_logged_evaporation,
}
# The file of numbers that balances go by.
BALANCES = "fill_balances"
# Between the ends of the system's volume the level has at most one turn.
_VOLUMES = 9


@dataclass(frozen=True, slots=True)
class Explained:
    """What one reading of the log explains.

    Parameters
    ----------
    level : Range
        What fresh fill and top-ups come to [canonical unit].
    remains : Range
        What is found beyond that; below zero where less is found [canonical unit].
    mass : Range
        That of what remains, in the whole system [g].
    salt, seawater : Range or None
        Common salt [g] or sea water [mL] that would bring it; of chloride only.
    """

    level: Range
    remains: Range
    mass: Range
    salt: Range | None
    seawater: Range | None

    @property
    def surely_more(self) -> bool:
        """Whether something worth telling remains whatever the true values are."""
        return float(self.remains.lower) > check_settings(BALANCES)["worth_telling"].value


@dataclass(frozen=True, slots=True)
class ContaminantBalance:
    """Where one contaminant of one sample came from.

    Parameters
    ----------
    analyte : str
        Its key.
    found, fresh : Range
        In the sample and in the fresh fill, reading and method together [canonical unit].
    system : Range
        Volume [L].
    topped_up : float
        All top-ups together [L].
    leak, evaporation : Explained
        If what was topped up had leaked, and if it had evaporated.
    physics : str
        What glycol says: ``leak``, ``evaporation``, ``either``, ``neither``; empty where
        it was not read, or nothing was topped up.
    """

    analyte: str
    found: Range
    fresh: Range
    system: Range
    topped_up: float
    leak: Explained
    evaporation: Explained
    physics: str


def contaminant_balances(
    judged: Judged, row: int, fresh: int, top_ups: TopUps, fluids: TopUpFluids, system: Range
) -> tuple[tuple[ContaminantBalance, ...], tuple[str, ...]]:
    """Balance the contaminants of one sample.

    Parameters
    ----------
    judged : Judged
        All samples.
    row, fresh : int
        Positions of the sample and of its fresh fill.
    top_ups : TopUps
        Between the two.
    fluids : TopUpFluids
        What they brought.
    system : Range
        Volume [L].

    Returns
    -------
    balances : tuple of ContaminantBalance
        Of what was read in both, and is known of all that was topped up.
    lacking : tuple of str
        Analytes read in both, of which some fluid topped up is not known.
    """
    physics = _physics(judged, row, fresh, top_ups, fluids, system)
    balances, lacking = [], []
    for analyte in CONTAMINANTS:
        found, before = ends_of(judged, row, analyte), ends_of(judged, fresh, analyte)
        if found is None or before is None:
            continue
        if not (np.isfinite(found.upper) and np.isfinite(before.upper)):
            continue
        levels = _levels(analyte, fresh, top_ups, fluids)
        if levels is None:
            lacking.append(analyte)
            continue
        leak, evaporation = (
            _explained(way, analyte, found, before, top_ups, levels, system) for way in _AFTER
        )
        balances.append(
            ContaminantBalance(
                analyte, found, before, system, top_ups.total, leak, evaporation, physics
            )
        )
    return tuple(balances), tuple(lacking)


def _levels(analyte: str, fresh: int, top_ups: TopUps, fluids: TopUpFluids) -> Range | None:
    """Return what each top-up held, None where that is not known of one."""
    known = {text: fluids.level(text, analyte, fresh) for text in dict.fromkeys(top_ups.fluids)}
    of_each = [known[text] for text in top_ups.fluids]
    ranges = [one for one in of_each if one is not None and np.isfinite(one.upper)]
    if len(ranges) < len(of_each):
        return None
    return Range(
        np.array([float(one.lower) for one in ranges]),
        np.array([float(one.upper) for one in ranges]),
    )


def _after(way: str, fresh: Range, top_ups: TopUps, levels: Range, system: Range) -> Range:
    """Return the level that fresh fill and top-ups come to, over the system's volume."""
    volumes = np.linspace(float(system.lower), float(system.upper), _VOLUMES)
    shares = np.minimum(top_ups.litres / volumes[:, np.newaxis], 1.0)
    return Range(
        np.asarray(_AFTER[way](fresh.lower, shares, levels.lower)).min(),
        np.asarray(_AFTER[way](fresh.upper, shares, levels.upper)).max(),
    )


def _explained(
    way: str,
    analyte: str,
    found: Range,
    fresh: Range,
    top_ups: TopUps,
    levels: Range,
    system: Range,
) -> Explained:
    level = _after(way, fresh, top_ups, levels, system)
    remains = Range(np.asarray(found.lower - level.upper), np.asarray(found.upper - level.lower))
    positive = Range(np.maximum(remains.lower, 0.0), np.maximum(remains.upper, 0.0))

    def amount(of: Callable[..., npt.NDArray[np.float64]]) -> Range:
        return Range(of(positive.lower, system.lower), of(positive.upper, system.upper))

    is_chloride = analyte == CHLORIDE
    return Explained(
        level=level,
        remains=remains,
        mass=amount(lambda excess, volume: np.asarray(excess * volume / 1e3)),
        salt=amount(salt_of_chloride) if is_chloride else None,
        seawater=amount(seawater_of_chloride) if is_chloride else None,
    )


def _physics(
    judged: Judged, row: int, fresh: int, top_ups: TopUps, fluids: TopUpFluids, system: Range
) -> str:
    """Say by glycol whether what was topped up had leaked or evaporated."""
    found, before = ends_of(judged, row, GLYCOL), ends_of(judged, fresh, GLYCOL)
    levels = _levels(GLYCOL, fresh, top_ups, fluids)
    if found is None or before is None or levels is None or not top_ups.fluids:
        return ""
    may_be = [
        bool(found.lower <= one.upper and found.upper >= one.lower)
        for one in (_after(way, before, top_ups, levels, system) for way in _AFTER)
    ]
    if all(may_be):
        return "either"
    if not any(may_be):
        return "neither"
    return LEAK if may_be[0] else EVAPORATION
