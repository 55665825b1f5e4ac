"""What sampling every so often costs and saves, against changing by age."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.planning.best_interval import (
    NO_DELAY,
    BestInterval,
    best_interval_before_damage,
    demand_cost,
)
from chemcheck.planning.lifetime import Lifetime
from chemcheck.planning.sampled_cycle import SampledCycle, sampled_cycle
from chemcheck.planning.standard_forms import Floats


@dataclass(frozen=True, slots=True)
class Costs:
    """What each end of a cycle costs, and a sample.

    Parameters
    ----------
    planned, correction, failure, sample : float
        Planned change; crossing that a sample caught, put right before damage; damage; one
        sample with its analysis [money].

    Raises
    ------
    ValueError
        If one is not a finite number above 0.
    """

    planned: float
    correction: float
    failure: float
    sample: float

    def __post_init__(self) -> None:
        """Refuse what cannot be meant."""
        for name in ("planned", "correction", "failure", "sample"):
            demand_cost(f"{name} cost", getattr(self, name))

    def rate(self, cycle: SampledCycle) -> float:
        """Cost per unit of use of a cycle.

        Parameters
        ----------
        cycle : SampledCycle
            What it brings.

        Returns
        -------
        float
            Cost rate [money / h, km or d].
        """
        total = (
            self.failure * cycle.damaged
            + self.correction * cycle.corrected
            + self.planned * cycle.planned
            + self.sample * cycle.samples
        )
        return total / cycle.length


@dataclass(frozen=True, slots=True)
class CostOfSampling:
    """What sampling saves over changing by age.

    Parameters
    ----------
    every : numpy.ndarray, shape (k,)
        Intervals between samples [h, km or d].
    cycles : tuple of SampledCycle
        What a cycle brings at each.
    cost_rate : numpy.ndarray, shape (k,)
        Cost per unit of use [money / h, km or d].
    saving_per_1000 : numpy.ndarray, shape (k,)
        What sampling saves over the best that can be done by age alone, for 1,000 units of use;
        negative where it costs more [money].
    by_age : BestInterval
        The best by age alone; running to damage where no age helps.
    best : int or None
        Position of the cheapest interval.
    reason : str or None
        Why nothing can be said.
    """

    every: Floats
    cycles: tuple[SampledCycle, ...]
    cost_rate: Floats
    saving_per_1000: Floats
    by_age: BestInterval
    best: int | None
    reason: str | None


def cost_of_sampling(
    crossing: Lifetime,
    delay: Lifetime | None,
    every: ArrayLike,
    costs: Costs,
    detection_chance: float,
    lead_time: float = 0.0,
    change_age: float = np.inf,
) -> CostOfSampling:
    """Compare sampling every so often with changing by age.

    Parameters
    ----------
    crossing : Lifetime
        Time until the bound is crossed.
    delay : Lifetime or None
        From crossing to damage; None where nobody knows it, and then no cost can be told.
    every : array-like, shape (k,)
        Intervals between samples to look at, above 0 [h, km or d].
    costs : Costs
        What each end of a cycle costs, and a sample.
    detection_chance : float
        Chance that one sample sees a crossing, above 0 and at most 1.
    lead_time : float, default 0
        From drawing a sample to work done [h, km or d].
    change_age : float, default infinite
        Age at which one changes in any case [h, km or d].

    Returns
    -------
    CostOfSampling
        Cost rates and savings, one for each interval.

    Raises
    ------
    ValueError
        If an argument is not possible.

    Notes
    -----
    Samples fall at multiples of the interval. Each one after a crossing sees it with the same
    chance, independently; none before it raises an alarm. A crossing that is seen is put right a
    lead time later unless damage comes first. Whatever ends a cycle leaves the unit as new.

    Examples
    --------
    >>> crossing = Lifetime.stated("weibull", scale=3000, shape=1.5)
    >>> delay = Lifetime.stated("weibull", scale=1000, shape=2)
    >>> costs = Costs(planned=300, correction=400, failure=5000, sample=20)
    >>> answer = cost_of_sampling(crossing, delay, [125, 250, 500], costs, 0.9, lead_time=50)
    >>> answer.saving_per_1000.round()
    array([132., 165.,  75.])
    """
    intervals = np.atleast_1d(np.asarray(every, dtype=np.float64))
    if intervals.size == 0:
        message = "no sampling interval: expected at least one"
        raise ValueError(message)
    by_age = best_interval_before_damage(crossing, delay, costs.planned, costs.failure)
    if delay is None:
        nothing = np.full(intervals.shape, np.nan)
        return CostOfSampling(intervals, (), nothing, nothing, by_age, None, NO_DELAY)
    cycles = tuple(
        sampled_cycle(crossing, delay, float(each), detection_chance, lead_time, change_age)
        for each in intervals
    )
    rates = np.array([costs.rate(cycle) for cycle in cycles])
    saving = 1000.0 * (by_age.cost_rate - rates)
    return CostOfSampling(intervals, cycles, rates, saving, by_age, int(np.argmin(rates)), None)
