"""What a new fill of concentrate and deionised water is taken to hold."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from chemcheck.assessment.sample_levels import GLYCOL, Floats, SampleLevels
from chemcheck.judging.bound_tables import LOWER_ACTION, LOWER_WARNING, UPPER_ACTION
from chemcheck.judging.glycol_of_concentrate import GLYCOLS, by_volume
from chemcheck.limit_library.assumed_values import coolant_concentrate
from chemcheck.limit_library.settings import check_settings
from chemcheck.remedies.deionised_water import deionised_water, new_coolant
from chemcheck.remedies.estimate import Estimate, between


def remedy_setting(name: str) -> float:
    """Return a number that remedies aim at, from ``limits/checks/remedies.yaml``.

    Examples
    --------
    >>> remedy_setting("usual_mix")
    50.0
    """
    return check_settings("remedies")[name].value


@dataclass(frozen=True, slots=True)
class NewFill:
    """Levels of a fill, by column of readings.

    Parameters
    ----------
    lower, upper : ndarray, shape (n_columns,)
        [canonical units]; NaN where nothing is known of it, or it does not mix.
    concentrate : float
        Share of concentrate in it [1].
    """

    lower: Floats
    upper: Floats
    concentrate: float


def concentrate_strength(levels: SampleLevels) -> Estimate:
    """Return the glycol of a concentrate whose label does not say it [vol%]."""
    return _strength(levels.glycol_type if levels.glycol_type in GLYCOLS else None)


@cache
def _strength(glycol: str | None) -> Estimate:
    share = coolant_concentrate()["glycol_by_mass"]
    low = float(by_volume(np.array([share.lower]), 0, glycol)[0])
    high = float(by_volume(np.array([share.upper]), 1, glycol)[0])
    return between(low, high)


def new_fill(levels: SampleLevels, percent: float) -> NewFill:
    """Return what concentrate and deionised water of a percent hold.

    Parameters
    ----------
    levels : SampleLevels
        The sample that it is for.
    percent : float
        Of glycol [vol%].

    Returns
    -------
    NewFill
        By the fresh fill's sample where there is one, in proportion to its glycol. Without,
        by what is assumed of a new coolant, else that a new mix lies within the bounds of
        the limit set; nothing of what has no upper bound.
    """
    strength = concentrate_strength(levels)
    share = percent / float(strength.value)
    low, high = _mix(levels)
    scale_low, scale_high = _scale(levels, percent)
    pure_low, pure_high = np.zeros((2, len(levels.analytes)))
    for place, key in enumerate(levels.analytes):
        if key in deionised_water():
            pure_high[place] = deionised_water()[key].upper
    water = max(1.0 - share, 0.0)
    lower = low * scale_low + water * pure_low
    upper = high * scale_high + water * pure_high
    if percent <= 0.0:
        lower, upper = pure_low, pure_high
    for place, key in enumerate(levels.analytes):
        if key == GLYCOL:
            lower[place], upper[place] = share * strength.lower, share * strength.upper
    mixes = levels.mixes
    return NewFill(np.where(mixes, lower, np.nan), np.where(mixes, upper, np.nan), share)


def _mix(levels: SampleLevels) -> tuple[Floats, Floats]:
    """Return what a new mix holds."""
    lower, upper = (end.copy() for end in levels.of_fresh)
    bounds = levels.bounds
    floor = np.maximum(bounds[LOWER_ACTION], bounds[LOWER_WARNING])
    for place, key in enumerate(levels.analytes):
        if not np.isnan(lower[place]):
            continue
        if key in new_coolant():
            lower[place], upper[place] = new_coolant()[key].lower, new_coolant()[key].upper
        elif np.isfinite(bounds[UPPER_ACTION, place]):
            lower[place] = max(floor[place], 0.0)
            upper[place] = bounds[UPPER_ACTION, place]
    return lower, upper


def _scale(levels: SampleLevels, percent: float) -> tuple[float, float]:
    """Return by how much more concentrate there is in a fill than in the mix it is known by."""
    fresh_lower, fresh_upper = levels.of_fresh
    for place, key in enumerate(levels.analytes):
        if key == GLYCOL and fresh_lower[place] > 0.0:
            return percent / float(fresh_upper[place]), percent / float(fresh_lower[place])
    return (percent / remedy_setting("usual_mix"),) * 2
