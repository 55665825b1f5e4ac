"""Variances of a fleet by restricted maximum likelihood: error, walk, spread of start and rate.

The likelihood often has two hills, one of them at 'no walk': a search from one point may stop
there although the data speak for a walk. The walk's share is therefore profiled over its whole
range before it is refined.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import minimize, minimize_scalar

from chemcheck.forecasting.fill_rows import FillRows, Floats
from chemcheck.forecasting.restricted_likelihood import (
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
WALK_SHARES = (0.02, 0.12, 0.35, 0.65, 0.92)
LARGEST_SHARE = 0.9999
# Times one over the root of the readings: how closely the share is found.
SHARE_TOLERANCE = 0.03


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


def walk_of_share(share: float, step: float) -> float:
    """Walk variance relative to the error's, of which one step holds the given share."""
    return share / (1.0 - share) / step


def fit_spread(sums: FillSums, start: Floats | None = None) -> tuple[RestrictedFit, Floats]:
    """Maximise the restricted likelihood over the spread between fills.

    Parameters
    ----------
    sums : FillSums
        Sums weighted relative to the error's variance, one way.
    start : numpy.ndarray, shape (3,), optional
        Factor to start from.

    Returns
    -------
    fit : RestrictedFit
        The fit at the maximum.
    factor : numpy.ndarray, shape (3,)
        Its factor, relative to the scale.
    """
    if sums.by_fill.shape[3] == 1:
        # One fill: its own start and rate are the fixed part, no spread can be told.
        return restricted_fit(sums, np.zeros((3, 1)))[0], np.zeros(3)
    unit = half_shrinkage(sums)
    # The search works in units in which fill and fleet weigh the same.
    turn = np.array([unit[0] ** 2, unit[0] * unit[2], unit[2] ** 2])
    weight = -1.0 / sums.by_fill.shape[3]
    seen, curvature = np.full(3, np.nan), np.eye(3)

    def objective(root: Floats) -> tuple[float, Floats]:
        nonlocal seen, curvature
        factor = unit * lower_of_root(root)
        fit, shrunk, _ = restricted_fit(sums, factor[:, None])
        slope, bend = spread_slopes(sums, root, turn, fit, shrunk)
        seen, curvature = root.copy(), weight * bend
        return weight * float(fit.log_likelihood[0]), weight * slope

    def curve(root: Floats) -> Floats:
        # The search asks for it where it has just asked for the value.
        if not np.array_equal(root, seen):
            objective(root)
        return curvature

    found = minimize(
        objective,
        root_of_lower(np.array([1.0, 0.0, 1.0]) if start is None else start / unit),
        jac=True,
        hess=curve,
        method="trust-ncg",
        options={"gtol": 1e-7, "maxiter": 100},
    )
    factor: Floats = unit * lower_of_root(found.x)
    return restricted_fit(sums, factor[:, None])[0], factor


def half_shrinkage(sums: FillSums) -> Floats:
    """Factor at which a typical fill's own readings and the fleet weigh the same, shape (3,)."""
    typical = sums.by_fill[:, :2, 0].mean(axis=2)
    start, rate = 1.0 / np.sqrt(np.maximum(np.diag(typical), 1e-12))
    return np.array([start, rate, rate])


def lift_spread(factor: Floats, sums: FillSums) -> Floats:
    """Move a starting factor off the flat spot at no spread, where the slope is zero."""
    if sums.by_fill.shape[3] == 1:
        return np.zeros(3)
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
    factor: Floats | None = None

    def at(share: float) -> tuple[RestrictedFit, Floats]:
        nonlocal factor
        ratio = np.array([walk_of_share(share, step)])
        sums, _ = fill_sums(rows, readings[None], counted[None], ratio)
        # Warm start, but never from a spread that a former share drove to nothing.
        fit, factor = fit_spread(sums, None if factor is None else lift_spread(factor, sums))
        return fit, factor

    def loss(share: float) -> float:
        return -float(at(share)[0].log_likelihood[0])

    share = 0.0
    best, best_factor = at(0.0)
    if walk:
        likely = shares[0]
        if len(shares) > 1:
            top = int(np.argmin([loss(share) for share in shares]))
            ends = (0.0, *shares, LARGEST_SHARE)
            refined = minimize_scalar(
                loss,
                bounds=(ends[top], ends[top + 2]),
                method="bounded",
                options={"xatol": SHARE_TOLERANCE / np.sqrt(readings.size)},
            )
            likely = float(refined.x)
        fit, found = at(likely)
        if fit.log_likelihood[0] > best.log_likelihood[0]:
            share, best, best_factor = likely, fit, found
    scale = float(best.scale[0])
    variances = one_way(scale, scale * walk_of_share(share, step), np.sqrt(scale) * best_factor)
    restricted = float(best.log_likelihood[0])
    return VarianceFit(variances, restricted, full_likelihood(best))


def full_likelihood(fit: RestrictedFit) -> float:
    """Log-likelihood with the fixed part at its estimate: comparable between other fixed parts.

    The restricted one has integrated the fixed part out.
    """
    p = fit.coefficients.shape[1]
    value = fit.log_likelihood + 0.5 * fit.log_information - 0.5 * p * np.log(2.0 * np.pi)
    return float(value[0])
