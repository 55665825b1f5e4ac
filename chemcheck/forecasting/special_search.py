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
# Shares of the walk in one step's change that the search may start from.
FIRST_SHARES = (0.03, 0.3, 0.8)
SMALLEST_SHARE = 1e-4
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

    Returns
    -------
    VarianceFit
        The variances and the restricted log-likelihood.
    """
    step = typical_step(rows)
    least_walk = least_noise * walk_of_share(SMALLEST_SHARE, step)
    space = _Space(walk, wild, rows.starts.size > 1, least_noise, least_walk)
    first = start.variances
    noise, wander = float(first.noise[0]), float(first.walk[0])
    total = noise + wander * step
    points = []
    for share in FIRST_SHARES if walk else (0.0,):
        noise, wander = total * (1.0 - share), total * share / step
        sums, _ = fill_sums(
            rows, readings.value[None], readings.counted[None] / noise, np.array([wander])
        )
        factor = lift_spread(first.factor[:, 0], sums)
        points.append(space.pack(one_way(noise, wander, factor, FIRST_WILD if wild else 0.0)))
    search = _Search(rows, readings, space)
    best = min(points, key=lambda point: search(point)[0])
    found = minimize(search, best, jac=True, method="BFGS", options={"gtol": 1e-5, "maxiter": 60})
    variances = space.unpack(found.x[:, None])
    at = propagate(rows, readings, variances, search.sites)
    gain = float(at.log_likelihood[0] - at.fit.log_likelihood[0])
    return VarianceFit(variances, float(at.log_likelihood[0]), full_likelihood(at.fit) + gain)


@dataclass(frozen=True, slots=True)
class _Space:
    """Coordinates of the search: logarithms of the variances, log odds, the spread's root.

    Beyond the least variances the likelihood is level, so that a search ends there.
    """

    walk: bool
    wild: bool
    spread: bool
    least_noise: float
    least_walk: float

    def pack(self, variances: Variances) -> Floats:
        """Coordinates of one way."""
        parts = [np.log(variances.noise)]
        if self.walk:
            parts.append(np.log(variances.walk))
        if self.wild:
            parts.append(np.log(variances.wild / (1.0 - variances.wild)))
        if self.spread:
            parts.append(root_of_lower(variances.factor[:, 0]))
        return np.concatenate(parts)

    def unpack(self, points: Floats) -> Variances:
        """Variances at coordinates of shape (d, k)."""
        ways, at = points.shape[1], 1
        noise = np.maximum(np.exp(points[0]), self.least_noise)
        walk, wild = np.zeros(ways), np.zeros(ways)
        if self.walk:
            walk, at = np.maximum(np.exp(points[at]), self.least_walk), at + 1
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
        at = propagate(self.rows, self.readings, self.space.unpack(point[:, None]), self.sites)
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
