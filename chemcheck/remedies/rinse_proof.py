"""Proof of rinsing: what the measured fall of glycol or conductivity says is left.

By dilution alone each rinse keeps the same share of what was there. A tail that stays above
that says that something still dissolves, that a dead leg gives its old fluid back, or that
the rinse water itself reads so.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.typing import ArrayLike

from chemcheck.remedies.estimate import Column, Estimate, between

Mask = npt.NDArray[np.bool_]
# 95 % point of chi-square with one degree of freedom.
_CHI_SQUARE = 3.841458820694124
_COVERAGE = 1.959963984540054
_GRID = 600
# Systems fitted at once.
_BLOCK = 1000
_LEAST_KEPT, _MOST_KEPT = 1e-4, 0.9999
# With fewer readings nothing can be said of a tail.
LEAST_FOR_A_TAIL = 3


@dataclass(frozen=True, slots=True)
class RinseProof:
    """What readings taken before and after each rinse show, for a column of systems.

    Parameters
    ----------
    residue : Estimate, of shape (n_systems,)
        Share of the first reading that is left in the last, the rinse water's own reading
        taken off [1].
    kept : Estimate, of shape (n_systems,)
        Share that one rinse leaves of what was inside, as fitted [1].
    floor : Estimate, of shape (n_systems,)
        What the readings fall towards above the rinse water's own [unit of the readings].
    flat : ndarray of bool, shape (n_systems,)
        Whether the tail is surely above what dilution leaves (95 %).
    testable : ndarray of bool, shape (n_systems,)
        Whether there are readings enough to tell: three.
    """

    residue: Estimate
    kept: Estimate
    floor: Estimate
    flat: Mask
    testable: Mask


def prove_rinses(
    readings: ArrayLike,
    uncertainty: ArrayLike,
    background: ArrayLike = 0.0,
    least_kept: ArrayLike = 0.0,
) -> RinseProof:
    """Fit the fall of readings over rinses.

    Parameters
    ----------
    readings : array-like, shape (n_systems, n_readings) or (n_readings,)
        Before the first rinse, and after each [any unit that mixes in proportion]; NaN
        where one is missing. The first must be there.
    uncertainty : array-like, of the same shape or a number
        Standard uncertainty of each, independent of the others [same unit].
    background : float or array-like, shape (n_systems,)
        What the rinse water itself reads [same unit].
    least_kept : float or array-like, shape (n_systems,)
        Share that a rinse leaves at perfect mixing, 1 - D/V: no rinse leaves less [1]; 0
        where the volumes are not known.

    Returns
    -------
    RinseProof
        A fit for each system.

    Raises
    ------
    ValueError
        If an uncertainty is not above zero, or there are fewer than two readings.

    Notes
    -----
    Least squares weighted by the uncertainties, of ``b + c + A f^n``: for each share kept
    ``f`` of a grid the floor ``c`` and the size ``A`` follow in closed form; ``c`` is not
    below zero. The tail is flat where leaving out the floor raises chi-square by more than
    3.84 [1]_. Intervals are those of the same rise (profile likelihood); where no floor is
    proven, ``f`` is that of the fall without one, and its interval holds both.

    References
    ----------
    .. [1] Wilks, S. S., Ann. Math. Stat. 9 (1938) 60-62.

    Examples
    --------
    >>> proof = prove_rinses([50.0, 16.7, 5.6, 1.9], 0.3)
    >>> float(proof.kept.value[0].round(2)), bool(proof.flat[0])
    (0.33, False)
    >>> bool(prove_rinses([900.0, 330.0, 150.0, 91.0, 72.0], 3.0).flat[0])
    True
    """
    values = np.atleast_2d(np.asarray(readings, dtype=np.float64))
    spread = np.broadcast_to(np.asarray(uncertainty, dtype=np.float64), values.shape)
    if values.shape[1] < 2:
        message = "expected a reading before the first rinse and one after it, at least"
        raise ValueError(message)
    if not np.all(spread[~np.isnan(values)] > 0.0):
        message = "the uncertainty of a reading must be above zero"
        raise ValueError(message)
    base = np.broadcast_to(np.asarray(background, dtype=np.float64), values.shape[:1])
    least = np.broadcast_to(np.asarray(least_kept, dtype=np.float64), values.shape[:1])
    blocks = [
        _fit(
            values[start : start + _BLOCK],
            spread[start : start + _BLOCK],
            base[start : start + _BLOCK],
            least[start : start + _BLOCK],
        )
        for start in range(0, len(values), _BLOCK)
    ]
    return _stacked(blocks)


def _fit(values: Column, spread: Column, base: Column, least_kept: Column) -> RinseProof:
    """Fit a block of systems; the grids of a block fit into memory."""
    over = values - base[:, np.newaxis]
    weight = np.where(np.isnan(over), 0.0, 1.0 / spread**2)
    over = np.where(np.isnan(over), 0.0, over)
    grid = _grid(least_kept)
    plain, with_floor, floor, floor_spread = _chi_squares(over, weight, grid)
    rows = np.arange(len(values))
    best, plainest = np.argmin(with_floor, axis=1), np.argmin(plain, axis=1)
    least = with_floor[rows, best]
    testable = np.asarray((weight > 0.0).sum(axis=1) >= LEAST_FOR_A_TAIL)
    value = floor[rows, best]
    flat = testable & (plain[rows, plainest] - least > _CHI_SQUARE) & (value > 0.0)
    rise = with_floor - least[:, np.newaxis]
    near = rise <= _CHI_SQUARE
    reach = np.sqrt(np.maximum(_CHI_SQUARE - rise, 0.0)) * floor_spread
    low = np.where(near, np.maximum(floor - reach, 0.0), np.inf).min(axis=1)
    high = np.where(near, floor + reach, -np.inf).max(axis=1)
    # Without a proven floor the plain fall speaks too, and with two readings it alone does.
    plain_near = plain - plain[rows, plainest][:, np.newaxis] <= _CHI_SQUARE
    by_floor = near & testable[:, np.newaxis]
    either = np.where(flat[:, np.newaxis], by_floor, by_floor | plain_near)
    return RinseProof(
        residue=_residue(values, spread, base),
        kept=between(
            np.where(either, grid, np.inf).min(axis=1),
            np.where(either, grid, -np.inf).max(axis=1),
            np.where(flat, grid[rows, best], grid[rows, plainest]),
        ),
        floor=_only(testable, between(low, np.maximum(high, value), value)),
        flat=np.asarray(flat),
        testable=testable,
    )


def _grid(least_kept: Column) -> Column:
    """Shares kept to try, finer where a rinse keeps little."""
    start = np.clip(least_kept, _LEAST_KEPT, _MOST_KEPT - 1e-4)[:, np.newaxis]
    steps = np.linspace(0.0, 1.0, _GRID)[np.newaxis, :]
    # Even steps of the square root, the first exactly at perfect mixing.
    root = np.sqrt(start) + steps * (np.sqrt(_MOST_KEPT) - np.sqrt(start))
    return np.asarray(root**2)


def _chi_squares(
    over: Column, weight: Column, grid: Column
) -> tuple[Column, Column, Column, Column]:
    """Chi-square without and with a floor, the floor and its standard deviation, on a grid."""
    rinses = np.arange(over.shape[1])
    fall = grid[:, :, np.newaxis] ** rinses
    w, y = weight[:, np.newaxis, :], over[:, np.newaxis, :]
    s, sx, sxx = w.sum(-1), (w * fall).sum(-1), (w * fall * fall).sum(-1)
    sy, sxy, syy = (w * y).sum(-1), (w * fall * y).sum(-1), (w * y * y).sum(-1)
    plain = syy - sxy**2 / sxx
    det = np.maximum(s * sxx - sx**2, 1e-12 * s * sxx)
    floor = (sxx * sy - sx * sxy) / det
    size = (s * sxy - sx * sy) / det
    free = syy - floor * sy - size * sxy
    with_floor = np.where(floor > 0.0, free, plain)
    return plain, with_floor, np.maximum(floor, 0.0), np.sqrt(sxx / det)


def _residue(values: Column, spread: Column, base: Column) -> Estimate:
    """Share of the first reading that is left in the last, with 95 % limits."""
    last = values.shape[1] - 1 - np.argmax(~np.isnan(values[:, ::-1]), axis=1)
    rows = np.arange(len(values))
    first, final = values[:, 0] - base, values[rows, last] - base
    first = np.where(first > 0.0, first, np.nan)
    share = final / first
    half = _COVERAGE * np.hypot(spread[rows, last], share * spread[:, 0]) / first
    value = np.clip(share, 0.0, None)
    return between(np.maximum(share - half, 0.0), np.maximum(share + half, value), value)


def _stacked(blocks: list[RinseProof]) -> RinseProof:
    """Put blocks of systems together."""

    def joined(name: str) -> Estimate:
        parts = [getattr(block, name) for block in blocks]
        return Estimate(
            *(
                np.concatenate([getattr(part, end) for part in parts])
                for end in ("value", "lower", "upper")
            )
        )

    return RinseProof(
        residue=joined("residue"),
        kept=joined("kept"),
        floor=joined("floor"),
        flat=np.concatenate([block.flat for block in blocks]),
        testable=np.concatenate([block.testable for block in blocks]),
    )


def _only(where: Mask, estimate: Estimate) -> Estimate:
    """Keep an estimate where it can be made."""
    return Estimate(
        *(np.where(where, one, np.nan) for one in (estimate.value, estimate.lower, estimate.upper))
    )
