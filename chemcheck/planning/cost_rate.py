"""Long-run cost per unit of use when everything is changed at an age, or at failure before it."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq, minimize_scalar

from chemcheck.planning.standard_forms import Floats

# Ages that cost at most this much more than the best count as flat: common practice, no source.
FLAT_SHARE = 0.05
# Ages looked at before the best is refined.
GRID = 500
EARLIEST, LATEST = 1e-12, 1e-9


class Clock(Protocol):
    """What a cost rate needs to know about a lifetime."""

    def failure(self, time: ArrayLike) -> Floats:
        """Probability of failure by a time."""

    def survival(self, time: ArrayLike) -> Floats:
        """Probability of no failure by a time."""

    def restricted_mean(self, time: ArrayLike) -> Floats:
        """Mean time in use if changed at a time."""

    def quantile(self, probability: float) -> float | Floats:
        """Time by which failure has come with a probability."""

    @property
    def mean(self) -> float:
        """Mean time to failure."""


@dataclass(frozen=True, slots=True)
class CostRate:
    """Cost per unit of use, as a function of the age at which one changes.

    Parameters
    ----------
    clock : Clock
        Lifetime of what is changed.
    planned_cost, failure_cost : float
        Cost of a change at the age, and of a failure before it [money].

    Notes
    -----
    A cycle ends at the age T or at a failure; renewal-reward [1]_ gives the cost rate
    ``(Cp R(T) + Cf (1 - R(T))) / integral of R from 0 to T``.

    References
    ----------
    .. [1] Barlow, R. E. and Proschan, F. (1965), Mathematical Theory of Reliability, Wiley,
       chapter 4, age replacement (from memory).
    """

    clock: Clock
    planned_cost: float
    failure_cost: float

    def at(self, age: ArrayLike) -> Floats:
        """Cost per unit of use when changed at an age.

        Parameters
        ----------
        age : float or array-like
            Age above 0 [h, km or d].

        Returns
        -------
        numpy.ndarray
            Cost rate [money / h, km or d].
        """
        planned = self.planned_cost * self.clock.survival(age)
        failed = self.failure_cost * self.clock.failure(age)
        return np.asarray((planned + failed) / self.clock.restricted_mean(age))

    @property
    def run_to_failure(self) -> float:
        """Cost per unit of use when nothing is changed before it fails."""
        return self.failure_cost / self.clock.mean

    def ages(self) -> Floats:
        """Ages between which the best one lies, evenly spaced in their logarithm."""
        low, high = (float(self.clock.quantile(p)) for p in (EARLIEST, 1.0 - LATEST))
        return np.geomspace(low, high, GRID)

    def best_age(self) -> float | None:
        """Age of least cost; None where nothing beats running to failure."""
        ages = self.ages()
        rates = self.at(ages)
        place = int(np.nanargmin(rates))
        if place == GRID - 1 or not rates[place] < self.run_to_failure:
            return None

        def rate_at(log_age: float) -> float:
            return float(self.at(np.exp(log_age)))

        around = np.log(ages[max(place - 1, 0)]), np.log(ages[place + 1])
        found = minimize_scalar(rate_at, bounds=around, method="bounded", options={"xatol": 1e-9})
        return float(np.exp(found.x))

    def flat_range(self, best: float) -> tuple[float, float]:
        """Ages around the best that cost at most 5 % more.

        Parameters
        ----------
        best : float
            Age of least cost [h, km or d].

        Returns
        -------
        tuple of float
            First and last age [h, km or d]; the last is infinite where even running to failure
            costs no more.
        """
        allowed = (1.0 + FLAT_SHARE) * float(self.at(best))

        def excess(log_age: float) -> float:
            return float(self.at(np.exp(log_age))) - allowed

        ages = self.ages()
        dear = self.at(ages) > allowed
        middle = float(np.log(best))
        before, after = ages[dear & (ages < best)], ages[dear & (ages > best)]
        # Towards age 0 the cost has no bound.
        cheap = float(np.log(before[-1] if before.size else ages[0]))
        while excess(cheap) <= 0.0:
            cheap -= np.log(2.0)
        first = float(np.exp(brentq(excess, cheap, middle)))
        if after.size == 0:
            return first, np.inf
        return first, float(np.exp(brentq(excess, middle, np.log(after[0]))))
