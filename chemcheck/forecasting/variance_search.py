"""Variances of a fleet by restricted maximum likelihood: error, walk, spread of start and rate.

The likelihood often has two hills, one of them at 'no walk': a search from one point may stop
there although the data speak for a walk. The walk's share is therefore profiled over its whole
range before it is refined.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize, minimize_scalar

from chemcheck.forecasting.fill_rows import FillRows, Floats
from chemcheck.forecasting.restricted_likelihood import (
    FillSums,
    RestrictedFit,
    fill_sums,
    restricted_fit,
)

# Share of the walk in the variance of the change over one typical step; 1 is a walk alone.
WALK_SHARES = (0.01, 0.05, 0.15, 0.35, 0.6, 0.85, 0.98)
NO_SPREAD = np.zeros(3)


@dataclass(frozen=True, slots=True)
class Variances:
    """The variances of the model, on the scale of the readings and axis it was fitted on.

    Parameters
    ----------
    noise : float
        Variance of a reading's error.
    walk : float
        Variance that the walk gains over one unit of the axis.
    factor : numpy.ndarray, shape (3,)
        Entries 11, 21, 22 of L, where L L' is the covariance of start and rate between fills.
    """

    noise: float
    walk: float
    factor: Floats


@dataclass(frozen=True, slots=True)
class VarianceFit:
    """Variances with the restricted log-likelihood that they reach."""

    variances: Variances
    log_likelihood: float


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
        Sums weighted relative to the error's variance.
    start : numpy.ndarray, shape (3,), optional
        Factor to start from.

    Returns
    -------
    fit : RestrictedFit
        The fit at the maximum.
    factor : numpy.ndarray, shape (3,)
        Its factor, relative to the scale.
    """
    if sums.by_fill.shape[2] == 1:
        # One fill: its own start and rate are the fixed part, no spread can be told.
        return restricted_fit(sums, NO_SPREAD), NO_SPREAD
    unit = _half_shrinkage(sums)
    weight = 1.0 / max(sums.readings, 1)

    def objective(scaled: Floats) -> tuple[float, Floats]:
        fit = restricted_fit(sums, scaled * unit)
        return -weight * fit.log_likelihood, -weight * fit.gradient * unit

    found = minimize(
        objective,
        np.array([1.0, 0.0, 1.0]) if start is None else start / unit,
        jac=True,
        method="L-BFGS-B",
        options={"ftol": 1e-13, "gtol": 1e-8, "maxiter": 200},
    )
    factor: Floats = found.x * unit
    return restricted_fit(sums, factor), factor


def _half_shrinkage(sums: FillSums) -> Floats:
    """Spread at which a typical fill's own readings and the fleet weigh the same."""
    typical = sums.by_fill[:, :2].mean(axis=2)
    start, rate = 1.0 / np.sqrt(np.maximum(np.diag(typical), 1e-12))
    return np.array([start, rate, rate])


def search_variances(
    rows: FillRows, readings: Floats, counted: Floats, *, walk: bool
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

    Returns
    -------
    VarianceFit
        The variances and the restricted log-likelihood.
    """
    step = typical_step(rows)
    factor: Floats | None = None

    def at(share: float) -> tuple[RestrictedFit, Floats]:
        nonlocal factor
        ratio = walk_of_share(share, step)
        sums, _ = fill_sums(rows, readings, counted, ratio)
        # Warm start, but never from a spread that a former share drove to nothing.
        fit, factor = fit_spread(sums, None if factor is None else lift_spread(factor, sums))
        return fit, factor

    best_share = 0.0
    best, best_factor = at(0.0)
    if walk:
        profile = [at(share)[0].log_likelihood for share in WALK_SHARES]
        top = int(np.argmax(profile))
        refined = minimize_scalar(
            lambda share: -at(share)[0].log_likelihood,
            bounds=(
                WALK_SHARES[top - 1] if top else 0.0,
                WALK_SHARES[top + 1] if top + 1 < len(WALK_SHARES) else 0.9999,
            ),
            method="bounded",
            options={"xatol": 1e-4},
        )
        fit, found = at(float(refined.x))
        if fit.log_likelihood > best.log_likelihood:
            best_share, best, best_factor = float(refined.x), fit, found
    variances = Variances(
        best.scale, best.scale * walk_of_share(best_share, step), np.sqrt(best.scale) * best_factor
    )
    return VarianceFit(variances, best.log_likelihood)


def lift_spread(factor: Floats, sums: FillSums) -> Floats:
    """Move a starting factor off the flat spot at no spread, where the slope is zero."""
    if sums.by_fill.shape[2] == 1:
        return NO_SPREAD
    least = 0.3 * _half_shrinkage(sums)
    small = np.abs(factor) < least
    small[1] = False
    return np.where(small, least, factor)
