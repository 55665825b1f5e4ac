"""How unsure the variances of a small fleet are: ways they may be, with weights.

A handful of fills cannot tell how much fills differ, nor a few samples whether there is a walk.
A band that takes the best guess for granted is far too narrow then. The forecast is therefore
averaged over variances in proportion to their restricted likelihood and a weak prior.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import gammaln, ndtri

from chemcheck.forecasting.fill_rows import FillRows, Floats
from chemcheck.forecasting.propagation import (
    Readings,
    Sites,
    first_sites,
    held_log_likelihood,
    propagate,
)
from chemcheck.forecasting.restricted_likelihood import LOG_2PI
from chemcheck.forecasting.variance_search import VarianceFit
from chemcheck.forecasting.variances import Variances

# Scales of half-t priors (3 degrees of freedom) on standard deviations. Of start: in units of the
# readings' scatter about a plain line. Of rate and walk over the longest axis, and of the error:
# in units of the scatter of the changes between samples. Weak: they only keep what the data
# cannot tell within reason.
START_SCALE, RATE_SCALE, WALK_SCALE, ERROR_SCALE = 1.0, 2.0, 0.85, 1.0
PRIOR_FREEDOM = 3.0
# The correlation of start and rate has a prior density of (1 - r^2)^(this - 1).
CORRELATION_SHAPE = 2.0
# Prior of the share of wild readings: beta(1, this).
WILD_SHAPE = 19.0
# Degrees of freedom of the t distribution that the ways are drawn from.
DRAW_FREEDOM = 6.0
# The more readings, the fewer ways: they are surer, and each costs more.
MOST_WAYS, FEWEST_WAYS, MOST_ROWS = 64, 16, 200_000
# Rounds of drawing: two, and more while fewer than this share of the ways count.
MOST_ROUNDS, ENOUGH = 8, 0.15
NEWTON_STEPS = 20
# No step moves a coordinate by more; shares of a step that are tried.
LONGEST_STEP, STEP_SHARES = 1.5, np.array([1.0, 0.5, 0.2, 0.05])
NUDGE = 0.02
# How closely pseudo-readings settle for a weight; the likelihood hardly changes with them.
NEAR = 1e-3
# No coordinate goes further out: e^10 is as good as nothing or everything.
LARGEST = 10.0
# Ways that weigh less than this share of the heaviest are left out.
NEGLIGIBLE = 1e-3
DRAW_SEED = 20_260_102


@dataclass(frozen=True, slots=True)
class Ways:
    """Ways the variances may be.

    Parameters
    ----------
    variances : Variances
        k ways.
    weights : numpy.ndarray, shape (k,)
        Their weights, which add up to 1.
    sites : Sites
        Settled pseudo-readings of each way.
    """

    variances: Variances
    weights: Floats
    sites: Sites

    @property
    def effective(self) -> float:
        """How many equally weighted ways they are worth."""
        return 1.0 / float((self.weights**2).sum())


def draw_ways(
    rows: FillRows, readings: Readings, best: VarianceFit, *, walk: bool, wild: bool
) -> Ways:
    """Draw ways the variances may be, about the most likely one.

    Parameters
    ----------
    rows : FillRows
        Places of the readings.
    readings : Readings
        The readings.
    best : VarianceFit
        Variances of greatest restricted likelihood.
    walk, wild : bool
        Whether the model has a walk, and wild readings.

    Returns
    -------
    Ways
        Weighted ways.

    Notes
    -----
    Adaptive importance sampling [1]_: a Newton search for the peak of the posterior, then
    quasi-random draws from a t distribution there, once more from one fitted to the first.
    The prior of the spread of rates goes to nothing where the spread does [2]_: a few fills
    that happen to fall alike are no proof that all do.

    References
    ----------
    .. [1] Robert, C. P. and Casella, G. (2004), Monte Carlo Statistical Methods, 2nd ed.,
       Springer, section 3.3 and chapter 14 (population Monte Carlo).
    .. [2] Chung, Y., Rabe-Hesketh, S., Dorie, V., Gelman, A. and Liu, J. (2013), A nondegenerate
       penalized likelihood estimator for variance parameters in multilevel models,
       Psychometrika 78, 685-709.
    """
    space = _LogSpace(walk, wild, rows.starts.size > 1, _scatter_of_changes(rows, readings))
    peak, covariance, sites = _peak(rows, readings, space, space.pack(best.variances))
    count = MOST_WAYS if readings.value.size * MOST_WAYS <= MOST_ROWS else FEWEST_WAYS
    chosen: Ways | None = None
    # Each round draws from a better distribution than the one before; the best alone counts.
    for number, part in enumerate(
        np.split(_uniform_points(peak.size, MOST_ROUNDS * count), MOST_ROUNDS)
    ):
        drawn, log_density = _draw(part, peak, covariance)
        at = propagate(rows, readings, space.unpack(drawn), sites.repeated(drawn.shape[1]), NEAR)
        log_weights = at.log_likelihood + space.log_prior(drawn) - log_density
        ways = _weighed(space.unpack(drawn), log_weights, at.sites)
        if chosen is None or number == 1 or ways.effective > chosen.effective:
            chosen = ways
        if number and chosen.effective >= ENOUGH * count:
            break
        peak, covariance = _fitted(drawn, log_weights, covariance)
    assert chosen is not None
    return chosen


def _weighed(variances: Variances, log_weights: Floats, sites: Sites) -> Ways:
    """Turn log weights into weights, and leave out what does not count."""
    log_weights = np.where(np.isfinite(log_weights), log_weights, -np.inf)
    weights = np.exp(log_weights - log_weights.max())
    kept = np.flatnonzero(weights > NEGLIGIBLE)
    return Ways(
        variances.take(kept),
        weights[kept] / weights[kept].sum(),
        sites.take(kept),
    )


@dataclass(frozen=True, slots=True)
class _LogSpace:
    """Coordinates: logarithms of the standard deviations, log odds, Fisher's z."""

    walk: bool
    wild: bool
    spread: bool
    changes: float

    def pack(self, best: Variances) -> Floats:
        """Coordinates of one way, off the edges where a standard deviation is nothing."""
        # A handful of readings may have no error at its likeliest: no place to look about from.
        parts = [np.log(max(np.sqrt(best.noise[0]), 0.03 * self.changes))]
        if self.walk:
            parts.append(np.log(max(np.sqrt(best.walk[0]), 0.1 * self.changes)))
        if self.wild:
            share = float(np.clip(best.wild[0], 0.005, 0.3))
            parts.append(np.log(share / (1.0 - share)))
        if self.spread:
            (v11, v12), (_, v22) = best.spread()[0]
            start = max(np.sqrt(v11), 0.1 * START_SCALE)
            rate = max(np.sqrt(v22), 0.1 * self.changes)
            parts += [np.log(start), np.log(rate)]
            parts.append(np.arctanh(np.clip(v12 / (start * rate), -0.9, 0.9)))
        return np.array(parts)

    def unpack(self, points: Floats) -> Variances:
        """Variances at coordinates of shape (d, k)."""
        ways, at = points.shape[1], 1
        noise, walk, wild = np.exp(2.0 * points[0]), np.zeros(ways), np.zeros(ways)
        factor = np.zeros((3, ways))
        if self.walk:
            walk, at = np.exp(2.0 * points[at]), at + 1
        if self.wild:
            wild, at = 1.0 / (1.0 + np.exp(-points[at])), at + 1
        if self.spread:
            start, rate, correlation = (
                np.exp(points[at]),
                np.exp(points[at + 1]),
                np.tanh(points[at + 2]),
            )
            factor = np.array([start, correlation * rate, np.sqrt(1.0 - correlation**2) * rate])
        return Variances(noise, walk, factor, wild)

    def log_prior(self, points: Floats) -> Floats:
        """Log density of the prior in these coordinates, shape (k,), up to a constant."""
        value, at = np.zeros(points.shape[1]), 1
        if self.walk:
            # A walk may take the place of all error: then the error needs a prior, too.
            value = _half_t(points[0], ERROR_SCALE * self.changes)
            value = value + _half_t(points[at], WALK_SCALE * self.changes)
            at += 1
        if self.wild:
            share = 1.0 / (1.0 + np.exp(-points[at]))
            value, at = value + np.log(share) + WILD_SHAPE * np.log1p(-share), at + 1
        if self.spread:
            value = value + _half_t(points[at], START_SCALE)
            # This density rises from nothing: see the notes of `draw_ways`.
            value = value + _half_t(points[at + 1], RATE_SCALE * self.changes) + points[at + 1]
            value = value - 2.0 * CORRELATION_SHAPE * np.log(np.cosh(points[at + 2]))
        return value


def _scatter_of_changes(rows: FillRows, readings: Readings) -> float:
    """Root mean square of the changes between a fill's samples, over the root of two.

    It stands for the error without a model: the readings' plain line is taken off already.
    """
    usable = readings.counted > 0.0
    exact = usable.copy()
    exact[readings.special[readings.lower < readings.upper]] = False
    later = np.ones(usable.size, dtype=bool)
    later[rows.starts] = False
    if rows.breaks is not None:
        later &= ~rows.breaks
    for kind in (exact, usable):
        pair = np.flatnonzero(later[1:] & kind[1:] & kind[:-1])
        change = readings.value[pair + 1] - readings.value[pair]
        if change.any():
            return float(np.sqrt(0.5 * np.mean(change**2)))
    return 1.0


def _half_t(log_deviation: Floats, scale: float) -> Floats:
    """Log density of a half-t prior on a standard deviation, by its logarithm."""
    share = np.exp(2.0 * log_deviation) / (PRIOR_FREEDOM * scale**2)
    value: Floats = log_deviation - 0.5 * (PRIOR_FREEDOM + 1.0) * np.log1p(share)
    return value


def _peak(
    rows: FillRows, readings: Readings, space: _LogSpace, start: Floats
) -> tuple[Floats, Floats, Sites]:
    """Newton search for the peak of the posterior; also returns inverse curvature and sites."""
    d = start.size
    point = start
    sites = first_sites(readings, space.unpack(point[:, None]))
    pairs = [(i, j) for i in range(d) for j in range(i)]
    eye = NUDGE * np.eye(d)
    nudges = np.concatenate(
        (np.zeros((d, 1)), eye, -eye, *[(eye[:, i] + eye[:, j])[:, None] for i, j in pairs]),
        axis=1,
    )
    covariance = np.eye(d)
    for _ in range(NEWTON_STEPS):
        at = propagate(rows, readings, space.unpack(point[:, None]), sites, NEAR)
        sites = at.sites
        near = point[:, None] + nudges
        values = held_log_likelihood(rows, readings, at, space.unpack(near))
        values = values + space.log_prior(near)
        here, up, down = values[0], values[1 : d + 1], values[d + 1 : 2 * d + 1]
        slope = (up - down) / (2.0 * NUDGE)
        curvature = np.diag((up + down - 2.0 * here) / NUDGE**2)
        for (i, j), value in zip(pairs, values[2 * d + 1 :], strict=True):
            curvature[i, j] = curvature[j, i] = (value - up[i] - up[j] + here) / NUDGE**2
        # Curve downwards in every direction, and not less than a coordinate's prior does.
        steepness, vectors = np.linalg.eigh(-curvature)
        covariance = (vectors / np.maximum(steepness, 0.5)) @ vectors.T
        step = covariance @ slope
        step *= min(1.0, LONGEST_STEP / float(np.max(np.abs(step))))
        # Readings that lie on their lines pull the error's variance towards nothing for ever.
        ahead = np.clip(point[:, None] + step[:, None] * STEP_SHARES, -LARGEST, LARGEST)
        warm = sites.repeated(STEP_SHARES.size)
        found = propagate(rows, readings, space.unpack(ahead), warm, NEAR)
        heights = found.log_likelihood + space.log_prior(ahead)
        best = int(np.argmax(np.where(np.isfinite(heights), heights, -np.inf)))
        if heights[best] <= at.log_likelihood[0] + space.log_prior(point[:, None])[0]:
            break
        point = ahead[:, best]
        sites = found.sites.take(slice(best, best + 1))
        if np.max(np.abs(step) / np.sqrt(np.diag(covariance))) < 0.05:
            break
    return point, covariance, sites


def _uniform_points(d: int, count: int) -> Floats:
    """Quasi-random points of the unit cube, shape (count, d + 1): the last scales the t."""
    from scipy.stats import qmc

    return np.asarray(qmc.Sobol(d + 1, seed=DRAW_SEED).random(count))


def _draw(uniform: Floats, peak: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """Points of a multivariate t, shape (d, k), and their log density."""
    from scipy.special import gammaincinv

    d = peak.size
    uniform = np.clip(uniform, 1e-6, 1.0 - 1e-6)
    normal = ndtri(uniform[:, :d]).T
    half = 0.5 * DRAW_FREEDOM
    chi = gammaincinv(half, uniform[:, d]) / half
    root = np.linalg.cholesky(covariance)
    standard = normal / np.sqrt(chi)
    log_density = (
        gammaln(half + 0.5 * d)
        - gammaln(half)
        - 0.5 * d * (LOG_2PI + np.log(0.5 * DRAW_FREEDOM))
        - np.log(np.diag(root)).sum()
        - (half + 0.5 * d) * np.log1p((standard**2).sum(axis=0) / DRAW_FREEDOM)
    )
    points = np.clip(peak[:, None] + root @ standard, -LARGEST, LARGEST)
    return points, log_density


def _fitted(points: Floats, log_weights: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """Mean and covariance of weighted points, kept from collapsing."""
    log_weights = np.where(np.isfinite(log_weights), log_weights, -np.inf)
    weights = np.exp(log_weights - log_weights.max())
    weights /= weights.sum()
    effective = 1.0 / float((weights**2).sum())
    mean = points @ weights
    away = points - mean[:, None]
    found = (away * weights) @ away.T
    # Few effective points say little about the shape: lean on the curvature then.
    lean = points.shape[0] * 2.0 / (points.shape[0] * 2.0 + effective)
    return mean, (1.0 - lean) * found + lean * covariance
