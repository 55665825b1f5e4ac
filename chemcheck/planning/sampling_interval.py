"""How often to sample, so that a crossing is seen in time."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class SamplingInterval:
    """Interval between samples.

    Parameters
    ----------
    interval : float or None
        Between samples [h, km or d]; None with a reason where sampling comes too late.
    samples : int
        Samples that fall between a crossing and the last moment to act.
    miss : float
        Chance that none of them sees it.
    reason : str or None
        Why there is no interval.
    """

    interval: float | None
    samples: int
    miss: float
    reason: str | None


def sampling_interval(
    pf_interval: float, lead_time: float, detection_chance: float, acceptable_miss: float
) -> SamplingInterval:
    """Find the interval between samples from the time between crossing and damage.

    Parameters
    ----------
    pf_interval : float
        From the first detectable crossing to damage (P-F interval) [h, km or d]. It varies:
        take a low quantile of the delay, ``delay.quantile(0.1)``.
    lead_time : float
        From drawing a sample to work done [h, km or d].
    detection_chance : float
        Chance that one sample sees a crossing, above 0 and at most 1.
    acceptable_miss : float
        Chance of missing it that is accepted, between 0 and 1.

    Returns
    -------
    SamplingInterval
        ``(P-F interval - lead time) / n`` with ``n = ln(miss) / ln(1 - chance)`` rounded up [1]_.

    Raises
    ------
    ValueError
        If an argument is not possible.

    Notes
    -----
    The P-F interval is not the lifetime and has nothing to do with its hazard. The formula's
    source is itself debated: a starting value, and `cost_of_sampling` is the fuller answer.

    References
    ----------
    .. [1] Naval aviation guide to reliability-centred maintenance, read in a training deck that
       quotes it (published).

    Examples
    --------
    >>> plan = sampling_interval(500, 100, detection_chance=0.8, acceptable_miss=0.05)
    >>> plan.interval, plan.samples
    (200.0, 2)
    """
    _demand_time("P-F interval", pf_interval)
    _demand_time("lead time", lead_time)
    if not 0.0 < detection_chance <= 1.0:
        message = f"detection chance: {detection_chance:g}: expected above 0 and at most 1"
        raise ValueError(message)
    if not 0.0 < acceptable_miss < 1.0:
        message = f"acceptable miss: {acceptable_miss:g}: expected a probability between 0 and 1"
        raise ValueError(message)
    if detection_chance == 1.0:
        samples = 1
    else:
        needed = np.log(acceptable_miss) / np.log1p(-detection_chance)
        # 0.04 = 0.2 squared needs 2 samples, not 3 by rounding.
        samples = max(1, int(np.ceil(needed - 1e-9)))
    miss = float((1.0 - detection_chance) ** samples)
    if pf_interval <= lead_time:
        reason = "damage comes before work can be done: sample on events, or watch an alarm"
        return SamplingInterval(None, samples, miss, reason)
    return SamplingInterval((pf_interval - lead_time) / samples, samples, miss, None)


def _demand_time(name: str, time: float) -> None:
    """Refuse a time that is negative or not finite."""
    if not (np.isfinite(time) and time >= 0.0):
        message = f"{name}: {time:g}: expected a finite number, 0 or more"
        raise ValueError(message)
