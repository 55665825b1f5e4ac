"""Two clocks: a crossing is a potential failure, and damage comes a delay later."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq

from chemcheck.planning.lifetime import CONFIDENCE, Lifetime
from chemcheck.planning.standard_forms import Floats

NODES, WEIGHTS = np.polynomial.legendre.leggauss(96)
# The substitution u = s^2 (3 - 2 s) takes the sting out of both ends, where the delay or the
# crossing may start like a root.
SHARE = 0.25 * (NODES + 1.0) ** 2 * (2.0 - NODES)
SHARE_WEIGHTS = 0.75 * (1.0 - NODES**2) * WEIGHTS
TINY = 1e-12


@dataclass(frozen=True, slots=True)
class DamageLifetime:
    """Time until damage: until the crossing, and the delay from there.

    Parameters
    ----------
    crossing : Lifetime
        Time until the bound is crossed.
    delay : Lifetime
        From crossing to damage, independent of it; stated by the user.

    Notes
    -----
    Every probability is an integral over the crossing, taken in its probability by Gauss and
    Legendre's rule.

    Examples
    --------
    Two exponential stages of 1,000 h each make a gamma lifetime: 1 - 2 / e by 1,000 h.

    >>> stage = Lifetime.stated("exponential", 1000)
    >>> both = DamageLifetime(stage, stage)
    >>> round(float(both.failure(1000)), 6), round(both.mean, 3)
    (0.264241, 2000.0)
    """

    crossing: Lifetime
    delay: Lifetime

    def _left(self, time: ArrayLike) -> tuple[Floats, Floats]:
        """Time left after a crossing at each node, and the node's weight, shape (..., nodes)."""
        times = np.asarray(time, dtype=np.float64)[..., np.newaxis]
        crossed = self.crossing.failure(times)
        # Rounding may put the last nodes a hair after the time.
        return np.maximum(
            times - self.crossing.quantile(crossed * SHARE), 0.0
        ), crossed * SHARE_WEIGHTS

    def failure(self, time: ArrayLike) -> Floats:
        """Probability of damage by a time.

        Parameters
        ----------
        time : float or array-like
            Time [h, km or d].

        Returns
        -------
        numpy.ndarray
            From 0 to 1.
        """
        left, weight = self._left(time)
        return np.asarray((self.delay.failure(left) * weight).sum(axis=-1))

    def survival(self, time: ArrayLike) -> Floats:
        """Probability of no damage by a time.

        Parameters
        ----------
        time : float or array-like
            Time [h, km or d].

        Returns
        -------
        numpy.ndarray
            From 1 to 0.
        """
        left, weight = self._left(time)
        inside = self.crossing.survival(time)
        return np.asarray(inside + (self.delay.survival(left) * weight).sum(axis=-1))

    def restricted_mean(self, time: ArrayLike) -> Floats:
        """Mean time in use if everything is ended at a time.

        Parameters
        ----------
        time : float or array-like
            Time [h, km or d].

        Returns
        -------
        numpy.ndarray
            Mean [h, km or d].
        """
        left, weight = self._left(time)
        inside = self.crossing.restricted_mean(time)
        return np.asarray(inside + (self.delay.restricted_mean(left) * weight).sum(axis=-1))

    @property
    def mean(self) -> float:
        """Mean time until damage [h, km or d]."""
        return self.crossing.mean + self.delay.mean

    def quantile(self, probability: float) -> float:
        """Time by which there is damage with a probability.

        Parameters
        ----------
        probability : float
            Above 0 and below 1.

        Returns
        -------
        float
            Time [h, km or d].
        """
        low, high = self._around(min(probability, 1.0 - probability))

        def beyond(log_time: float) -> float:
            return float(self.failure(np.exp(log_time))) - probability

        return float(np.exp(brentq(beyond, np.log(low), np.log(high), xtol=1e-12)))

    def _around(self, tail: float) -> tuple[float, float]:
        """Return times between which the quantiles from tail to 1 - tail lie."""
        # Damage by t needs crossing and delay to be within t; both within t / 2 suffice.
        parts = (self.crossing, self.delay)
        low = max(float(part.quantile(tail)) for part in parts)
        high = 2.0 * max(float(part.quantile(1.0 - 0.5 * tail)) for part in parts)
        return low, high

    def at_shape_limits(
        self, confidence: float = CONFIDENCE
    ) -> tuple["DamageLifetime", "DamageLifetime"]:
        """Give the lifetimes with the least and the most wearing crossings the data allow.

        Parameters
        ----------
        confidence : float, default 0.95
            Between 0 and 1.

        Returns
        -------
        tuple of DamageLifetime
            With the same delay.
        """
        least, most = self.crossing.at_shape_limits(confidence)
        return DamageLifetime(least, self.delay), DamageLifetime(most, self.delay)
