"""Survival from intervals without assuming a family: the self-consistent estimate."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import isotonic_regression

from chemcheck.errors import NotEnoughDataError
from chemcheck.planning.observations import observe
from chemcheck.planning.standard_forms import Floats

Integers = NDArray[np.intp]

# Turns with all intervals; turns with those that hold probability; times to look for others.
FIRST_ROUNDS, TURNS, ROUNDS = 12, 400, 60
# Probability that an interval newly taken in starts with, over the number of intervals.
SEED = 1e-2
# By how much the log-likelihood of one observation may still fall short of its greatest value.
CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class TurnbullEstimate:
    """Where the ends lie, without a family of distributions.

    Parameters
    ----------
    lower, upper : numpy.ndarray, shape (m,)
        The intervals to which probability goes [h, km or d]: open at the lower, closed at the
        upper end; equal where an end is exact; the last may be infinite. Where inside an
        interval its probability lies the data cannot tell.
    probability : numpy.ndarray, shape (m,)
        Probability of each; adds up to 1.
    log_likelihood : float
        Sum of the logarithms of the probabilities of the observations.
    shortfall : float
        At most so much is the log-likelihood below its greatest value.
    """

    lower: Floats
    upper: Floats
    probability: Floats
    log_likelihood: float
    shortfall: float

    def survival(self, time: ArrayLike) -> tuple[Floats, Floats]:
        """Least and greatest probability that the end comes after a time.

        Parameters
        ----------
        time : float or array-like
            Time [h, km or d].

        Returns
        -------
        least, greatest : numpy.ndarray
            They differ inside an interval that holds probability.
        """
        times = np.asarray(time, dtype=np.float64)
        ended = np.concatenate([[0.0], np.cumsum(self.probability)])
        exact = self.lower == self.upper
        begun = np.searchsorted(np.where(exact, np.nextafter(self.lower, 0.0), self.lower), times)
        over = np.searchsorted(self.upper, times, side="right")
        least = np.clip(1.0 - ended[begun], 0.0, 1.0)
        return least, np.clip(1.0 - ended[over], 0.0, 1.0)


def turnbull(
    lower: ArrayLike, upper: ArrayLike, weights: ArrayLike | None = None
) -> TurnbullEstimate:
    """Estimate survival from intervals by nonparametric maximum likelihood.

    Parameters
    ----------
    lower, upper : array-like, shape (n,)
        Ends of each lifetime, as for `fit_lifetime`: the end lies above ``lower`` and not above
        ``upper``, or at both where they are equal.
    weights : array-like, shape (n,), optional
        How often each counts. None: once.

    Returns
    -------
    TurnbullEstimate
        Intervals and their probabilities.

    Raises
    ------
    ValueError
        If an end or weight is not possible.
    NotEnoughDataError
        Without any observation.

    Notes
    -----
    Only intervals from a lower end to the next upper end can hold probability [1]_. Their
    probabilities are found by turns of self-consistency and of isotonic regression [2]_; the
    work of a turn grows with the number of distinct observations. The estimate is done when the
    bound of [3]_ on what is left to gain is small.

    References
    ----------
    .. [1] Turnbull, B. W. (1976), The empirical distribution function with arbitrarily grouped,
       censored and truncated data, J. R. Statist. Soc. B 38, 290-295 (from memory).
    .. [2] Wellner, J. A. and Zhan, Y. (1997), A hybrid algorithm for computation of the
       nonparametric maximum likelihood estimator from censored data, J. Am. Statist. Assoc. 92,
       945-959 (from memory).
    .. [3] Gentleman, R. and Geyer, C. J. (1994), Maximum likelihood for interval censored data:
       consistency and computation, Biometrika 81, 618-623 (from memory).

    Examples
    --------
    >>> estimate = turnbull([0, 500, 500], [500, 1000, np.inf])
    >>> estimate.lower, estimate.probability.round(4)
    (array([  0., 500.]), array([0.3333, 0.6667]))
    """
    seen = observe(lower, upper, weights)
    if seen.lower.size == 0:
        message = "no lifetimes: expected at least one"
        raise NotEnoughDataError(message)
    left, right, first, last = _innermost(seen.lower, seen.upper)
    cover = _cover(first, last, seen.weights, left.size)
    probability, shortfall = _maximise(cover)
    total = float(seen.weights.sum())
    value = total * cover.log_likelihood(probability)
    return TurnbullEstimate(left, right, probability, value, total * shortfall)


def _innermost(lower: Floats, upper: Floats) -> tuple[Floats, Floats, Integers, Integers]:
    """Find the intervals that can hold probability, and which of them each observation covers."""
    n = lower.size
    ends = np.concatenate([lower, upper])
    # At one time an exact end comes first, then upper ends, which are closed, then lower ends.
    order_at_tie = np.concatenate([np.where(lower == upper, 0, 2), np.ones(n, dtype=np.intp)])
    order = np.lexsort((order_at_tie, ends))
    is_lower = order < n
    starts = np.flatnonzero(is_lower[:-1] & ~is_lower[1:])
    place = np.empty(2 * n, dtype=np.intp)
    place[order] = np.arange(2 * n)
    first = np.searchsorted(starts, place[:n])
    last = np.searchsorted(starts, place[n:]) - 1
    return ends[order[starts]], ends[order[starts + 1]], first, last


@dataclass(frozen=True, slots=True)
class _Cover:
    """Distinct observations as runs of intervals, with shares that add up to 1."""

    first: Integers
    last: Integers
    share: Floats
    m: int

    def only(self, kept: Integers) -> "_Cover":
        """Leave out all other intervals; observations that then agree become one."""
        first = np.searchsorted(kept, self.first)
        last = np.searchsorted(kept, self.last, side="right") - 1
        return _cover(first, last, self.share, kept.size)

    def of_observations(self, probability: Floats) -> Floats:
        cumulative = np.concatenate([[0.0], np.cumsum(probability)])
        covered: Floats = cumulative[self.last + 1] - cumulative[self.first]
        return covered

    def log_likelihood(self, probability: Floats) -> float:
        observed = self.of_observations(probability)
        if not np.all(observed > 0.0):
            return -np.inf
        return float(np.sum(self.share * np.log(observed)))

    def pull(self, observed: Floats) -> Floats:
        """By how much probability of each interval raises the log-likelihood; 1 where settled."""
        each = self.share / observed
        steps = np.bincount(self.first, each, self.m + 1) - np.bincount(
            self.last + 1, each, self.m + 1
        )
        return np.cumsum(steps)[: self.m]


def _cover(first: Integers, last: Integers, weights: Floats, m: int) -> _Cover:
    """Put equal observations together."""
    pairs, where = np.unique(first * m + last, return_inverse=True)
    share = np.bincount(where, weights=weights)
    return _Cover(pairs // m, pairs % m, share / share.sum(), m)


def _maximise(cover: _Cover) -> tuple[Floats, float]:
    """Work on the intervals that hold probability, and take in those that would gain by some."""
    probability = _take_turns(cover, np.full(cover.m, 1.0 / cover.m), FIRST_ROUNDS)
    shortfall = np.inf
    for _ in range(ROUNDS):
        pull = cover.pull(cover.of_observations(probability))
        shortfall = float(pull.max()) - 1.0
        if shortfall <= CLOSE:
            break
        beside = np.maximum(np.append(pull[1:], 0.0), np.append(0.0, pull[:-1]))
        held = probability > 0.0
        kept = np.flatnonzero(held | ((pull > 1.0) & (pull >= beside)))
        # Self-consistency never gives probability to an interval without any.
        start = np.where(held, probability, SEED / cover.m)[kept]
        probability = np.zeros(cover.m)
        probability[kept] = _take_turns(cover.only(kept), start / start.sum(), TURNS)
    return probability, max(shortfall, 0.0)


def _take_turns(cover: _Cover, probability: Floats, turns: int) -> Floats:
    """Take turns of self-consistency and isotonic regression."""
    for _ in range(turns):
        pull = cover.pull(cover.of_observations(probability))
        if float(pull.max()) - 1.0 <= 0.5 * CLOSE:
            break
        probability = probability * pull
        probability = _isotonic_step(cover, probability / probability.sum())
    return probability


def _isotonic_step(cover: _Cover, probability: Floats) -> Floats:
    """Move the cumulative probabilities by Newton's diagonal step, kept in order."""
    if cover.m == 1:
        return probability
    observed = cover.of_observations(probability)
    each, twice = cover.share / observed, cover.share / observed**2
    size = cover.m + 1
    # A cumulative probability is the upper end of some observations and the lower of others;
    # the first is 0 and the last is 1, and they do not move.
    gradient = np.bincount(cover.last + 1, each, size) - np.bincount(cover.first, each, size)
    curvature = np.bincount(cover.last + 1, twice, size) + np.bincount(cover.first, twice, size)
    inner = slice(1, cover.m)
    cumulative = np.concatenate([[0.0], np.cumsum(probability)])
    aim = cumulative[inner] + gradient[inner] / curvature[inner]
    ordered = isotonic_regression(aim, weights=curvature[inner]).x
    target = np.diff(np.concatenate([[0.0], np.clip(ordered, 0.0, 1.0), [1.0]]))
    before = cover.log_likelihood(probability)
    promised = float(gradient[inner] @ (np.cumsum(target)[:-1] - cumulative[inner]))
    part = 1.0
    for _ in range(40):
        moved = (1.0 - part) * probability + part * target
        if cover.log_likelihood(moved) >= before + 0.1 * part * promised:
            return moved
        part *= 0.5
    return probability
