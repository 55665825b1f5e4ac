"""Simulated fleets of known truth."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Fleet:
    """Readings of a fleet, and each fill's true path on a fine grid."""

    x: np.ndarray
    y: np.ndarray
    groups: np.ndarray
    grid: np.ndarray
    path: np.ndarray

    def crossing(self, bound):
        """First place on the grid where the true path is below the bound, per fill."""
        below = self.path < bound
        place = np.where(below.any(axis=1), below.argmax(axis=1), -1)
        return np.where(place >= 0, self.grid[place], np.inf)


def simulate(fills, samples, *, seed, walk=0.0, noise=0.15, until=1.5, spread=(0.5, 0.15, 0.3)):
    """A reserve that starts at 9 and falls 0.8 a unit of axis, sampled until `until`."""
    random = np.random.default_rng(seed)
    start_sd, rate_sd, correlation = spread
    shared = correlation * start_sd * rate_sd
    effects = random.multivariate_normal(
        [0.0, 0.0], [[start_sd**2, shared], [shared, rate_sd**2]], size=fills
    )
    step = 0.01
    grid = np.arange(0.0, 20.0, step)
    wander = random.normal(0.0, np.sqrt(walk * step), (fills, grid.size)).cumsum(axis=1)
    path = 9.0 + effects[:, :1] + (effects[:, 1:] - 0.8) * grid + wander
    places = np.sort(random.integers(0, int(until / step), (fills, samples)), axis=1)
    truth = np.take_along_axis(path, places, axis=1)
    readings = truth + random.normal(0.0, noise, truth.shape)
    return Fleet(
        grid[places].reshape(-1, 1),
        readings.ravel(),
        np.repeat(np.arange(fills), samples),
        grid,
        path,
    )
