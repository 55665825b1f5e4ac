"""Variances of a fleet whose readings are not all plain: intervals among them, or wild ones."""

from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import minimize
from scipy.special import expit

from chemcheck.forecasting.fill_rows import FillRows, Floats
from chemcheck.forecasting.propagation import (
    Propagated,
    Readings,
    Sites,
    held_log_likelihood,
    propagate,
)
from chemcheck.forecasting.restricted_likelihood import fill_sums
from chemcheck.forecasting.variance_search import (
    VarianceFit,
    full_likelihood,
    lift_spread,
    typical_step,
    walk_of_share,
)
from chemcheck.forecasting.variances import (
    Variances,
    lower_of_root,
    one_way,
    root_of_lower,
)

# Steps of the coordinates for the slope of the likelihood.
NUDGE = 1e-4
# How closely pseudo-readings settle during a search, and the slope per reading at its end.
ON_THE_WAY, LEVEL = 1e-3, 1e-4
# Steps for its curvature, and the least curvature, per reading, that a search reckons with.
WIDE_NUDGE, FLATTEST = 0.02, 0.02
# Shares of the walk in one step's change that the search may start from.
FIRST_SHARES = (0.03, 0.3, 0.8)
SMALLEST_SHARE = 1e-4
# What a search that is near already starts with at the least, of error and walk together.
LEAST_SHARE = 0.01
# Share of wild readings to start from, and its limits.
FIRST_WILD = 0.03
WILD_RANGE = (1e-4, 0.3)


def search_special_variances(
    rows: FillRows,
    readings: Readings,
    start: VarianceFit,
    *,
    walk: bool,
    wild: bool,
    least_noise: float,
    near: VarianceFit | None = None,
) -> VarianceFit:
    """Find the variances that make all readings together most likely.

    Parameters
    ----------
    rows : FillRows
        Places of the readings.
    readings : Readings
        The readings.
    start : VarianceFit
        Where to start.
    walk : bool
        Whether to look for a walk along the fills beside independent errors.
    wild : bool
        Whether to look for readings with far wider errors.
    least_noise : float
        Smallest error variance: intervals alone cannot tell an error much finer than they are.
    near : VarianceFit, optional
        Variances known to be near: the search starts there alone.

    Returns
    -------
    VarianceFit
        The variances and the restricted log-likelihood.
    """
    step = typical_step(rows)
    least_walk = least_noise * float(walk_of_share(SMALLEST_SHARE, step))
    space = _Space(walk, wild, rows.starts.size > 1, least_noise, least_walk)
    first = start.variances
    noise, wander = float(first.noise[0]), float(first.walk[0])
    total = noise + wander * step
    points = []
    if near is not None:
        points.append(space.pack(_inside(near.variances, least_noise, least_walk)))
    for share in () if near is not None else FIRST_SHARES if walk else (0.0,):
        noise, wander = total * (1.0 - share), total * share / step
        sums, _ = fill_sums(
            rows, readings.value[None], readings.counted[None] / noise, np.array([wander])
        )
        factor = lift_spread(first.factor, sums)
        points.append(space.pack(one_way(noise, wander, factor, FIRST_WILD if wild else 0.0)))
    search = _Search(rows, readings, space)
    best = min(points, key=lambda point: search(point)[0])
    options = {"gtol": LEVEL, "maxiter": 60, "hess_inv0": search.inverse_curvature(best)}
    found = minimize(search, best, jac=True, method="BFGS", options=options)
    variances = space.unpack(found.x[:, None])
    at = propagate(rows, readings, variances, search.sites)
    gain = float(at.log_likelihood[0] - at.fit.log_likelihood[0])
    return VarianceFit(variances, float(at.log_likelihood[0]), full_likelihood(at.fit) + gain)


def _inside(variances: Variances, least_noise: float, least_walk: float) -> Variances:
    """Keep variances where the likelihood is not level."""
    some = LEAST_SHARE * (variances.noise + variances.walk)
    return Variances(
        np.maximum(variances.noise, np.maximum(some, 2.0 * least_noise)),
        np.maximum(variances.walk, np.maximum(some, 2.0 * least_walk)),
        variances.factor,
        np.clip(variances.wild, *WILD_RANGE),
    )


@dataclass(frozen=True, slots=True)
class _Space:
    """Coordinates of the search: standard deviations, log odds, the spread's root.

    Towards no error or no walk the likelihood is level, so that a search ends there.
    """

    walk: bool
    wild: bool
    spread: bool
    least_noise: float
    least_walk: float

    def pack(self, variances: Variances) -> Floats:
        """Coordinates of one way."""
        parts = [np.sqrt(variances.noise)]
        if self.walk:
            parts.append(np.sqrt(variances.walk))
        if self.wild:
            parts.append(np.log(variances.wild / (1.0 - variances.wild)))
        if self.spread:
            parts.append(root_of_lower(variances.factor[:, 0]))
        return np.concatenate(parts)

    def unpack(self, points: Floats) -> Variances:
        """Variances at coordinates of shape (d, k)."""
        ways, at = points.shape[1], 1
        noise = np.maximum(points[0] ** 2, self.least_noise)
        walk, wild = np.zeros(ways), np.zeros(ways)
        if self.walk:
            walk, at = np.maximum(points[at] ** 2, self.least_walk), at + 1
        if self.wild:
            wild, at = np.clip(expit(points[at]), *WILD_RANGE), at + 1
        factor = lower_of_root(points[at:]) if self.spread else np.zeros((3, ways))
        return Variances(noise, walk, factor, wild)


@dataclass(slots=True)
class _Search:
    """Minus the log-likelihood per reading and its slope; keeps the pseudo-readings warm."""

    rows: FillRows
    readings: Readings
    space: _Space
    sites: Sites | None = field(default=None)

    def __call__(self, point: Floats) -> tuple[float, Floats]:
        """Value and slope at one point."""
        variances = self.space.unpack(point[:, None])
        at = propagate(self.rows, self.readings, variances, self.sites, ON_THE_WAY)
        self.sites = at.sites
        weight = 1.0 / self.readings.value.size
        return -weight * float(at.log_likelihood[0]), -weight * self.slope(point, at)

    def slope(self, point: Floats, at: Propagated) -> Floats:
        """Central differences with the pseudo-readings held, which is exact to first order."""
        d = point.size
        nudges = NUDGE * np.concatenate((np.eye(d), -np.eye(d)), axis=1)
        values = held_log_likelihood(
            self.rows, self.readings, at, self.space.unpack(point[:, None] + nudges)
        )
        difference: Floats = (values[:d] - values[d:]) / (2.0 * NUDGE)
        return difference

    def inverse_curvature(self, point: Floats) -> Floats:
        """Inverse curvature at a point, by differences with the pseudo-readings held.

        It only shapes the first step of a search: curved downwards in every direction, and no
        flatter than `FLATTEST`.
        """
        at = propagate(self.rows, self.readings, self.space.unpack(point[:, None]), self.sites)
        d = point.size
        eye = WIDE_NUDGE * np.eye(d)
        pairs = [(i, j) for i in range(d) for j in range(i)]
        both = [(eye[:, i] + eye[:, j])[:, None] for i, j in pairs]
        nudges = np.concatenate((np.zeros((d, 1)), eye, -eye, *both), axis=1)
        values = held_log_likelihood(
            self.rows, self.readings, at, self.space.unpack(point[:, None] + nudges)
        )
        here, up, down = values[0], values[1 : d + 1], values[d + 1 : 2 * d + 1]
        curvature = np.diag(2.0 * here - up - down)
        for (i, j), value in zip(pairs, values[2 * d + 1 :], strict=True):
            curvature[i, j] = curvature[j, i] = up[i] + up[j] - value - here
        if not np.isfinite(curvature).all():
            return np.eye(d)
        steepness, vectors = np.linalg.eigh(curvature / WIDE_NUDGE**2 / self.readings.value.size)
        inverse: Floats = (vectors / np.maximum(np.abs(steepness), FLATTEST)) @ vectors.T
        return 0.5 * (inverse + inverse.T)
