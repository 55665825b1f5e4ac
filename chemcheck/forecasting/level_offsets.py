"""Level differences between those who measured, found together with the trends they measured.

Readings of one fleet may come from several laboratories and methods. A constant difference
between two of them looks like a step, or a walk, in every fill that changed from one to the other.
Here each but the first has one offset, with a prior, beside the fills' own starts and rates.
"""

from dataclasses import dataclass, replace

import numpy as np

from chemcheck.forecasting.curves import EXPONENTIAL, STRAIGHT, Curve
from chemcheck.forecasting.fill_posterior import FleetLine
from chemcheck.forecasting.fill_rows import Bools, Floats, Integers
from chemcheck.forecasting.fleet_readings import FleetReadings, ScaledReadings, scale_readings
from chemcheck.forecasting.model_choice import PRICE_OF_CURVE, WALK, find_variances
from chemcheck.forecasting.propagation import Propagated, propagate
from chemcheck.forecasting.restricted_likelihood import (
    RANK_TOLERANCE,
    fill_sums,
    invert_spread,
    line_products,
)
from chemcheck.forecasting.variance_posterior import draw_ways
from chemcheck.forecasting.variance_search import VarianceFit
from chemcheck.forecasting.variances import Variances

# Fills that variances and curve are found from, fewer where readings are intervals.
SOUGHT_FILLS, SOUGHT_FILLS_SPECIAL, SEED = 1_000, 200, 20_260_108
# Rounds in which the variances are found anew, rounds at most, and the last step of an offset, in
# its standard deviations, with which the rounds end.
SEARCHES, MOST_ROUNDS, SETTLED = 2, 12, 0.01
# Readings up to which offsets are averaged over ways that the variances may be.
UNSURE_READINGS = 300


@dataclass(frozen=True, slots=True)
class LevelReadings:
    """Readings of a fleet, and who measured each.

    Parameters
    ----------
    axis : ndarray, shape (n,)
        Axis since the fill.
    fill : ndarray of intp, shape (n,)
        Fill of each reading; every number from 0 to the largest occurs.
    lower, upper : ndarray, shape (n,)
        Ends of each reading; equal where exact. A lower end of 0 below an upper end is 'below'.
    level : ndarray of intp, shape (n,)
        Who measured it, 0 to L; level 0 is the one that the others are brought to.
    gain : ndarray, shape (n,), or None
        By how much an offset of 1 raises a reading. None: offsets are logarithms of factors.
    breaks : ndarray of bool, shape (n,), or None
        As `FleetTrend.fit` takes them.
    """

    axis: Floats
    fill: Integers
    lower: Floats
    upper: Floats
    level: Integers
    gain: Floats | None = None
    breaks: Bools | None = None

    def corrected(self, offset: Floats) -> tuple[Floats, Floats]:
        """Bring readings to level 0; both ends move, and what is only 'below' stays so.

        Parameters
        ----------
        offset : ndarray, shape (L,)
            Of levels 1 to L.

        Examples
        --------
        A reading of 10.5, and a non-detect below 2, by a laboratory that reads 5 % high:

        >>> two = np.zeros(2)
        >>> read = LevelReadings(
        ...     two, two.astype(int), np.array([10.5, 0.0]), np.array([10.5, 2.0]), np.array([1, 1])
        ... )
        >>> [end.round(2).tolist() for end in read.corrected(np.log([1.05]))]
        [[10.0, 0.0], [10.0, 1.9]]
        """
        own = np.append(0.0, offset)[self.level]
        if self.gain is None:
            factor = np.exp(-own)
            return self.lower * factor, self.upper * factor
        below = (self.lower == 0.0) & (self.upper > 0.0)
        lower = np.where(below, 0.0, self.lower - own * self.gain)
        upper = self.upper - own * self.gain
        # A limit of detection does not move to nothing: half of it is left at least.
        return lower, np.where(below, np.maximum(upper, 0.5 * self.upper), upper)

    def draw(self, fills: int) -> Bools:
        """Return the readings of some fills, drawn at random; of all if there are not more."""
        count = int(self.fill.max()) + 1
        chosen = np.zeros(count, dtype=bool)
        most = min(fills, count)
        chosen[np.random.default_rng(SEED).choice(count, most, replace=False)] = True
        return np.asarray(chosen[self.fill])

    def take(self, which: Integers | Bools) -> "LevelReadings":
        """Keep some readings, in the order given; their fills are numbered anew."""
        return LevelReadings(
            self.axis[which],
            np.unique(self.fill[which], return_inverse=True)[1],
            self.lower[which],
            self.upper[which],
            self.level[which],
            None if self.gain is None else self.gain[which],
            None if self.breaks is None else self.breaks[which],
        )


@dataclass(frozen=True, slots=True)
class LevelOffsets:
    """Offsets of levels 1 to L from level 0.

    Parameters
    ----------
    offset : ndarray, shape (L,)
        Logarithms of factors, or in the readings' unit.
    covariance : ndarray, shape (L, L)
        How sure they are.
    curve : str
        Shape of the trends beside which they were found.
    """

    offset: Floats
    covariance: Floats
    curve: str


def level_offsets(
    readings: LevelReadings,
    prior: Floats | None,
    curve: str = "auto",
    errors: str = WALK,
) -> LevelOffsets:
    """Find the offsets of levels together with the trends of the fills.

    Parameters
    ----------
    readings : LevelReadings
        The readings.
    prior : ndarray, shape (L, L), or None
        Covariance of the offsets before anything was read; their mean is nothing. None: any
        offset is as likely as another.
    curve : {"auto", "straight", "exponential"}
        Shape of the trends.
    errors : {"walk", "independent"}
        Errors along a fill.

    Returns
    -------
    LevelOffsets
        The most likely offsets and their covariance.

    Raises
    ------
    NotEnoughDataError
        If the readings tell no rate.

    Notes
    -----
    The model is that of `FleetTrend` with one more coefficient a level, y = X b + D a + Z u +
    walk + error, a normal about nothing with the prior's covariance: generalised least squares
    with a prior on some coefficients [1]_. The variances are those of greatest restricted
    likelihood with a free, so that what an offset explains is taken for no walk. A factor on a
    straight line is not linear in a; D is then the level that the trend has at the reading, and
    rounds of Gauss and Newton go on until no offset moves. What fills without a change of level
    cannot tell stays as the prior has it. Intervals come in as in `FleetTrend`, with the
    precision that their pseudo-readings have: a strip of few steps says little.

    References
    ----------
    .. [1] Robinson, G. K. (1991), That BLUP is a good thing: the estimation of random effects,
       Statistical Science 6, 15-32.

    Examples
    --------
    Two laboratories, the second 10 % above the first, take turns on six units:

    >>> hours, fill = np.tile([0.0, 1.0, 2.0, 3.0], 6), np.repeat(np.arange(6), 4)
    >>> level = np.tile([0, 1, 0, 1, 1, 0, 1, 0], 3)
    >>> wobble = 1.0 + 0.002 * np.tile([1, -1, 0, 1, -1], 5)[:24]
    >>> y = (10.0 + 0.3 * fill - hours) * wobble * np.array([1.0, 1.1])[level]
    >>> found = level_offsets(LevelReadings(hours, fill, y, y, level), np.array([[0.05**2]]))
    >>> np.exp(found.offset).round(2).tolist()
    [1.1]
    """
    ordered = readings.take(np.lexsort((readings.axis, readings.fill)))
    many = int(readings.level.max())
    nothing: Floats = np.zeros((many, many))
    precision = nothing if prior is None else np.asarray(np.linalg.inv(prior))
    special = bool((ordered.lower < ordered.upper).any())
    drawn = ordered.draw(SOUGHT_FILLS_SPECIAL if special else SOUGHT_FILLS)
    part = ordered.take(drawn)
    offset: Floats = np.zeros(many)
    level = _plain_levels(ordered)
    _fleet(ordered, offset, ordered.axis[:, None]).demand_enough()
    own, found = _choose(part, offset, level[drawn], curve, errors)
    for done in range(MOST_ROUNDS):
        if 0 < done < SEARCHES:
            own = _scaled(part, own.curve, offset, level[drawn])
            found = find_variances(own, errors)
        scaled = _scaled(ordered, own.curve, offset, level)
        near = found.rescaled(
            own.scale.reading / scaled.scale.reading, scaled.scale.axis / own.scale.axis
        )
        at = propagate(scaled.rows, scaled.readings, near.variances)
        before = offset
        step, covariance, level = _conditioned(scaled, at, near.variances, precision, before)
        offset = before + step
        small = np.abs(step) <= SETTLED * np.sqrt(np.diag(covariance))
        if done >= SEARCHES - 1 and small.all():
            break
    if errors == WALK and ordered.axis.size <= UNSURE_READINGS:
        ways = draw_ways(scaled.rows, scaled.readings, near, walk=True, wild=False)
        at = propagate(scaled.rows, scaled.readings, ways.variances, ways.sites)
        step, covariance, _ = _conditioned(
            scaled, at, ways.variances, precision, before, ways.weights
        )
        offset = before + step
    return LevelOffsets(offset, covariance, own.curve.name)


def _plain_levels(readings: LevelReadings) -> Floats:
    """Return the mean of each level's readings, where no trend is known yet."""
    middle = np.where(np.isfinite(readings.upper), (readings.lower + readings.upper) / 2, np.nan)
    middle = np.where(np.isnan(middle), readings.lower, middle)
    count = np.bincount(readings.level)
    mean = np.bincount(readings.level, weights=middle) / np.maximum(count, 1)
    return np.asarray(mean[readings.level])


def _scaled(readings: LevelReadings, curve: Curve, offset: Floats, level: Floats) -> ScaledReadings:
    """Bring readings, corrected as far as is known, to the scale of the arithmetic.

    The columns beside the axis are what an offset of 1 more adds to a reading on the curve's scale.
    """
    gain = np.maximum(level, 0.0) if readings.gain is None else readings.gain
    if curve.name == EXPONENTIAL:
        gain = gain / np.maximum(level, np.finfo(float).tiny)
    who = readings.level[:, None] == np.arange(1, offset.size + 1)
    features = np.column_stack((readings.axis, who * gain[:, None]))
    return scale_readings(_fleet(readings, offset, features), curve)


def _fleet(readings: LevelReadings, offset: Floats, features: Floats) -> FleetReadings:
    lower, upper = readings.corrected(offset)
    left_open = np.where((lower == 0.0) & (upper > 0.0), -np.inf, lower)
    return FleetReadings(readings.fill, features, left_open, upper, readings.breaks)


def _choose(
    part: LevelReadings, offset: Floats, level: Floats, curve: str, errors: str
) -> tuple[ScaledReadings, VarianceFit]:
    """Find the variances beside the likelier curve; a straight line unless clearly less likely."""

    def tried(name: str) -> tuple[ScaledReadings, VarianceFit]:
        scaled = _scaled(part, Curve(name), offset, level)
        return scaled, find_variances(scaled, errors)

    if curve != "auto":
        return tried(curve)
    straight = tried(STRAIGHT)
    if not Curve(EXPONENTIAL).suits(part.axis, part.lower, part.upper):
        return straight
    bent = tried(EXPONENTIAL)
    gain = _log_likelihood(*bent) - _log_likelihood(*straight)
    return bent if gain > PRICE_OF_CURVE else straight


def _log_likelihood(scaled: ScaledReadings, found: VarianceFit) -> float:
    return found.full_log_likelihood + scaled.log_stretch


def _conditioned(
    scaled: ScaledReadings,
    at: Propagated,
    variances: Variances,
    precision: Floats,
    offset: Floats,
    weights: Floats | None = None,
) -> tuple[Floats, Floats, Floats]:
    """Return by how much the offsets move, their covariance, and the fills' levels without them."""
    rows, scale = scaled.rows, scaled.scale
    sums, _ = fill_sums(rows, *at.sites.fill_in(scaled.readings, variances.noise), variances.walk)
    shrunk = invert_spread(sums.by_fill[:, :2], variances.factor).times(sums.by_fill)
    inner = line_products(sums, shrunk)
    information, toward = inner[:, :-1, :-1], inner[:, :-1, -1]
    # The prior is on the whole offset, of which some is in the readings and the plain line already.
    turn = scale.width / scale.reading
    known = precision / np.outer(turn, turn)
    information[:, 2:, 2:] += known
    toward[:, 2:] -= known @ (offset * turn + scale.baseline[2:] / scale.reading)
    covariance = np.asarray(np.linalg.pinv(information, rcond=RANK_TOLERANCE, hermitian=True))
    coefficients = np.einsum("kij,kj->ki", covariance, toward)
    design = rows.design.copy()
    design[2:] = (-scale.centre / scale.width)[:, None]
    line = FleetLine(coefficients, covariance)
    path, _ = replace(at.posterior, line=line).path(np.arange(rows.fill.size), design)
    weights = np.ones(1) if weights is None else weights
    mean = np.asarray(weights @ path)
    level, _ = scaled.curve.reading_back(scale.level(design) + scale.reading * mean, 0.0 * mean)
    expected = weights @ coefficients[:, 2:]
    away = coefficients[:, 2:] - expected
    spread = np.einsum("k,kij->ij", weights, covariance[:, 2:, 2:])
    spread += np.einsum("k,ki,kj->ij", weights, away, away)
    step = (scale.baseline[2:] / scale.reading + expected) / turn
    return step, spread / np.outer(turn, turn), level
