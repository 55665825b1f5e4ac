"""Variances of a fleet by restricted maximum likelihood: error, walk, spread of start and rate.

The likelihood often has two hills, one of them at 'no walk': a search from one point may stop
there although the data speak for a walk. The walk's share is therefore profiled over its whole
range before it is refined.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.forecasting.fill_rows import FillRows, Floats, Integers
from chemcheck.forecasting.restricted_likelihood import (
    LOG_2PI,
    FillSums,
    RestrictedFit,
    fill_sums,
    restricted_fit,
    spread_slopes,
)
from chemcheck.forecasting.variances import (
    Variances,
    lower_of_root,
    one_way,
    root_of_lower,
)

# Share of the walk in the variance of the change over one typical step; 1 is a walk alone.
WALK_SHARES = (0.02, 0.12, 0.35, 0.65, 0.92, 0.9999)
# How many shares are tried each time the search closes in on the likeliest.
REFINED = (6, 4)
# Newton steps of a spread: how many at most, how long one may be however small the spread (else it
# may double it), the slope per fill and the rise at which they end; damping to begin with, by what
# it is multiplied after a rise, and where it gives up.
MOST_STEPS, SHORTEST_REACH, LEVEL, LEAST_RISE = 100, 2.0, 1e-7, 1e-7
FIRST_DAMPING, EASED, MOST_DAMPING = 1e-4, 0.1, 1e10


@dataclass(frozen=True, slots=True)
class VarianceFit:
    """Variances with the restricted log-likelihood that they reach, and the full one there."""

    variances: Variances
    log_likelihood: float
    full_log_likelihood: float

    def rescaled(self, reading: float, axis: float) -> "VarianceFit":
        """Return the fit with its variances in other units; see `Variances.rescaled`."""
        return replace(self, variances=self.variances.rescaled(reading, axis))


def typical_step(rows: FillRows) -> float:
    """Median step between samples of one fill; the first step where there is no other."""
    later = np.ones(rows.fill.size, dtype=bool)
    later[rows.starts] = False
    return float(np.median(rows.steps[later] if later.any() else rows.steps))


def walk_of_share(share: ArrayLike, step: float) -> Floats:
    """Walk variances relative to the error's, of which one step holds the given share."""
    part: Floats = np.asarray(share, dtype=np.float64)
    walk: Floats = part / (1.0 - part) / step
    return walk


def fit_spread(sums: FillSums, start: Floats | None = None) -> tuple[RestrictedFit, Floats]:
    """Maximise the restricted likelihood over the spread between fills, in k ways at once.

    Parameters
    ----------
    sums : FillSums
        Sums weighted relative to the error's variance.
    start : numpy.ndarray, shape (3, k), optional
        Factors to start from.

    Returns
    -------
    fit : RestrictedFit
        The fits at the maxima.
    factor : numpy.ndarray, shape (3, k)
        Their factors, relative to the scale.

    Notes
    -----
    Newton steps, damped as by Levenberg and Marquardt where one does not rise, with curvatures
    turned downwards [1]_. All ways take their steps together.

    References
    ----------
    .. [1] Nocedal, J. and Wright, S. J. (2006), Numerical Optimization, 2nd ed., Springer,
       sections 3.4 (modified Newton) and 10.3 (Levenberg-Marquardt).
    """
    ways, fills = sums.by_fill.shape[2:]
    if fills == 1:
        # One fill: its own start and rate are the fixed part, no spread can be told.
        return restricted_fit(sums, np.zeros((3, ways)))[0], np.zeros((3, ways))
    unit = half_shrinkage(sums)
    # The search works in units in which fill and fleet weigh the same.
    turn = np.array([unit[0] ** 2, unit[0] * unit[2], unit[2] ** 2])
    first = np.array([[1.0], [0.0], [1.0]]) if start is None else start / unit
    root = root_of_lower(np.broadcast_to(first, unit.shape))
    at = _Height.of(sums, unit, turn, root)
    damping = np.full(ways, FIRST_DAMPING)
    active = np.arange(ways)
    for _ in range(MOST_STEPS):
        climbing = np.abs(at.slope[active]).max(axis=1) > LEVEL * fills
        active = active[climbing & (damping[active] < MOST_DAMPING)]
        if active.size == 0:
            break
        reach = np.maximum(np.sqrt((root[:, active] ** 2).sum(axis=0)), SHORTEST_REACH)
        step = at.step(active, damping[active], reach)
        worth = np.abs(np.einsum("kf,fk->k", at.slope[active], step)) > LEAST_RISE
        active, step = active[worth], step[:, worth]
        if active.size == 0:
            break
        trial = root[:, active] + step
        some = sums if active.size == ways else sums.take(active)
        found = _Height.of(some, unit[:, active], turn[:, active], trial)
        higher = found.value >= at.value[active]
        damping[active] *= np.where(higher, EASED, 1.0 / EASED)
        root[:, active[higher]] = trial[:, higher]
        at.replace(active[higher], found, higher)
    factor: Floats = unit * lower_of_root(root)
    return restricted_fit(sums, factor)[0], factor


@dataclass(frozen=True, slots=True)
class _Height:
    """Log-likelihood at k points with its slopes (k, 3) and curvatures (k, 3, 3)."""

    value: Floats
    slope: Floats
    bend: Floats

    @classmethod
    def of(cls, sums: FillSums, unit: Floats, turn: Floats, root: Floats) -> "_Height":
        """Evaluate at roots of shape (3, k)."""
        fit, shrunk, _ = restricted_fit(sums, unit * lower_of_root(root))
        return cls(fit.log_likelihood.copy(), *spread_slopes(sums, root, turn, fit, shrunk))

    def step(self, which: Integers, damping: Floats, reach: Floats) -> Floats:
        """Return the next step from some points, no longer than `reach`, shape (3, points)."""
        steepness, vectors = np.linalg.eigh(-self.bend[which])
        steepness = np.abs(steepness)
        steepest = np.maximum(steepness[:, -1:], steepness[:, :1])
        lifted = steepness + damping[:, None] * steepest + 1e-12
        along = np.einsum("kij,ki->kj", vectors, self.slope[which]) / lifted
        step: Floats = np.einsum("kij,kj->ik", vectors, along)
        length = np.sqrt((step**2).sum(axis=0))
        step *= np.minimum(1.0, reach / np.maximum(length, 1e-300))
        return step

    def replace(self, which: Integers, found: "_Height", those: NDArray[np.bool_]) -> None:
        """Take over some points from others."""
        self.value[which] = found.value[those]
        self.slope[which] = found.slope[those]
        self.bend[which] = found.bend[those]


def half_shrinkage(sums: FillSums) -> Floats:
    """Factors at which a typical fill's own readings and the fleet weigh the same, shape (3, k)."""
    typical = sums.by_fill[:, :2].mean(axis=3)
    start, rate = (1.0 / np.sqrt(np.maximum(typical[i, i], 1e-12)) for i in range(2))
    return np.array([start, rate, rate])


def lift_spread(factor: Floats, sums: FillSums) -> Floats:
    """Move starting factors off the flat spot at no spread, where the slope is zero; (3, k)."""
    if sums.by_fill.shape[3] == 1:
        return np.zeros((3, sums.by_fill.shape[2]))
    least = 0.3 * half_shrinkage(sums)
    small = np.abs(factor) < least
    small[1] = False
    return np.where(small, least, factor)


def search_variances(
    rows: FillRows,
    readings: Floats,
    counted: Floats,
    *,
    walk: bool,
    shares: tuple[float, ...] = WALK_SHARES,
) -> VarianceFit:
    """Find the variances that make exact readings most likely.

    Parameters
    ----------
    rows : FillRows
        Places of the readings.
    readings : numpy.ndarray, shape (n,)
        The readings.
    counted : numpy.ndarray, shape (n,)
        1, or 0 for a place without a reading.
    walk : bool
        Whether to look for a walk along the fills beside independent errors.
    shares : tuple of float
        Shares of the walk to profile, rising. A single one is taken as it is.

    Returns
    -------
    VarianceFit
        The variances and the restricted log-likelihood.
    """
    step = typical_step(rows)

    def at(tried: Floats, start: Floats | None) -> tuple[RestrictedFit, Floats]:
        ratio = walk_of_share(tried, step)
        weights = np.broadcast_to(counted, (tried.size, counted.size))
        sums, _ = fill_sums(rows, readings[None], weights, ratio)
        # Warm start, but never from a spread that a former share drove to nothing.
        return fit_spread(sums, None if start is None else lift_spread(start, sums))

    share = 0.0
    fit, factor = at(np.zeros(1), None)
    best, best_factor = fit, factor
    if walk:
        tried = np.array(shares)
        fit, factor = at(tried, factor)
        if tried.size > 1:
            tried, near = _refined(at, tried, fit.log_likelihood, factor)
            tried = tried[[int(np.argmax(at(tried, near)[0].log_likelihood))]]
            fit, factor = at(tried, near)
        if fit.log_likelihood[0] > best.log_likelihood[0]:
            share, best, best_factor = float(tried[0]), fit, factor
    scale = float(best.scale[0])
    wander = float(walk_of_share(share, step))
    variances = one_way(scale, scale * wander, np.sqrt(scale) * best_factor)
    restricted = float(best.log_likelihood[0])
    return VarianceFit(variances, restricted, full_likelihood(best))


def _refined(
    at: Callable[[Floats, Floats], tuple[RestrictedFit, Floats]],
    shares: Floats,
    heights: Floats,
    factor: Floats,
) -> tuple[Floats, Floats]:
    """Close in on the likeliest share; return two to choose from, and the factor nearest to them.

    Twice shares are tried between the neighbours of the best one; the best then, and the top of
    the parabola through it and its neighbours, remain.
    """
    places = np.concatenate(([0.0], shares))
    heights = np.concatenate(([-np.inf], heights))
    factor = np.column_stack((factor[:, 0], factor))
    for points in REFINED:
        top = int(np.argmax(heights))
        low, high = places[top - 1], places[min(top + 1, places.size - 1)]
        between = np.linspace(low, high, points + 2)[1:-1]
        between = between[np.abs(between - places[top]) > 1e-9]
        fit, found = at(between, factor[:, [top]])
        order = np.argsort(np.concatenate((places, between)), kind="stable")
        places = np.concatenate((places, between))[order]
        heights = np.concatenate((heights, fit.log_likelihood))[order]
        factor = np.column_stack((factor, found))[:, order]
    top = int(np.argmax(heights))
    likely = places[top]
    if top < places.size - 1 and np.isfinite(heights[top - 1]):
        left, right = places[top - 1] - likely, places[top + 1] - likely
        fall_left, fall_right = (heights[k] - heights[top] for k in (top - 1, top + 1))
        bend = fall_left * right - fall_right * left
        if bend != 0.0:
            turn = 0.5 * (fall_left * right**2 - fall_right * left**2) / bend
            likely = likely + float(np.clip(turn, left, right))
    return np.array([likely, places[top]]), factor[:, [top]]


def full_likelihood(fit: RestrictedFit) -> float:
    """Log-likelihood with the fixed part at its estimate: comparable between other fixed parts.

    The restricted one has integrated the fixed part out.
    """
    value = fit.log_likelihood + 0.5 * (fit.log_information - fit.rank * LOG_2PI)
    return float(value[0])
