"""Invented fleets that several laboratories measured, with offsets that are known."""

from dataclasses import dataclass

import numpy as np

from chemcheck.forecasting.level_readings import LevelReadings


@dataclass(frozen=True)
class Measured:
    """Readings, the offsets in them, and the mean rate of their fills.

    ``level`` and ``rates`` are each fill's last true value and its rate as the first laboratory
    would read them.
    """

    readings: LevelReadings
    offset: np.ndarray
    rate: float
    level: np.ndarray
    rates: np.ndarray

    def replaced(self, **parts):
        """Return the readings with some of their parts in place of theirs."""
        old = self.readings
        names = ("axis", "fill", "lower", "upper", "level", "gain", "breaks")
        return LevelReadings(**{name: parts.get(name, getattr(old, name)) for name in names})


def measured_fleet(
    seed, units=8, rounds=5, laboratories=2, deviation=0.05, error=0.02, walk=0.0, who="random"
):
    """Make units that lose 0.8 an hour of about 10, in thousands of hours.

    Each laboratory, the first too, is off by a normal factor of its own. ``who``: ``random``, or
    ``later``, where the second laboratory takes over little by little.
    """
    random = np.random.default_rng(seed)
    fill = np.repeat(np.arange(units), rounds)
    axis = np.tile(np.arange(rounds) * 0.5, units) + random.uniform(0.0, 0.2, fill.size)
    start, rate = random.normal(10.0, 0.6, units), random.normal(-0.8, 0.15, units)
    clean = start[fill] + rate[fill] * axis
    if walk:
        steps = np.diff(axis.reshape(units, rounds), axis=1, prepend=0.0)
        clean = clean + np.cumsum(random.normal(0.0, walk * np.sqrt(steps)), axis=1).ravel()
    own = random.normal(0.0, deviation, laboratories)
    offset = own[1:] - own[0]
    if who == "later":
        level = (random.random(fill.size) < axis / axis.max()).astype(int)
    else:
        level = random.integers(0, laboratories, fill.size)
    read = clean * np.exp(np.append(0.0, offset)[level])
    read = read * (1.0 + error * random.normal(size=fill.size))
    return Measured(
        LevelReadings(axis, fill, read, read, level),
        offset,
        float(rate.mean()),
        clean[rounds - 1 :: rounds],
        rate,
    )


def shared_prior(laboratories, deviation):
    """Return the covariance of offsets from the first, each laboratory off by itself."""
    return deviation**2 * (np.eye(laboratories - 1) + 1.0)
