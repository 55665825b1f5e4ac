"""Lifetimes fitted to intervals by maximum likelihood."""

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.errors import NotEnoughDataError
from chemcheck.planning.interval_likelihood import IntervalLikelihood, interval_likelihood
from chemcheck.planning.lifetime import Lifetime
from chemcheck.planning.likelihood_limits import ALONG_SHIFT, covariance
from chemcheck.planning.observations import Observations, observe
from chemcheck.planning.standard_forms import Family, Floats, family_named
from chemcheck.planning.summit import Summit, climb

# Fewer ends seen than this give no point estimate: common practice, no source.
FEWEST_FAILURES = 3
# Steepness, in spreads of the data, at which a lifetime is as good as flat; a summit so low is
# looked at again at the second.
LOW, FLAT = 1e-2, 1e-6


def fit_lifetime(
    lower: ArrayLike,
    upper: ArrayLike,
    weights: ArrayLike | None = None,
    family: str = "weibull",
) -> Lifetime:
    """Fit a distribution of lifetimes to intervals by maximum likelihood.

    Parameters
    ----------
    lower, upper : array-like, shape (n,)
        Ends of each lifetime [h, km or d]. Equal: exact. ``upper`` infinite: still going
        (right-censored). ``lower`` 0: ended before the first look (left-censored).
    weights : array-like, shape (n,), optional
        How often each counts. None: once.
    family : {"weibull", "lognormal", "exponential"}, default "weibull"
        Family of distributions.

    Returns
    -------
    Lifetime
        With ``scale``, ``shape``, ``log_likelihood`` and confidence limits.

    Raises
    ------
    ValueError
        If the family is unknown or an end or weight is not possible.
    NotEnoughDataError
        With fewer than three ends seen (`bound_from_few_failures` then gives a bound), or if the
        intervals leave scale or shape open.

    Notes
    -----
    An interval adds the logarithm of the probability between its ends, an exact lifetime that of
    its density [1]_. The log-likelihood has one summit [2]_, which Newton's method finds with
    exact derivatives.

    References
    ----------
    .. [1] Meeker, W. Q. and Escobar, L. A. (1998), Statistical Methods for Reliability Data,
       Wiley, chapters 2 and 8 (from memory).
    .. [2] Burridge, J. (1981), Empirical Bayes analysis of survival time data, Journal of the
       Royal Statistical Society B 43, 65-75 (from memory).

    Examples
    --------
    Four ends in 1,000 h of use: the mean of an exponential lifetime is 250 h.

    >>> seen = [50, 150, 200, 300]
    >>> life = fit_lifetime(seen + [300], seen + [float("inf")], family="exponential")
    >>> round(life.scale, 6)
    250.0
    """
    form = family_named(family)
    seen = observe(lower, upper, weights)
    _demand_enough(seen, form)
    likelihood = interval_likelihood(seen, form)
    if form.shape_is_free:
        summit = climb(likelihood.at, _start(seen, likelihood), np.eye(2))
        _demand_steepness(likelihood, summit)
    else:
        start = _start(seen, likelihood)
        start *= likelihood.spread / start[1]
        summit = climb(likelihood.at, start, ALONG_SHIFT)
    log_scale = likelihood.centre + likelihood.spread * summit.shift / summit.steepness
    # Rounding must not make a shape that is not free anything but 1.
    steepness = summit.steepness / likelihood.spread if form.shape_is_free else 1.0
    return Lifetime(
        family=family,
        scale=float(np.exp(log_scale)),
        shape=form.steepness(steepness),
        log_likelihood=summit.hill.value,
        failures=seen.failures,
        censored=seen.censored,
        covariance=_log_covariance(likelihood, summit),
        _likelihood=likelihood,
        _summit=summit,
    )


def _demand_enough(seen: Observations, form: Family) -> None:
    """Refuse what has no summit or says too little for a point estimate."""
    # Weights that are shares may miss a whole number by rounding.
    if seen.failures < FEWEST_FAILURES * (1.0 - 1e-9):
        message = (
            f"{seen.failures:g} ends seen among {seen.failures + seen.censored:g} lifetimes: "
            f"expected at least {FEWEST_FAILURES} for a lifetime; fewer give a bound only"
        )
        raise NotEnoughDataError(message)
    latest, earliest = float(seen.lower.max()), float(seen.upper.min())
    if latest == 0.0:
        message = "every lifetime ended before the first look: no scale can be told"
        raise NotEnoughDataError(message)
    if form.shape_is_free and latest <= earliest:
        message = (
            f"all lifetimes may have ended together, between {latest:g} and {earliest:g}: "
            "no spread and so no shape can be told"
        )
        raise NotEnoughDataError(message)


def _demand_steepness(likelihood: IntervalLikelihood, summit: Summit) -> None:
    """Refuse a summit at steepness 0: ends seen came earlier than those survived."""
    if likelihood.exact.size or summit.steepness > LOW:
        return
    start = np.array([summit.shift, FLAT])
    flat = climb(likelihood.at, start, ALONG_SHIFT)
    if flat.hill.gradient[1] <= 0.0:
        message = (
            "the lifetimes that ended did so no later than others survived: "
            "no scale and shape can be told"
        )
        raise NotEnoughDataError(message)


def _start(seen: Observations, likelihood: IntervalLikelihood) -> Floats:
    """Guess shift and steepness from the middles of the intervals."""
    middles = np.concatenate(
        [
            likelihood.exact,
            likelihood.start + likelihood.gap - np.minimum(0.5 * likelihood.gap, 1.0),
            likelihood.right,
            likelihood.left,
        ]
    )
    weights = np.concatenate(
        [
            likelihood.exact_weights,
            likelihood.between_weights,
            likelihood.right_weights,
            likelihood.left_weights,
        ]
    )
    share = weights / weights.sum()
    middle = float(share @ middles)
    spread = max(float(np.sqrt(share @ (middles - middle) ** 2)), 0.1)
    # What is censored moves the middle: as many more ends, as many spreads later.
    later = np.log1p(seen.censored / seen.failures) * spread
    return np.array([(middle + later) / spread, 1.0 / spread])


def _log_covariance(likelihood: IntervalLikelihood, summit: Summit) -> Floats:
    """Turn the covariance of shift and steepness into that of log scale and log shape."""
    steepness = summit.steepness
    log_scale = np.array([1.0, -summit.shift / steepness]) * likelihood.spread / steepness
    side = 1.0 if likelihood.family.steepness(2.0) == 2.0 else -1.0
    turn = np.vstack([log_scale, [0.0, side / steepness]])
    return np.asarray(turn @ covariance(likelihood, summit) @ turn.T)
