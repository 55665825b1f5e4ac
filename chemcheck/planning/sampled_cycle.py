"""What one cycle brings when samples are drawn at a fixed interval."""

from dataclasses import dataclass

import numpy as np

from chemcheck.planning.lifetime import Lifetime
from chemcheck.planning.standard_forms import Floats

# Crossings later than all but this share are taken to be like the others.
LATE = 1e-7
# A crossing unseen with this chance, or not yet damage with it, is followed no further.
UNSEEN = 1e-9
# Points over all crossing ages, and how many a sampling period has at least and at most.
POINTS, FEWEST, MOST = 600, 4, 40
# Periods before the last crossing.
LONGEST = 200_000


@dataclass(frozen=True, slots=True)
class SampledCycle:
    """What one cycle under sampling brings on average.

    Parameters
    ----------
    length : float
        Its mean length [h, km or d].
    damaged, corrected, planned : float
        Probability of each end; they add up to 1.
    samples : float
        Mean number of samples.
    """

    length: float
    damaged: float
    corrected: float
    planned: float
    samples: float


def sampled_cycle(
    crossing: Lifetime,
    delay: Lifetime,
    every: float,
    detection_chance: float,
    lead_time: float = 0.0,
    change_age: float = np.inf,
) -> SampledCycle:
    """Average over when the crossing, its detection and the damage come.

    Parameters
    ----------
    crossing, delay : Lifetime
        Time until the crossing, and from there to damage.
    every : float
        Interval between samples, above 0 [h, km or d].
    detection_chance : float
        Chance that one sample sees a crossing, above 0 and at most 1.
    lead_time : float, default 0
        From drawing a sample to work done [h, km or d].
    change_age : float, default infinite
        Age at which one changes in any case [h, km or d].

    Returns
    -------
    SampledCycle
        Means and probabilities.

    Raises
    ------
    ValueError
        If an argument is not possible, or more than 200,000 samples would come before the last
        crossings.

    Notes
    -----
    Samples fall at multiples of the interval. Each one after a crossing sees it with the same
    chance, independently; none before it raises an alarm. A crossing that is seen is put right a
    lead time later unless damage comes first. Whatever ends a cycle leaves the unit as new.

    Given the crossing, the rest is a sum over the sample that sees it, with the delay's own
    probability and restricted mean. The crossing is integrated in its probability, from one
    sample to the next, by Gauss and Legendre's rule.

    Examples
    --------
    With certain detection and damage far off every crossing is put right at the next sample:

    >>> hour = Lifetime.stated("exponential", 1.0)
    >>> cycle = sampled_cycle(hour, Lifetime.stated("exponential", 1e6), 0.01, 1.0)
    >>> round(cycle.length, 3), round(cycle.corrected, 6)
    (1.005, 1.0)
    """
    _demand_settings(every, detection_chance, lead_time, change_age)
    number, crossed_at, weight = _crossings(crossing, every, change_age)
    length = damaged = corrected = samples = 0.0
    unseen, ahead = 1.0, 0
    while unseen > UNSEEN and float(delay.survival(ahead * every)) > UNSEEN:
        ahead += 1
        drawn = (number + ahead) * every
        in_time = drawn < change_age
        done = np.where(in_time, np.minimum(drawn + lead_time, change_age), change_age)
        put_right = weight * (done < change_age)
        seen = unseen * detection_chance
        wait = done - crossed_at
        length += seen * _total(weight * delay.restricted_mean(wait))
        damaged += seen * _total(weight * delay.failure(wait))
        corrected += seen * _total(put_right * delay.survival(wait))
        samples += unseen * _total(weight * in_time * delay.survival(drawn - crossed_at))
        unseen -= seen
    wait = change_age - crossed_at
    length += unseen * _total(weight * delay.restricted_mean(wait))
    damaged += unseen * _total(weight * delay.failure(wait))
    # Samples before the crossing: one at each multiple that is reached without one.
    multiples = np.arange(1, int(number[-1, 0]) + 2) * every
    samples += _total(crossing.survival(multiples[multiples < change_age]))
    return SampledCycle(
        length=float(crossing.restricted_mean(change_age)) + length,
        damaged=damaged,
        corrected=corrected,
        planned=max(1.0 - damaged - corrected, 0.0),
        samples=samples,
    )


def _total(parts: Floats) -> float:
    return float(np.sum(parts))


def _crossings(
    crossing: Lifetime, every: float, change_age: float
) -> tuple[Floats, Floats, Floats]:
    """Place points at which a crossing may come, each with its probability.

    Returns the number of samples before, the age, and the weight, shape (periods, points).
    """
    last = min(change_age, float(crossing.quantile(1.0 - LATE)))
    if last > LONGEST * every:
        message = f"sampling interval: {every:g}: expected at least {last / LONGEST:.3g}"
        raise ValueError(message)
    periods = max(int(np.ceil(last / every)), 1)
    edges = crossing.failure(np.minimum(np.arange(periods + 1) * every, last))
    nodes, weights = np.polynomial.legendre.leggauss(int(np.clip(POINTS // periods, FEWEST, MOST)))
    width = np.diff(edges)[:, np.newaxis]
    probability = edges[:-1, np.newaxis] + 0.5 * width * (nodes + 1.0)
    weight = 0.5 * width * weights
    # What crosses later than the last point is spread over all points.
    weight *= float(crossing.failure(change_age)) / weight.sum()
    number = np.broadcast_to(np.arange(periods, dtype=np.float64)[:, np.newaxis], weight.shape)
    # Rounding must not move a crossing out of its period.
    age = np.clip(crossing.quantile(probability), number * every, (number + 1.0) * every)
    return number, np.minimum(age, last), weight


def _demand_settings(
    every: float, detection_chance: float, lead_time: float, change_age: float
) -> None:
    """Refuse settings that cannot be meant."""
    possible: tuple[tuple[str, float, bool | np.bool_, str], ...] = (
        ("sampling interval", every, np.isfinite(every) and every > 0.0, "a finite number above 0"),
        ("detection chance", detection_chance, 0.0 < detection_chance <= 1.0, "above 0, at most 1"),
        ("lead time", lead_time, np.isfinite(lead_time) and lead_time >= 0.0, "0 or more"),
        ("change age", change_age, change_age > 0.0, "a number above 0"),
    )
    for name, value, is_possible, expected in possible:
        if not is_possible:
            message = f"{name}: {value:g}: expected {expected}"
            raise ValueError(message)
