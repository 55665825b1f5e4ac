"""What a softener would do for waters: which bounds it mends and which it leaves."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.hardness import CACO3_PER_CALCIUM, CACO3_PER_MAGNESIUM, hardness_as_caco3
from chemcheck.chemistry.softening import (
    saturation_change,
    sodium_of_softening,
    solids_of_softening,
)
from chemcheck.limit_library import limit_folder
from chemcheck.remedies.deionised_water import AssumedValue, read_deionised_water
from chemcheck.remedies.water_blend import Column, LinearBound, ReadingOf

# What softening does to a bound, by the unfavourable end of the reading.
MET, MENDED, LEFT, BROKEN, UNREAD = (np.int8(k) for k in range(5))

_HARDNESS = "total_hardness"
# How much of each a unit of hardness stands for.
_OF_HARDNESS: Mapping[str, float] = {
    _HARDNESS: 1.0,
    "calcium_hardness": 1.0,
    "magnesium_hardness": 1.0,
    "calcium": 1.0 / CACO3_PER_CALCIUM,
    "magnesium": 1.0 / CACO3_PER_MAGNESIUM,
}


@dataclass(frozen=True, slots=True)
class Softening:
    """What a softener would do for waters against one limit set.

    Parameters
    ----------
    bounds : tuple of LinearBound
        The action bounds on what mixes in proportion.
    effect : ndarray of int8, shape (n_waters, n_bounds)
        ``MET`` before and after, ``MENDED``, ``LEFT`` broken, ``BROKEN`` by it, or ``UNREAD``.
    sodium_lower, sodium_upper : ndarray of float64, shape (n_waters,)
        Sodium that comes [mg/L]; NaN where no hardness was read.
    index_change : ndarray of float64, shape (n_waters,)
        By how much the saturation indices of calcium's salts fall at least, below zero or zero;
        NaN where no calcium was read.
    """

    bounds: tuple[LinearBound, ...]
    effect: npt.NDArray[np.int8]
    sodium_lower: Column
    sodium_upper: Column
    index_change: Column

    @property
    def cures(self) -> npt.NDArray[np.bool_]:
        """Where something is mended and nothing is left or unread, shape (n_waters,)."""
        mended = (self.effect == MENDED).any(axis=1)
        return np.asarray(mended & (self.effect <= MENDED).all(axis=1))


@cache
def softened_water() -> Mapping[str, AssumedValue]:
    """Return the values assumed of softened water, by the analyte's key.

    Examples
    --------
    >>> softened_water()["total_hardness"].upper
    17.1
    """
    return read_deionised_water(limit_folder() / "properties" / "softened_water.yaml")


def soften(bounds: tuple[LinearBound, ...], reading_of: ReadingOf, n_waters: int) -> Softening:
    """Hold waters against bounds as they are and as a softener would leave them.

    Parameters
    ----------
    bounds : tuple of LinearBound
        From `linear_bounds`.
    reading_of : callable
        Gives the ends of an analyte's readings on a basis.
    n_waters : int
        How many waters there are.

    Returns
    -------
    Softening
        Chloride, sulfate and alkalinity stay; hardness goes down to what a softener lets pass,
        sodium and dissolved solids rise.
    """
    after = softened(reading_of)
    effect = np.full((n_waters, len(bounds)), UNREAD)
    for place, bound in enumerate(bounds):
        held = [_unfavourable(bound, each, n_waters) for each in (reading_of, after)]
        sign = 1.0 if bound.side == "upper" else -1.0
        broken, still = (sign * values > sign * bound.value for values in held)
        states = np.where(broken, np.where(still, LEFT, MENDED), np.where(still, BROKEN, MET))
        effect[:, place] = np.where(np.isnan(held[0]) | np.isnan(held[1]), UNREAD, states)
    lower, upper = _taken_out(reading_of)
    calcium = reading_of("calcium", None)[0]
    return Softening(
        bounds=bounds,
        effect=effect,
        sodium_lower=sodium_of_softening(lower),
        sodium_upper=sodium_of_softening(upper),
        index_change=saturation_change(calcium, after("calcium", None)[1]),
    )


def softened(reading_of: ReadingOf) -> ReadingOf:
    """Return the readings as a softener would leave them.

    Parameters
    ----------
    reading_of : callable
        Gives the ends of an analyte's readings on a basis.

    Returns
    -------
    callable
        The same, behind the softener.

    Examples
    --------
    >>> tap = {"total_hardness": 317.1, "sodium": 20.0, "chloride": 85.0}
    >>> def reading_of(key, basis):
    ...     value = np.array([tap.get(key, np.nan)])
    ...     return value, value
    >>> behind = softened(reading_of)
    >>> [behind(key, None)[1].round(1).item() for key in ("total_hardness", "sodium", "chloride")]
    [17.1, 165.7, 85.0]
    """
    passes = softened_water()[_HARDNESS]

    def ends(key: str, basis: str | None) -> tuple[Column, Column]:
        lower, upper = reading_of(key, basis)
        if key in _OF_HARDNESS:
            part = _OF_HARDNESS[key]
            return np.minimum(lower, part * passes.lower), np.minimum(upper, part * passes.upper)
        if key == "sodium":
            least, most = _taken_out(reading_of)
            return lower + sodium_of_softening(least), upper + sodium_of_softening(most)
        if key == "total_dissolved_solids":
            least, most = solids_of_softening(*_taken_out(reading_of))
            return lower + least, upper + most
        return lower, upper

    return ends


def _taken_out(reading_of: ReadingOf) -> tuple[Column, Column]:
    """Return the ends of the hardness that the softener takes out [mg/L as CaCO3]."""
    passes = softened_water()[_HARDNESS]
    hardness = list(reading_of(_HARDNESS, None))
    ions = [reading_of(key, None) for key in ("calcium", "magnesium")]
    for end in (0, 1):
        of_ions = hardness_as_caco3(ions[0][end], ions[1][end])
        hardness[end] = np.where(np.isnan(hardness[end]), of_ions, hardness[end])
    return np.maximum(hardness[0] - passes.upper, 0.0), np.maximum(hardness[1] - passes.lower, 0.0)


def _unfavourable(bound: LinearBound, reading_of: ReadingOf, n_waters: int) -> Column:
    """Return the end of a bound's quantity that is nearer to breaking it."""
    end = 1 if bound.side == "upper" else 0
    total = np.zeros(n_waters)
    for key, basis, factor in bound.terms:
        total += factor * reading_of(key, basis)[end]
    return total
