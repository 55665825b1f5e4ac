"""Readings that are intervals, in a normal model: each becomes a normal reading of equal effect.

A non-detect or a strip's step says that the reading lay in an interval. Expectation propagation
finds for each of them the normal pseudo-reading which, with the others in place, gives the true
value the same mean and variance as the interval does, by the truncated normal's moments. The
pseudo-readings then go through the same sums as exact readings.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from chemcheck.forecasting.censored_moments import interval_evidence
from chemcheck.forecasting.fill_posterior import FillPosterior, fill_posterior
from chemcheck.forecasting.fill_rows import FillRows, Floats, Integers
from chemcheck.forecasting.restricted_likelihood import LOG_2PI, fill_sums, restricted_fit
from chemcheck.forecasting.variance_search import (
    VarianceFit,
    Variances,
    lift_spread,
    typical_step,
    walk_of_share,
)

SWEEPS = 200
# Sweeps end when no expected value moves by more than this share of its standard deviation.
SETTLED = 1e-6
# The weakest pseudo-reading, relative to what is known without it: nothing, but not zero.
WEAKEST = 1e-9
# Steps in the logarithm of a variance for the slope of the likelihood.
NUDGE = 1e-4
# Shares of the walk in one step's change that the search may start from.
FIRST_SHARES = (0.03, 0.3, 0.8)


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings of which some are intervals.

    Parameters
    ----------
    value : numpy.ndarray, shape (n,)
        The reading; for an interval any number near it.
    counted : numpy.ndarray, shape (n,)
        1, or 0 for a place without a reading.
    lower, upper : numpy.ndarray, shape (m,)
        Ends of the intervals.
    intervals : numpy.ndarray, shape (m,)
        Rows that are intervals.
    """

    value: Floats
    counted: Floats
    lower: Floats
    upper: Floats
    intervals: Integers

    def select(self, rows: Integers) -> "Readings":
        """Keep some rows, in the order given."""
        place = np.full(self.value.size, -1, dtype=np.intp)
        place[self.intervals] = np.arange(self.intervals.size)
        kept = place[rows]
        which = kept[kept >= 0]
        return Readings(
            self.value[rows],
            self.counted[rows],
            self.lower[which],
            self.upper[which],
            np.flatnonzero(kept >= 0),
        )


@dataclass(frozen=True, slots=True)
class Sites:
    """Pseudo-readings that stand for the intervals, shape (m,) each."""

    value: Floats
    precision: Floats

    def fill_in(self, readings: Readings, noise: float) -> tuple[Floats, Floats]:
        """All readings and their precisions, pseudo-readings included."""
        value = readings.value.copy()
        precision = readings.counted / noise
        value[readings.intervals] = self.value
        precision[readings.intervals] = self.precision
        return value, precision


@dataclass(frozen=True, slots=True)
class Propagated:
    """Pseudo-readings that settled, and the likelihood they give.

    Parameters
    ----------
    sites : Sites
        The pseudo-readings.
    posterior : FillPosterior
        The fills given all readings.
    log_likelihood : float
        Restricted log-likelihood: densities of exact readings, probabilities of intervals.
    by_noise : float
        Its derivative by the error's variance through the intervals alone.
    settled : bool
        Whether the pseudo-readings stopped moving.
    """

    sites: Sites
    posterior: FillPosterior
    log_likelihood: float
    by_noise: float
    settled: bool


def first_sites(readings: Readings, variances: Variances) -> Sites:
    """Start with a wide pseudo-reading near each interval."""
    width = readings.upper - readings.lower
    width = np.where(np.isfinite(width), width, 0.0)
    value = readings.value[readings.intervals]
    return Sites(value, 1.0 / (2.0 * variances.noise + width**2 / 3.0))


def propagate(rows: FillRows, readings: Readings, variances: Variances, sites: Sites) -> Propagated:
    """Let the pseudo-readings settle.

    Parameters
    ----------
    rows : FillRows
        Places of the readings.
    readings : Readings
        The readings.
    variances : Variances
        The fleet's variances.
    sites : Sites
        Pseudo-readings to start from.

    Returns
    -------
    Propagated
        The settled pseudo-readings and what follows from them.

    Notes
    -----
    All intervals are renewed together, each against what is known without it [1]_; the moments
    are exact for one interval and an approximation for several of one fill.

    References
    ----------
    .. [1] Rasmussen, C. E. and Williams, C. K. I. (2006), Gaussian Processes for Machine
       Learning, MIT Press, section 3.6.
    """
    which = readings.intervals
    last_mean: Floats | None = None
    damping = 1.0
    last_move = np.inf
    settled = which.size == 0
    for _ in range(SWEEPS):
        value, precision = sites.fill_in(readings, variances.noise)
        posterior, fit = fill_posterior(rows, value, precision, variances)
        mean, variance = posterior.path(which)
        without = 1.0 / np.maximum(1.0 / variance - sites.precision, WEAKEST / variance)
        centre = without * (mean / variance - sites.precision * sites.value)
        found = interval_evidence(readings.lower, readings.upper, centre, without + variances.noise)
        if which.size == 0:
            break
        if last_mean is not None:
            move = float(np.max(np.abs(mean - last_mean) / np.sqrt(variance)))
            if move < SETTLED:
                settled = True
                break
            if move > 0.9 * last_move:
                damping = max(0.7 * damping, 0.2)
            last_move = move
        last_mean = mean
        keep = 1.0 + without * found.curvature
        floor = WEAKEST / without
        wanted = np.maximum(-found.curvature / np.maximum(keep, WEAKEST), floor)
        # The pseudo-reading that moves the expected value as the interval does.
        wanted_shift = (found.slope - centre * found.curvature) / np.maximum(keep, WEAKEST)
        shift = damping * wanted_shift + (1.0 - damping) * sites.precision * sites.value
        strength = damping * wanted + (1.0 - damping) * sites.precision
        sites = Sites(shift / strength, strength)
    outside = 1.0 + sites.precision * without
    correction = (
        found.log_probability
        + 0.5 * np.log(outside)
        + 0.5 * sites.precision * (sites.value - centre) ** 2 / outside
    )
    log_likelihood = (
        fit.log_likelihood
        + 0.5 * which.size * LOG_2PI
        - 0.5 * float(np.log(sites.precision).sum())
        + float(correction.sum())
    )
    by_noise = 0.5 * float((found.curvature + found.slope**2).sum())
    return Propagated(sites, posterior, log_likelihood, by_noise, settled)


def search_interval_variances(
    rows: FillRows, readings: Readings, start: Variances, *, walk: bool, least_noise: float
) -> VarianceFit:
    """Find the variances that make exact and interval readings together most likely.

    Parameters
    ----------
    rows : FillRows
        Places of the readings.
    readings : Readings
        The readings.
    start : Variances
        Where to start.
    walk : bool
        Whether to look for a walk along the fills beside independent errors.
    least_noise : float
        Smallest error variance: intervals alone cannot tell an error much finer than they are.

    Returns
    -------
    VarianceFit
        The variances and the restricted log-likelihood.
    """
    step = typical_step(rows)
    total = start.noise + start.walk * step
    shares = FIRST_SHARES if walk else (0.0,)
    value, counted = readings.value, readings.counted
    starts = []
    for share in shares:
        noise, wander = total * (1.0 - share), total * share / step
        sums, _ = fill_sums(rows, value, counted / noise, wander)
        factor = lift_spread(start.factor, sums)
        starts.append(_pack(Variances(noise, wander, factor), walk=walk))
    lower = np.full(starts[0].size, -np.inf)
    lower[0] = np.log(least_noise)
    if walk:
        lower[1] = np.log(least_noise * walk_of_share(1e-4, step))
    for point in starts:
        np.maximum(point, lower, out=point)
    search = _Search(rows, readings, walk, rows.starts.size > 1, start)
    best = min(starts, key=lambda point: search(point)[0])
    found = minimize(
        search,
        best,
        jac=True,
        method="L-BFGS-B",
        bounds=[(low, None) for low in lower],
        options={"ftol": 1e-10, "gtol": 1e-6, "maxiter": 100},
    )
    variances = _unpack(found.x, walk)
    return VarianceFit(variances, propagate(rows, readings, variances, search.sites).log_likelihood)


class _Search:
    """Minus the log-likelihood per reading and its slope; keeps the pseudo-readings warm."""

    def __init__(
        self, rows: FillRows, readings: Readings, walk: bool, spread: bool, start: Variances
    ) -> None:
        self.rows, self.readings, self.walk, self.spread = rows, readings, walk, spread
        self.sites = first_sites(readings, start)

    def __call__(self, packed: Floats) -> tuple[float, Floats]:
        """Value and gradient by the logarithms of the variances and the factor."""
        variances = _unpack(packed, self.walk)
        found = propagate(self.rows, self.readings, variances, self.sites)
        self.sites = found.sites
        gradient = np.zeros_like(packed)
        gradient[0] = self._slope(variances, "noise") + variances.noise * found.by_noise
        if self.walk:
            gradient[1] = self._slope(variances, "walk")
        if self.spread:
            value, precision = self.sites.fill_in(self.readings, variances.noise)
            sums, _ = fill_sums(self.rows, value, precision, variances.walk)
            gradient[-3:] = restricted_fit(sums, variances.factor, absolute=True).gradient
        weight = 1.0 / self.readings.value.size
        return -weight * found.log_likelihood, -weight * gradient

    def _slope(self, variances: Variances, name: str) -> float:
        """Return the derivative by the logarithm of one variance, pseudo-readings held."""
        ends = []
        for sign in (1.0, -1.0):
            factor = np.exp(sign * NUDGE)
            noise = variances.noise * (factor if name == "noise" else 1.0)
            walk = variances.walk * (factor if name == "walk" else 1.0)
            value, precision = self.sites.fill_in(self.readings, noise)
            sums, _ = fill_sums(self.rows, value, precision, walk)
            ends.append(restricted_fit(sums, variances.factor, absolute=True).log_likelihood)
        return (ends[0] - ends[1]) / (2.0 * NUDGE)


def _pack(variances: Variances, *, walk: bool) -> Floats:
    logs = [np.log(variances.noise)]
    if walk:
        logs.append(np.log(variances.walk))
    return np.concatenate((logs, variances.factor))


def _unpack(packed: Floats, walk: bool) -> Variances:
    return Variances(
        float(np.exp(packed[0])), float(np.exp(packed[1])) if walk else 0.0, packed[-3:].copy()
    )
