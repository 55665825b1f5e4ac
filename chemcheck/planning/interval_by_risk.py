"""The change interval at which the chance of a crossing before is as chosen."""

from dataclasses import dataclass

import numpy as np

from chemcheck.planning.few_failures import FewFailures
from chemcheck.planning.lifetime import CONFIDENCE, Lifetime

NO_TIME = "the lead time is longer than the risk allows"


@dataclass(frozen=True, slots=True)
class RiskInterval:
    """Change interval at a chosen risk.

    Parameters
    ----------
    interval : float or None
        Age by which to act, so that the chance of a crossing by then and the lead time is the
        risk [h, km or d]; None with a reason where there is none.
    lower, upper : float
        Confidence limits of the interval, at least 0 and possibly infinite; with few crossings
        ``lower`` is a one-sided bound and ``upper`` infinite [h, km or d].
    risk : float
        Chance of a crossing before.
    lead_time : float
        From the decision to work done [h, km or d].
    reason : str or None
        Why there is no interval.
    """

    interval: float | None
    lower: float
    upper: float
    risk: float
    lead_time: float
    reason: str | None


def interval_by_risk(
    lifetime: Lifetime | FewFailures,
    risk: float,
    lead_time: float = 0.0,
    confidence: float = CONFIDENCE,
) -> RiskInterval:
    """Find the longest interval whose chance of a crossing before is at most the risk.

    Parameters
    ----------
    lifetime : Lifetime or FewFailures
        Time until the bound is crossed; with too few crossings a bound of it.
    risk : float
        Chance of a crossing by the interval and the lead time, between 0 and 1.
    lead_time : float, default 0
        From the decision to work done [h, km or d].
    confidence : float, default 0.95
        Of the limits.

    Returns
    -------
    RiskInterval
        The interval and its confidence limits.

    Raises
    ------
    ValueError
        If the risk or the lead time is not possible.

    Examples
    --------
    >>> life = Lifetime.stated("weibull", scale=6000, shape=2.5)
    >>> round(interval_by_risk(life, risk=0.1, lead_time=100).interval)
    2339
    """
    if not 0.0 < risk < 1.0:
        message = f"risk: {risk:g}: expected a probability between 0 and 1"
        raise ValueError(message)
    if not (np.isfinite(lead_time) and lead_time >= 0.0):
        message = f"lead time: {lead_time:g}: expected a finite number, 0 or more"
        raise ValueError(message)
    if isinstance(lifetime, FewFailures):
        bound = max(lifetime.quantile_bound(risk) - lead_time, 0.0)
        reason = f"too few crossings ({lifetime.failures:g} seen): a lower bound only"
        return RiskInterval(None, bound, np.inf, risk, lead_time, reason)
    low, high = lifetime.quantile_limits(risk, confidence)
    interval = float(lifetime.quantile(risk)) - lead_time
    limits = max(low - lead_time, 0.0), max(high - lead_time, 0.0)
    if interval <= 0.0:
        return RiskInterval(None, *limits, risk, lead_time, NO_TIME)
    return RiskInterval(interval, *limits, risk, lead_time, None)
