"""The change interval of least cost, or why no interval helps."""

from dataclasses import dataclass

import numpy as np

from chemcheck.planning.cost_rate import Clock, CostRate
from chemcheck.planning.damage_lifetime import DamageLifetime
from chemcheck.planning.lifetime import CONFIDENCE, Lifetime
from chemcheck.planning.standard_forms import Floats

NO_DELAY = "cost needs the delay from crossing to damage"
DEAR_CHANGE = "a failure costs no more than a planned change: changing by age does not pay"
NOT_RISING = "the hazard does not rise with age: changing by age does not help"
NO_EVIDENCE = "no evidence that changing by age helps"
# An optimum that saves less than this is none: common practice, no source.
LEAST_SAVING = 1e-3
CURVE_POINTS = 201


@dataclass(frozen=True, slots=True)
class BestInterval:
    """Change interval of least cost.

    Parameters
    ----------
    interval : float or None
        Age at which to change [h, km or d]; None where that does not help.
    reason : str or None
        Why there is no interval.
    cost_rate : float
        Cost per unit of use at the interval; without one, when running to failure; NaN where
        the cost cannot be told [money / h, km or d].
    flat_range : tuple of float or None
        Ages that cost at most 5 % more; the last may be infinite [h, km or d].
    run_to_failure_rate : float
        Cost per unit of use without planned changes [money / h, km or d].
    saving : float
        Share of that saved by the interval; 0 without one.
    interval_limits : tuple of float or None
        Best intervals for the most and the least wearing lifetime within the confidence limits
        of the shape, the lesser first; infinite where none helps [h, km or d].
    curve_age, curve_cost_rate : numpy.ndarray, shape (k,)
        Cost rate against age, for a chart [h, km or d; money / h, km or d].
    """

    interval: float | None
    reason: str | None
    cost_rate: float
    flat_range: tuple[float, float] | None
    run_to_failure_rate: float
    saving: float
    interval_limits: tuple[float, float] | None
    curve_age: Floats
    curve_cost_rate: Floats


def best_interval(
    lifetime: Lifetime | DamageLifetime,
    planned_cost: float,
    failure_cost: float,
    confidence: float = CONFIDENCE,
) -> BestInterval:
    """Find the age at which changing costs least.

    Parameters
    ----------
    lifetime : Lifetime or DamageLifetime
        Time until the failure that costs ``failure_cost``.
    planned_cost, failure_cost : float
        Cost of a planned change and of a failure, each with all that follows [money].
    confidence : float, default 0.95
        Of the limits of the shape that decide whether the hazard is known to rise.

    Returns
    -------
    BestInterval
        The interval, or the reason why there is none: a failure costs no more, the hazard does
        not rise, or its rise is not certain.

    Raises
    ------
    ValueError
        If a cost is not a finite number above 0.

    See Also
    --------
    CostRate : The formula and its source.

    Examples
    --------
    >>> life = Lifetime.stated("weibull", scale=6000, shape=2.5)
    >>> best = best_interval(life, planned_cost=1, failure_cost=8)
    >>> round(best.interval), round(100 * best.saving)
    (2355, 52)
    >>> best_interval(Lifetime.stated("exponential", 6000), 1, 8).reason
    'the hazard does not rise with age: changing by age does not help'
    """
    demand_cost("planned cost", planned_cost)
    demand_cost("failure cost", failure_cost)
    cost = CostRate(lifetime, planned_cost, failure_cost)
    if failure_cost <= planned_cost:
        return _none(cost, DEAR_CHANGE)
    if isinstance(lifetime, Lifetime) and lifetime.family != "lognormal" and lifetime.shape <= 1.0:
        return _none(cost, NOT_RISING)
    age = cost.best_age()
    rate = cost.run_to_failure if age is None else float(cost.at(age))
    saving = 0.0 if age is None else 1.0 - rate / cost.run_to_failure
    if age is None or saving < LEAST_SAVING:
        return _none(cost, f"changing by age saves less than {100 * LEAST_SAVING:g} %")
    doubt = _doubt(lifetime, cost, confidence)
    if doubt is not None:
        return _none(cost, doubt)
    flat = cost.flat_range(age)
    others = [_age_of(other, cost) for other in lifetime.at_shape_limits(confidence)]
    ages, rates = _curve(cost, age)
    return BestInterval(
        interval=age,
        reason=None,
        cost_rate=rate,
        flat_range=flat,
        run_to_failure_rate=cost.run_to_failure,
        saving=saving,
        interval_limits=(min(others), max(others)),
        curve_age=ages,
        curve_cost_rate=rates,
    )


def best_interval_before_damage(
    crossing: Lifetime,
    delay: Lifetime | None,
    planned_cost: float,
    failure_cost: float,
    confidence: float = CONFIDENCE,
) -> BestInterval:
    """Find the cheapest age at which to change, where failing means damage after a crossing.

    Parameters
    ----------
    crossing : Lifetime
        Time until the bound is crossed.
    delay : Lifetime or None
        From crossing to damage, stated by the user; None where nobody knows it.
    planned_cost, failure_cost : float
        Cost of a planned change, and of damage [money].
    confidence : float, default 0.95
        As for `best_interval`.

    Returns
    -------
    BestInterval
        Without a delay there is none: a crossing is not damage, and its cost cannot be told.

    Raises
    ------
    ValueError
        If a cost is not a finite number above 0.

    Examples
    --------
    >>> crossing = Lifetime.stated("weibull", scale=3000, shape=3)
    >>> best_interval_before_damage(crossing, None, 1, 8).reason
    'cost needs the delay from crossing to damage'
    """
    demand_cost("planned cost", planned_cost)
    demand_cost("failure cost", failure_cost)
    if delay is None:
        nothing = np.empty(0)
        return BestInterval(None, NO_DELAY, np.nan, None, np.nan, 0.0, None, nothing, nothing)
    return best_interval(DamageLifetime(crossing, delay), planned_cost, failure_cost, confidence)


def demand_cost(name: str, cost: float) -> None:
    """Refuse a cost that is not a finite number above 0.

    Parameters
    ----------
    name : str
        Which cost.
    cost : float
        Its value [money].

    Raises
    ------
    ValueError
        If it is zero, negative, infinite or NaN.

    Examples
    --------
    >>> demand_cost("planned cost", 0)
    Traceback (most recent call last):
    ...
    ValueError: planned cost: 0: expected a finite number above 0
    """
    if not (np.isfinite(cost) and cost > 0.0):
        message = f"{name}: {cost:g}: expected a finite number above 0"
        raise ValueError(message)


def _doubt(lifetime: Lifetime | DamageLifetime, cost: CostRate, confidence: float) -> str | None:
    """Say why the rise of the hazard is not certain, or None if it is."""
    if isinstance(lifetime, Lifetime) and lifetime.family == "weibull":
        low, high = lifetime.shape_limits(confidence)
        if low <= 1.0:
            return (
                f"{NO_EVIDENCE}: the {100 * confidence:g} % interval of the shape, "
                f"{low:.2f} to {high:.2f}, includes 1"
            )
        return None
    least, _ = lifetime.at_shape_limits(confidence)
    if np.isinf(_age_of(least, cost)):
        return f"{NO_EVIDENCE}: at the {100 * confidence:g} % limit of the shape it does not"
    return None


def _age_of(lifetime: Lifetime | DamageLifetime, cost: CostRate) -> float:
    """Return the best age for another lifetime at the same costs; infinite if there is none."""
    crossing = lifetime.crossing if isinstance(lifetime, DamageLifetime) else lifetime
    if not 0.0 < crossing.shape < np.inf:
        return np.inf
    age = CostRate(lifetime, cost.planned_cost, cost.failure_cost).best_age()
    return np.inf if age is None else age


def _none(cost: CostRate, reason: str) -> BestInterval:
    """Give the reason, and the curve that shows it."""
    ages, rates = _curve(cost, None)
    rate = cost.run_to_failure
    return BestInterval(None, reason, rate, None, rate, 0.0, None, ages, rates)


def _curve(cost: CostRate, best: float | None) -> tuple[Floats, Floats]:
    """Sample the cost rate over the ages that matter on a chart."""
    clock: Clock = cost.clock
    first = 0.25 * best if best is not None else float(clock.quantile(0.01))
    last = float(clock.quantile(0.99))
    if best is not None:
        last = max(3.0 * best, min(last, 6.0 * best))
    ages = np.linspace(first, last, CURVE_POINTS)
    return ages, cost.at(ages)
