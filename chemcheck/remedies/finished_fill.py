"""The water of a finished fill, what was held back counted, for whole columns of rinse waters.

What stays inside after the last rinse is drained becomes water of the fill: its salts are those of
the rinse water, thinned by the deionised water that goes in with the concentrate and by rinses
with deionised water before it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.remedies.deionised_water import AssumedValue
from chemcheck.remedies.estimate import Column, hull
from chemcheck.remedies.last_rinses import last_rinses_needed, water_phase
from chemcheck.remedies.refill import concentrate_needed
from chemcheck.remedies.rinse import share_kept
from chemcheck.remedies.system_in_use import SystemInUse
from chemcheck.remedies.water_blend import LinearBound, ReadingOf

Ends = tuple[Column, Column]
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class HeldBack:
    """Volumes of a finished fill, and how a rinse thins what is inside.

    Parameters
    ----------
    held, added : float
        Rinse water that stays inside, and deionised water that is filled, at their unfavourable
        ends [L].
    kept : float
        Share of what was inside that one rinse leaves, at its unfavourable end [1].
    """

    held: float
    added: float
    kept: float


@dataclass(frozen=True, slots=True)
class FinishedFill:
    """The water of finished fills against one limit set.

    Parameters
    ----------
    bounds : tuple of LinearBound
        The action bounds on what mixes in proportion.
    rinses : ndarray of float64, shape (n_waters,)
        How many of the last rinses must be of deionised water; NaN where none will do.
    controlled_by : ndarray of int16, shape (n_waters,)
        Position of the bound that asks for most; -1 where none asks for any.
    level, level_after : ndarray of float64, shape (n_waters, n_bounds)
        Each bound's quantity at its unfavourable end, without such a rinse and after so many
        [unit of the bound].
    meets, meets_after : ndarray of bool, shape (n_waters,)
        Whether every bound that could be read is met without such a rinse, and after so many.
    known : ndarray of bool, shape (n_waters,)
        Whether every essential that mixes in proportion was read.
    analytes : tuple of str
        What is known of the deionised water, too.
    without, after : (ndarray, ndarray), shape (n_waters, n_analytes) each
        Ends of what the water of the fill holds without such a rinse, and after so many
        [canonical units]; NaN where there is no number of rinses.
    """

    bounds: tuple[LinearBound, ...]
    rinses: Column
    controlled_by: npt.NDArray[np.int16]
    level: Column
    level_after: Column
    meets: npt.NDArray[np.bool_]
    meets_after: npt.NDArray[np.bool_]
    known: npt.NDArray[np.bool_]
    analytes: tuple[str, ...]
    without: Ends
    after: Ends


def held_back(use: SystemInUse) -> HeldBack | None:
    """Return the volumes of a finished fill; None where nobody said what drains.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> volumes = held_back(SystemInUse(exact(12.0), exact(8.0)))
    >>> volumes.held, volumes.added, round(volumes.kept, 3)
    (4.0, 2.0, 0.333)
    """
    if use.drains is None:
        return None
    out, volume = float(use.drains.lower), float(use.system.upper)
    concentrate = concentrate_needed(volume, out, 0.0, use.fill.upper, use.strength.lower)
    kept = hull(share_kept, use.system, use.drains, use.efficiency)
    return HeldBack(volume - out, max(out - float(concentrate), 0.0), float(kept.upper))


def finished_fill(
    bounds: tuple[LinearBound, ...],
    deionised: Mapping[str, AssumedValue],
    reading_of: ReadingOf,
    volumes: HeldBack,
    n_waters: int,
) -> FinishedFill:
    """Hold the water of finished fills against bounds.

    Parameters
    ----------
    bounds : tuple of LinearBound
        From `linear_bounds`.
    deionised : mapping of str to AssumedValue
        The water of the fill, and of the last rinses.
    reading_of : callable
        Gives the ends of an analyte's readings of the rinse water on a basis.
    volumes : HeldBack
        Of the fill.
    n_waters : int
        How many rinse waters there are.

    Returns
    -------
    FinishedFill
        By the readings as reported, at their unfavourable ends.
    """
    rinses = np.zeros(n_waters)
    control = np.full(n_waters, -1, dtype=np.int16)
    tap, pure = _levels(bounds, deionised, reading_of, n_waters)
    for place, bound in enumerate(bounds):
        if bound.side == "upper":
            need = last_rinses_needed(
                tap[place], pure[place], bound.value, volumes.held, volumes.added, volumes.kept
            )
            # A reading that is missing asks for nothing; one that cannot be met asks for ever.
            asks = np.where(np.isnan(tap[place]), 0.0, np.where(np.isnan(need), np.inf, need))
            control = np.where(asks > rinses, np.int16(place), control)
            rinses = np.maximum(rinses, asks)
    count = np.where(np.isinf(rinses), np.nan, rinses)
    level, level_after = (
        _phases(tap, pure, volumes, number) for number in (np.zeros(n_waters), count)
    )
    essential = np.array([bound.essential for bound in bounds], dtype=bool)
    unread = np.array([np.isnan(levels) for levels in tap]).reshape(len(bounds), n_waters)
    analytes = tuple(dict.fromkeys(key for bound in bounds for key, _, _ in bound.terms))
    without, after = (
        _held(analytes, deionised, reading_of, volumes, number)
        for number in (np.zeros(n_waters), count)
    )
    return FinishedFill(
        bounds=bounds,
        rinses=count,
        controlled_by=control,
        level=level,
        level_after=level_after,
        meets=_met(bounds, level),
        meets_after=_met(bounds, level_after) & ~np.isnan(count),
        known=~unread[essential].any(axis=0),
        analytes=analytes,
        without=without,
        after=after,
    )


def _levels(
    bounds: tuple[LinearBound, ...],
    deionised: Mapping[str, AssumedValue],
    reading_of: ReadingOf,
    n_waters: int,
) -> tuple[list[Column], list[float]]:
    """Return each bound's quantity at its unfavourable end, of the rinse and deionised water."""
    tap, pure = [], []
    for bound in bounds:
        end = 1 if bound.side == "upper" else 0
        level, other = np.zeros(n_waters), 0.0
        for key, basis, factor in bound.terms:
            level = level + factor * reading_of(key, basis)[end]
            other += factor * (deionised[key].upper if end else deionised[key].lower)
        tap.append(level)
        pure.append(other)
    return tap, pure


def _phase(volumes: HeldBack, count: Column, tap: Column, pure: float) -> Column:
    """Return a level in the water of the fill; an infinite one stays so."""
    share = np.asarray(
        water_phase(count, 1.0, 0.0, volumes.held, volumes.added, volumes.kept), dtype=np.float64
    )
    with np.errstate(invalid="ignore"):  # none of an infinite level
        from_tap = np.where(share == 0.0, 0.0, share * tap)
    return np.asarray(from_tap + (1.0 - share) * pure)


def _phases(tap: list[Column], pure: list[float], volumes: HeldBack, count: Column) -> Column:
    """Return all levels in the water of the fill, shape (n_waters, n_bounds)."""
    columns = [_phase(volumes, count, *levels) for levels in zip(tap, pure, strict=True)]
    return np.column_stack(columns) if columns else np.empty((count.size, 0))


def _met(bounds: tuple[LinearBound, ...], level: Column) -> npt.NDArray[np.bool_]:
    """Return where no level that is known is beyond its bound."""
    sign = np.array([1.0 if bound.side == "upper" else -1.0 for bound in bounds])
    values = np.array([bound.value for bound in bounds])
    beyond = sign * (level - values) > _ROUNDING * np.abs(values)
    return np.asarray(~beyond.any(axis=1))


def _held(
    analytes: tuple[str, ...],
    deionised: Mapping[str, AssumedValue],
    reading_of: ReadingOf,
    volumes: HeldBack,
    count: Column,
) -> Ends:
    """Return the ends of what the water of the fill holds, shape (n_waters, n_analytes) each."""
    ends = []
    for end in (0, 1):
        columns = [
            _phase(
                volumes,
                count,
                reading_of(key, None)[end],
                deionised[key].upper if end else deionised[key].lower,
            )
            for key in analytes
        ]
        ends.append(np.column_stack(columns) if columns else np.empty((count.size, 0)))
    return ends[0], ends[1]
