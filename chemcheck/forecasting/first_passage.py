"""When a drifting, wandering value first reaches a bound: probabilities and quantiles.

The true value starts a distance from the bound and closes in at a rate; both are uncertain and
correlated, and a Wiener process moves the value on top. Reading error plays no part: the value
crosses, not the reading.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import erfcx, ndtr, ndtri, owens_t

from chemcheck.forecasting.fill_rows import Floats, Integers
from chemcheck.forecasting.moving_bound import MovingBounds

# Standard deviations of the distance that count. A value that far from its bound is integrated
# over by the few points of Gauss-Hermite, a nearer one by Gauss-Legendre from the bound on.
SPAN = 5.2
FAR_POINTS, FAR_WEIGHTS = np.polynomial.hermite_e.hermegauss(7)
NEAR_POINTS, NEAR_WEIGHTS = np.polynomial.legendre.leggauss(16)
# Below this the scaled complementary error function would overflow.
DEEPEST = -30.0
ROOT_HALF = float(np.sqrt(0.5))
# Share of the variance ahead below which a walk is none: some ways have one and others not.
STILL = 1e-9
# Travels at which a chance is looked at where the bound moves, so that none that comes and goes
# again is missed; as shares of the farthest.
LOOKED_AT = np.geomspace(1e-3, 1.0, 25)
# Quantiles are exact to this much probability.
CLOSE = 2e-4
ROUNDS = 60
# Fills and ways worked at once.
BLOCK = 4096
# Searches and ways worked at once.
SEARCHED = 16_384


@dataclass(frozen=True, slots=True)
class Approach:
    """Distance to the bound at the last sample, and the rate at which it shrinks.

    Parameters
    ----------
    distance, distance_variance : numpy.ndarray, shape (k, n)
        Mean and variance of the distance for n fills under each of k ways that the fleet's
        variances may be; negative beyond the bound.
    rate, rate_variance : numpy.ndarray, shape (k, n)
        Mean and variance of the closing rate.
    shared : numpy.ndarray, shape (k, n)
        Covariance of distance and closing rate.
    walk : numpy.ndarray, shape (k, 1)
        Variance that the walk gains over one unit of the axis.
    weights : numpy.ndarray, shape (k,)
        Weight of each way; they add up to 1.
    moving : MovingBounds or None
        How the bounds move from the last sample on; None where they stay.
    """

    distance: Floats
    distance_variance: Floats
    rate: Floats
    rate_variance: Floats
    shared: Floats
    walk: Floats
    weights: Floats
    moving: MovingBounds | None = None

    def take(self, which: Integers) -> "Approach":
        """Keep some of the fills."""
        return Approach(
            self.distance[:, which],
            self.distance_variance[:, which],
            self.rate[:, which],
            self.rate_variance[:, which],
            self.shared[:, which],
            self.walk,
            self.weights,
            None if self.moving is None else self.moving.take(which),
        )

    def average(self, values: Floats) -> Floats:
        """Average of k ways, shape (k, n) to (n,)."""
        mean: Floats = np.einsum("k,kn->n", self.weights, values)
        return mean

    def scores(self) -> Floats:
        """Distance in its standard deviations, shape (k, n)."""
        scores: Floats = self.distance / _root(self.distance_variance)
        return scores

    def probability_beyond(self) -> Floats:
        """Probability that the bound is passed at the last sample, shape (n,)."""
        beyond: Floats = self.average(ndtr(-self.scores()))
        return beyond


def together(approaches: Sequence[Approach], shares: Floats) -> Approach:
    """Put approaches to one bound, each with a share of the weight, into one of all their ways."""
    if len(approaches) == 1:
        return approaches[0]
    moving = [one.moving for one in approaches if one.moving is not None]
    return Approach(
        np.concatenate([one.distance for one in approaches]),
        np.concatenate([one.distance_variance for one in approaches]),
        np.concatenate([one.rate for one in approaches]),
        np.concatenate([one.rate_variance for one in approaches]),
        np.concatenate([one.shared for one in approaches]),
        np.concatenate([one.walk for one in approaches]),
        np.concatenate(
            [share * one.weights for share, one in zip(shares, approaches, strict=True)]
        ),
        None
        if not moving
        else MovingBounds(
            tuple(bound for one in moving for bound in one.bounds),
            tuple(ways for one in moving for ways in one.ways),
        ),
    )


def probability_reached(approach: Approach, travelled: Floats, *, touched: bool = True) -> Floats:
    """Probability that the bound is reached within some travel from the last sample.

    Parameters
    ----------
    approach : Approach
        Distance and closing rate.
    travelled : numpy.ndarray, shape (n,)
        Axis travelled since the last sample, at least 0.
    touched : bool, default True
        Whether to count a value that touched the bound on the way and came back. Without, the
        answer costs little, and is not too large.

    Returns
    -------
    numpy.ndarray, shape (n,)
        Probability; it counts a value that is beyond the bound already.

    Notes
    -----
    Given the distance D and the distance E left after travel t, a Wiener path of variance q t
    touches the bound between with probability exp(-2 D E / (q t)) [1]_. D and E are jointly
    normal: that both are positive follows from Owen's T function [2]_, and of the touch only
    the integral over D is numerical, good to about 0.002. Of a bound that moves the way from
    where it stands to where it will be is taken as straight.

    References
    ----------
    .. [1] Karatzas, I. and Shreve, S. E. (1998), Brownian Motion and Stochastic Calculus,
       2nd ed., Springer, section 4.3 (equation 3.40, the bridge's maximum).
    .. [2] Owen, D. B. (1956), Tables for computing bivariate normal probabilities, Annals of
       Mathematical Statistics 27, 1075-1090.

    Examples
    --------
    A known distance of 1 and a known walk without drift: 2 Phi(-1) = 0.3173 after one unit.

    >>> one, none = np.ones((1, 1)), np.zeros((1, 1))
    >>> approach = Approach(one, none, none, none, none, one, np.ones(1))
    >>> probability_reached(approach, np.ones(1)).round(4)
    array([0.3173])
    """
    time = np.maximum(travelled, 1e-300)
    deviation = _root(approach.distance_variance)
    along = approach.shared / deviation
    wander = approach.walk * time
    # E = middle + turn z + rest, where D = distance + deviation z.
    middle = approach.distance - approach.rate * time
    turn = deviation - along * time
    rest = np.maximum(approach.rate_variance - along**2, 0.0) * time**2 + wander
    if approach.moving is not None:
        shift, spread = approach.moving.moved(time)
        middle, rest = middle + shift, rest + spread
    rest = np.maximum(rest, 1e-30)
    left = np.sqrt(rest + turn**2)
    stayed = _both_positive(approach.distance / deviation, middle / left, turn / left)
    if touched and np.any(approach.walk):
        stayed -= _touched(approach.distance / deviation, middle, turn, rest, deviation, wander)
    reached: Floats = np.clip(1.0 - approach.average(stayed), 0.0, 1.0)
    return reached


def _both_positive(first: Floats, second: Floats, correlation: Floats) -> Floats:
    """Probability that two normals are positive, given their means in standard deviations."""
    if np.all(first >= SPAN):
        # As good as certain: only the other one matters.
        only: Floats = ndtr(second)
        return only
    # Beyond 40 standard deviations nothing changes; at 0 the quotients need a sign.
    h, k = (np.clip(np.where(mean == 0.0, 1e-12, mean), -40.0, 40.0) for mean in (first, second))
    other = np.sqrt(np.maximum((1.0 - correlation) * (1.0 + correlation), 1e-30))
    both: Floats = 0.5 * (ndtr(h) + ndtr(k)) - np.where(h * k < 0.0, 0.5, 0.0)
    both -= owens_t(h, (k / h - correlation) / other)
    both -= owens_t(k, (h / k - correlation) / other)
    return both


def _touched(
    score: Floats, middle: Floats, turn: Floats, rest: Floats, deviation: Floats, wander: Floats
) -> Floats:
    """Probability that the path touches the bound between two ends that are inside."""
    spread = np.sqrt(rest)
    # In units of the spread of E given D: D's pull, and E's mean.
    pull_by_distance = 2.0 * deviation * spread / np.maximum(wander, STILL * rest)
    turn, middle = turn / spread, middle / spread
    touched = np.zeros_like(middle)
    for z, weight in _points(score):
        mean = middle + turn * z
        depth = pull_by_distance * (score + z) - mean
        # exp(-k m + k^2 s^2 / 2) Phi(m / s - k s), by the scaled complementary error function.
        tail = erfcx(np.maximum(depth, DEEPEST) * ROOT_HALF)
        exponent = -0.5 * mean * mean
        deep = depth < DEEPEST
        if deep.any():
            # Far inside at the end: only the distance at the start makes a touch possible.
            pull = pull_by_distance * (score + z)
            certain = np.minimum(0.5 * pull * (pull - 2.0 * mean), 0.0)
            exponent, tail = np.where(deep, certain, exponent), np.where(deep, 2.0, tail)
        touched += weight * np.exp(exponent) * tail
    touched *= 0.5 / np.sqrt(2.0 * np.pi)
    return touched


def _points(score: Floats) -> Iterator[tuple[Floats | float, Floats | float]]:
    """Points and weights that integrate over a normal variable above minus the score."""
    if np.all(score >= SPAN):
        yield from zip(FAR_POINTS.tolist(), FAR_WEIGHTS.tolist(), strict=True)
        return
    low = np.clip(-score, -SPAN, SPAN)
    half = 0.5 * (SPAN - low)
    for point, weight in zip(NEAR_POINTS, NEAR_WEIGHTS, strict=True):
        z = low + half * (point + 1.0)
        yield z, weight * half * np.exp(-0.5 * z * z)


def travel_quantiles(approach: Approach, probabilities: Floats, farthest: Floats) -> Floats:
    """Travel by which the bound is reached with the given probabilities.

    Parameters
    ----------
    approach : Approach
        Distance and closing rate.
    probabilities : numpy.ndarray, shape (m,)
        Probabilities asked for, each between 0 and 1, rising.
    farthest : numpy.ndarray, shape (n,)
        Longest travel looked at.

    Returns
    -------
    numpy.ndarray, shape (m, n)
        Travel; 0 where the probability is reached at the last sample already, infinite where it
        is not reached by the farthest.
    """
    travel = np.empty((probabilities.size, farthest.size))
    size = max(BLOCK // approach.weights.size, 1)
    far = (approach.scores() >= SPAN).all(axis=0)
    for fills in (np.flatnonzero(far), np.flatnonzero(~far)):
        # Block by block, so that the work stays in the processor's cache.
        for start in range(0, fills.size, size):
            block = fills[start : start + size]
            travel[:, block] = _block_quantiles(
                approach.take(block), probabilities, farthest[block]
            )
    return travel


def _block_quantiles(approach: Approach, probabilities: Floats, farthest: Floats) -> Floats:
    """Travel quantiles of some fills, shape (m, n)."""
    beyond = approach.probability_beyond()
    if approach.moving is not None:
        farthest = _likeliest(approach, farthest)
    longest = np.maximum(farthest, 0.0)
    at_end = probability_reached(approach, longest, touched=False)
    doubtful = np.flatnonzero(at_end < probabilities.max())
    if doubtful.size:
        at_end[doubtful] = probability_reached(approach.take(doubtful), longest[doubtful])
    # Every quantile of every fill is a search of its own; they go on together.
    wanted = probabilities[:, None]
    travel = np.where(beyond >= wanted, 0.0, np.inf)
    which, fill = np.nonzero((beyond < wanted) & (at_end >= wanted) & (farthest > 0.0))
    size = max(SEARCHED // approach.weights.size, 1)
    for start in range(0, which.size, size):
        quantile, open_ = which[start : start + size], fill[start : start + size]
        travel[quantile, open_] = _solve(
            approach.take(open_), probabilities[quantile], farthest[open_]
        )
    return np.maximum.accumulate(travel, axis=0)


def _likeliest(approach: Approach, farthest: Floats) -> Floats:
    """Return the travel up to the farthest at which each bound is most likely passed."""
    longest = np.maximum(farthest, 0.0)
    every = np.repeat(np.arange(longest.size), len(LOOKED_AT))
    places = (longest[:, None] * LOOKED_AT).ravel()
    chances = np.empty(places.size)
    size = max(SEARCHED // approach.weights.size, 1)
    for start in range(0, places.size, size):
        part = slice(start, start + size)
        chances[part] = probability_reached(approach.take(every[part]), places[part])
    # Of chances that are alike the last: the farther, the better it is told.
    falling = chances.reshape(longest.size, len(LOOKED_AT))[:, ::-1]
    best = len(LOOKED_AT) - 1 - np.argmax(falling, axis=1)
    return np.asarray(LOOKED_AT[best] * longest)


def _solve(approach: Approach, p: Floats, farthest: Floats) -> Floats:
    """Find where the probability is p: secant steps between normal scores and log travel."""
    target = ndtri(p)
    high = np.log(farthest)
    low = high - 30.0
    at, slope = _first_guess(approach, target, low, high)
    answer = np.exp(at)
    active = np.arange(at.size)
    last_at, last_score = at, np.full_like(at, np.nan)
    for _ in range(ROUNDS):
        answer[active] = np.exp(at)
        probability = probability_reached(approach, np.exp(at))
        score = ndtri(np.clip(probability, 1e-15, 1.0 - 1e-15))
        low = np.where(probability < p, at, low)
        high = np.where(probability < p, high, at)
        with np.errstate(divide="ignore", invalid="ignore"):
            secant = (score - last_score) / (at - last_at)
        slope = np.where(np.isfinite(secant) & (secant > 0.0), secant, slope)
        last_at, last_score = at, score
        moved = at + (target - score) / slope
        astray = (moved <= low) | (moved >= high)
        at = np.where(astray, 0.5 * (low + high), moved)
        open_ = np.flatnonzero((np.abs(probability - p) > CLOSE) & (high - low > 1e-9))
        if open_.size == 0:
            break
        active, approach, p, target = active[open_], approach.take(open_), p[open_], target[open_]
        low, high, at, slope = low[open_], high[open_], at[open_], slope[open_]
        last_at, last_score = last_at[open_], last_score[open_]
    return answer


def _first_guess(
    approach: Approach, target: Floats, low: Floats, high: Floats
) -> tuple[Floats, Floats]:
    """Log-normal guess at the quantile, and the slope of its score in log travel."""
    distance = np.maximum(approach.average(approach.distance), 1e-300)
    rate = approach.average(approach.rate)
    if approach.moving is not None:
        soon = 1e-3 * np.exp(high)
        rate = rate - approach.average(approach.moving.moved(soon)[0]) / soon
    middle = np.where(rate > 0.0, np.log(distance) - np.log(np.maximum(rate, 1e-300)), high - 1.0)
    middle = np.clip(middle, low + 1.0, high - 0.01)
    time = np.exp(middle)
    spread = approach.average(
        approach.distance_variance
        + approach.rate_variance * time**2
        - 2.0 * approach.shared * time
        + approach.walk * time
    )
    width = np.clip(np.sqrt(np.maximum(spread, 0.0)) / distance, 0.01, 2.0)
    return np.clip(middle + target * width, low + 0.01, high), 1.0 / width


def _root(variance: Floats) -> Floats:
    root: Floats = np.sqrt(np.maximum(variance, 1e-30))
    return root
