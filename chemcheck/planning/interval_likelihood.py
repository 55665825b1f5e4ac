"""Log-likelihood of lifetimes that are known as intervals, with its derivatives."""

from dataclasses import dataclass

import numpy as np

from chemcheck.planning.observations import Observations
from chemcheck.planning.standard_forms import Family, Floats

# An interval narrower than this, in spreads of the logarithm, counts as exact at its middle:
# a difference of two probabilities would have fewer digits left than the approximation has.
NARROWEST = 1e-5


@dataclass(frozen=True, slots=True)
class Hill:
    """Value, gradient and Hessian of a log-likelihood at one point.

    Parameters
    ----------
    value : float
        Log-likelihood; -inf where it is not defined.
    gradient : numpy.ndarray, shape (2,)
        By shift and steepness.
    hessian : numpy.ndarray, shape (2, 2)
        By shift and steepness.
    """

    value: float
    gradient: Floats
    hessian: Floats


NOWHERE = Hill(-np.inf, np.zeros(2), np.zeros((2, 2)))


@dataclass(frozen=True, slots=True)
class IntervalLikelihood:
    """Lifetimes sorted by kind, on a logarithmic axis moved and stretched to unit spread.

    Parameters
    ----------
    family : Family
        The family.
    centre, spread : float
        The axis is y = (log t - centre) / spread.
    exact, exact_weights : numpy.ndarray, shape (n_exact,)
        Exact lifetimes on the axis.
    exact_constant : float
        What the logarithm and its stretch add to their log-density.
    start, gap, between_weights : numpy.ndarray, shape (n_between,)
        Lower ends and widths of intervals with two ends.
    right, right_weights : numpy.ndarray, shape (n_right,)
        Lower ends of those without an upper.
    left, left_weights : numpy.ndarray, shape (n_left,)
        Upper ends of those without a lower.

    Notes
    -----
    With z = steepness y - shift an exact lifetime adds log f(z) + log steepness, an interval the
    logarithm of the probability between its ends, and what is censored that of its one side.
    """

    family: Family
    centre: float
    spread: float
    exact: Floats
    exact_weights: Floats
    exact_constant: float
    start: Floats
    gap: Floats
    between_weights: Floats
    right: Floats
    right_weights: Floats
    left: Floats
    left_weights: Floats

    def at(self, shift: float, steepness: float) -> Hill:
        """Evaluate the log-likelihood.

        Parameters
        ----------
        shift, steepness : float
            Of z = steepness y - shift.

        Returns
        -------
        Hill
            Value and derivatives; nowhere where the steepness is not above 0.
        """
        if not steepness > 0.0:
            return NOWHERE
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            parts = (
                self._of_exact(shift, steepness),
                self._of_between(shift, steepness),
                self._of_right(shift, steepness),
                self._of_left(shift, steepness),
            )
        total = sum(parts, np.zeros(6))
        if not np.isfinite(total).all():
            return NOWHERE
        value, by_shift, by_steepness, twice_shift, both, twice_steepness = total
        return Hill(
            float(value),
            np.array([by_shift, by_steepness]),
            np.array([[twice_shift, both], [both, twice_steepness]]),
        )

    def _of_exact(self, shift: float, steepness: float) -> Floats:
        y, weights, family = self.exact, self.exact_weights, self.family
        if y.size == 0:
            return np.zeros(6)
        z = steepness * y - shift
        total = weights.sum()
        sums = _sums(weights, y, family.log_density(z), family.slope(z), family.bend(z))
        sums[0] += total * np.log(steepness) + self.exact_constant
        sums[2] += total / steepness
        sums[5] -= total / steepness**2
        return sums

    def _of_between(self, shift: float, steepness: float) -> Floats:
        weights, low = self.between_weights, self.start
        if weights.size == 0:
            return np.zeros(6)
        high = low + self.gap
        part = self.family.between(steepness * low - shift, steepness * self.gap)
        lower_end = _sums(weights, low, part.value, part.by_start, part.bend_start)
        upper_end = _sums(weights, high, None, part.by_end, part.bend_end)
        mixed = -weights * part.by_start * part.by_end
        across = np.array(
            [
                *(0.0, 0.0, 0.0, 2.0 * mixed.sum()),
                -_product(mixed, low + high),
                2.0 * _product(mixed, low * high),
            ]
        )
        total: Floats = lower_end + upper_end + across
        return total

    def _of_right(self, shift: float, steepness: float) -> Floats:
        if self.right.size == 0:
            return np.zeros(6)
        z = steepness * self.right - shift
        value = self.family.log_survival(z)
        hazard = np.exp(self.family.log_density(z) - value)
        bend = -hazard * (self.family.slope(z) + hazard)
        return _sums(self.right_weights, self.right, value, -hazard, bend)

    def _of_left(self, shift: float, steepness: float) -> Floats:
        if self.left.size == 0:
            return np.zeros(6)
        z = steepness * self.left - shift
        value = self.family.log_failure(z)
        reversed_hazard = np.exp(self.family.log_density(z) - value)
        bend = reversed_hazard * (self.family.slope(z) - reversed_hazard)
        return _sums(self.left_weights, self.left, value, reversed_hazard, bend)


def _sums(weights: Floats, y: Floats, value: Floats | None, slope: Floats, bend: Floats) -> Floats:
    """Sum value and derivatives by z into those by shift and steepness."""
    weighted_slope, weighted_bend = weights * slope, weights * bend
    bend_y = weighted_bend * y
    return np.array(
        [
            # The value is summed in pairs, which keeps the digits that tell a step from none.
            0.0 if value is None else (weights * value).sum(),
            -weighted_slope.sum(),
            _product(weighted_slope, y),
            weighted_bend.sum(),
            -bend_y.sum(),
            _product(bend_y, y),
        ]
    )


def _product(one: Floats, other: Floats) -> float:
    """Sum the products on this thread: a threaded dot product waits on a busy machine."""
    return float(np.einsum("i,i->", one, other))


def interval_likelihood(seen: Observations, family: Family) -> IntervalLikelihood:
    """Sort lifetimes by kind and put them on an axis of unit spread.

    Parameters
    ----------
    seen : Observations
        The lifetimes.
    family : Family
        The family.

    Returns
    -------
    IntervalLikelihood
        Ready to be evaluated. Lifetimes from 0 to infinity say nothing and are left out.
    """
    with np.errstate(divide="ignore"):
        log_low, log_high = np.log(seen.lower), np.log(seen.upper)
    # Lower ends may be next to nothing, and would stretch the axis out of use.
    ends = np.where(np.isfinite(seen.upper), log_high, log_low)
    ends = ends[np.isfinite(ends)]
    centre = float(ends.mean()) if ends.size else 0.0
    spread = float(ends.std()) if ends.size else 1.0
    spread = spread if spread > 1e-12 * max(1.0, abs(centre)) else 1.0
    two_ended = (seen.lower > 0.0) & np.isfinite(seen.upper)
    # log(upper / lower) of a narrow interval, without taking the difference of two logarithms.
    width = np.zeros_like(seen.lower)
    near = two_ended & (seen.upper < 2.0 * seen.lower)
    width[two_ended] = log_high[two_ended] - log_low[two_ended]
    width[near] = np.log1p((seen.upper[near] - seen.lower[near]) / seen.lower[near])
    exact = two_ended & (width < NARROWEST * spread)
    between = two_ended & ~exact
    right = (seen.lower > 0.0) & ~np.isfinite(seen.upper)
    left = (seen.lower == 0.0) & np.isfinite(seen.upper)
    # Density of an exact time; probability of a narrow interval as density times its width.
    narrow = width[exact]
    addend = np.where(narrow > 0.0, np.log(np.maximum(narrow, 1e-300)), -log_low[exact])
    weights = seen.weights
    return IntervalLikelihood(
        family=family,
        centre=centre,
        spread=spread,
        exact=(log_low[exact] + 0.5 * narrow - centre) / spread,
        exact_weights=weights[exact],
        exact_constant=float(weights[exact] @ (addend - np.log(spread))),
        start=(log_low[between] - centre) / spread,
        gap=width[between] / spread,
        between_weights=weights[between],
        right=(log_low[right] - centre) / spread,
        right_weights=weights[right],
        left=(log_high[left] - centre) / spread,
        left_weights=weights[left],
    )
