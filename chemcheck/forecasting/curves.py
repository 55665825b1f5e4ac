"""Shapes a trend may have: each is a straight line once reading or axis is transformed.

One arithmetic then serves them all, with a start and a rate of its own for every fill.
"""

from dataclasses import dataclass

import numpy as np

from chemcheck.forecasting.fill_rows import Floats

STRAIGHT, EXPONENTIAL, POWER, ASYMPTOTIC = "straight", "exponential", "power", "asymptotic"
NAMES = (STRAIGHT, EXPONENTIAL, POWER, ASYMPTOTIC)
# Ends of the search for a shape: exponents of the axis; losses over the longest axis.
SHAPES = {POWER: (0.3, 3.0), ASYMPTOTIC: (0.2, 20.0)}


@dataclass(frozen=True, slots=True)
class Curve:
    """Shape of a trend.

    Parameters
    ----------
    name : {"straight", "exponential", "power", "asymptotic"}
        ``straight``: y = a + b x. ``exponential``: y = exp(a + b x), first-order loss or growth,
        whose errors are in proportion to the reading. ``power``: y = a + b x^p.
        ``asymptotic``: y = a + b (1 - exp(-k x)) / k, which starts at the rate b and levels off.
    shape : float, default 1
        Exponent p, or loss of rate k [1 / axis unit]. The whole fleet has the same.

    Examples
    --------
    >>> Curve("power", 2.0).axis(np.array([3.0])), Curve("exponential").reading(np.array([1.0]))
    (array([9.]), array([0.]))
    """

    name: str
    shape: float = 1.0

    def axis(self, x: Floats) -> Floats:
        """Transform the axis; places before 0 mirror those after it."""
        if self.name == POWER:
            turned: Floats = np.sign(x) * np.abs(x) ** self.shape
            return turned
        if self.name == ASYMPTOTIC:
            bent: Floats = -np.sign(x) * np.expm1(-self.shape * np.abs(x)) / self.shape
            return bent
        return x

    def axis_back(self, turned: Floats) -> Floats:
        """Undo `axis`; infinite where the axis never comes to."""
        if self.name == POWER:
            x: Floats = np.sign(turned) * np.abs(turned) ** (1.0 / self.shape)
            return x
        if self.name == ASYMPTOTIC:
            with np.errstate(divide="ignore"):
                left = np.maximum(1.0 - self.shape * np.abs(turned), 0.0)
                along: Floats = -np.sign(turned) * np.log(left) / self.shape
            return along
        return turned

    def reading(self, y: Floats) -> Floats:
        """Transform readings or bounds; what is not above zero has no logarithm but -inf."""
        if self.name != EXPONENTIAL:
            return y
        with np.errstate(divide="ignore"):
            logarithm: Floats = np.log(np.maximum(y, 0.0))
        return np.where(np.isnan(y), np.nan, logarithm)

    def reading_back(self, mean: Floats, variance: Floats) -> tuple[Floats, Floats]:
        """Middle value and variance in the reading's unit; of a log-normal, for `exponential`."""
        if self.name != EXPONENTIAL:
            return mean, variance
        middle = np.exp(np.minimum(mean, 700.0))
        # Where nothing is known the variance is without limit, not a number too large to write.
        grown = np.exp(np.minimum(variance, 300.0))
        return middle, middle**2 * grown * (grown - 1.0)

    def steepness(self, level: Floats) -> Floats:
        """By what a reading's transform rises with it, where it has come to these levels."""
        return np.exp(-level) if self.name == EXPONENTIAL else np.ones_like(level)

    def log_stretch(self, y: Floats) -> float:
        """Sum of log |d reading(y) / dy| over exact readings."""
        return -float(np.log(y).sum()) if self.name == EXPONENTIAL else 0.0

    def slope(self, rate: Floats, x: Floats, level: Floats) -> Floats:
        """Slope in the user's units where the line has this rate, at axis x and this level."""
        if self.name == EXPONENTIAL:
            return rate * np.exp(level)
        if self.name == POWER:
            slope: Floats = rate * self.shape * np.abs(x) ** (self.shape - 1.0)
            return slope
        if self.name == ASYMPTOTIC:
            left: Floats = rate * np.exp(-self.shape * np.abs(x))
            return left
        return rate

    def suits(self, x: Floats, lower: Floats, upper: Floats) -> bool:
        """Whether readings of these intervals at these places can have this shape."""
        if self.name == EXPONENTIAL:
            return bool(np.all(upper > 0.0) and np.all((lower > 0.0) | (lower < upper)))
        return self.name != POWER or bool(np.all(x >= 0.0))
