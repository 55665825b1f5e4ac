"""Level differences between those who measured, found together with the trends they measured.

Readings of one fleet may come from several laboratories and methods. A constant difference
between two of them looks like a step, or a walk, in every fill that changed from one to the other.
Here each but the first has one offset, with a prior, beside the fills' own starts and rates.
"""

from dataclasses import dataclass

import numpy as np

from chemcheck.errors import NotEnoughDataError
from chemcheck.forecasting.curves import EXPONENTIAL, STRAIGHT, Curve
from chemcheck.forecasting.fill_posterior import FleetLine, fill_posterior
from chemcheck.forecasting.fill_rows import Floats
from chemcheck.forecasting.fleet_readings import FleetReadings, ScaledReadings, scale_readings
from chemcheck.forecasting.level_readings import LevelReadings
from chemcheck.forecasting.model_choice import PRICE_OF_CURVE, WALK, find_variances
from chemcheck.forecasting.propagation import Sites, propagate
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
SOUGHT_FILLS, SOUGHT_FILLS_SPECIAL = 1_000, 200
# Rounds in which the variances are found anew, more where readings are intervals; rounds at most;
# the last step of an offset, in its standard deviations, with which the rounds end.
SEARCHES, SEARCHES_SPECIAL, MOST_ROUNDS, SETTLED = 2, 4, 12, 0.01
# Readings beyond those that a line and the offsets take to find.
LEAST_FREEDOM = 3
# Readings up to which offsets are averaged over ways that the variances may be.
UNSURE_READINGS = 300


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
        If the readings tell no rate, or hardly more than a line and the offsets take.

    Notes
    -----
    The model is that of `FleetTrend` with one more coefficient a level, y = X b + D a + Z u +
    walk + error, a normal about nothing with the prior's covariance: generalised least squares
    with a prior on some coefficients [1]_. The variances are those of greatest restricted
    likelihood with a free, so that what an offset explains is taken for no walk. A factor on a
    straight line is not linear in a; D is then the level that the trend has at the reading, and
    rounds of Gauss and Newton go on until no offset moves. What fills without a change of level
    cannot tell stays as the prior has it.

    Intervals come in with the pseudo-readings that they have where the offsets are as found so
    far, renewed from round to round; variances are then found at the offsets so far, too. That is
    an approximation: how unsure an offset is does not widen what a pad or non-detect says. A strip
    of few steps, or non-detects far above the coolant, say little by it.

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
    searches = SEARCHES_SPECIAL if special else SEARCHES
    offset: Floats = np.zeros(many)
    level = _plain_levels(ordered)
    _demand_enough(ordered, offset)
    own, found = _choose(part, offset, level[drawn], curve, errors)
    for done in range(MOST_ROUNDS):
        if 0 < done < searches:
            own = _scaled(part, own.curve, offset, level[drawn], free=not special)
            found = find_variances(own, errors, near=found)
        scaled = _scaled(ordered, own.curve, offset, level, free=True)
        # Intervals under an offset that nothing bounds have no most likely place.
        base = _scaled(ordered, own.curve, offset, level, free=False) if special else scaled
        near = found.rescaled(own.scale.reading / base.scale.reading, _axes(own, base))
        sites = propagate(base.rows, base.readings, near.variances).sites
        given = _Given.on(scaled, base, near.variances, sites)
        before = offset
        step, covariance, level = _conditioned(scaled, given, precision, before)
        offset = before + step
        small = np.abs(step) <= SETTLED * np.sqrt(np.diag(covariance))
        if done >= searches - 1 and small.all():
            break
    if errors == WALK and ordered.axis.size <= UNSURE_READINGS:
        ways = draw_ways(base.rows, base.readings, near, walk=True, wild=False)
        given = _Given.on(scaled, base, ways.variances, ways.sites)
        step, covariance, _ = _conditioned(scaled, given, precision, before, ways.weights)
        offset = before + step
    return LevelOffsets(offset, covariance, own.curve.name)


@dataclass(frozen=True, slots=True)
class _Given:
    """Readings, their precisions and the variances, in k ways, on the scale with the offsets."""

    value: Floats
    precision: Floats
    variances: Variances

    @classmethod
    def on(
        cls, scaled: ScaledReadings, base: ScaledReadings, variances: Variances, sites: Sites
    ) -> "_Given":
        """Bring what was found on a scale without offsets to that with them."""
        value, precision = sites.fill_in(base.readings, variances.noise)
        if base is scaled:
            return cls(value, precision, variances)
        ratio = base.scale.reading / scaled.scale.reading
        levels = [one.scale.level(one.rows.design) for one in (base, scaled)]
        value = ratio * value + (levels[0] - levels[1]) / scaled.scale.reading
        moved = variances.rescaled(ratio, _axes(base, scaled))
        return cls(value, precision / ratio**2, moved)


def _axes(one: ScaledReadings, other: ScaledReadings) -> float:
    return other.scale.axis / one.scale.axis


def _demand_enough(readings: LevelReadings, offset: Floats) -> None:
    """Refuse readings that a line and the offsets would leave no error to."""
    fleet = _fleet(readings, offset, readings.axis[:, None])
    fleet.demand_enough()
    least, count = offset.size + 2 + LEAST_FREEDOM, int(fleet.told.sum())
    if count < least:
        message = (
            f"{offset.size + 1} methods and laboratories beside a trend need {least} readings that "
            f"say something; found {count}"
        )
        raise NotEnoughDataError(message)


def _plain_levels(readings: LevelReadings) -> Floats:
    """Return the mean of each level's readings, where no trend is known yet."""
    middle = np.where(np.isfinite(readings.upper), (readings.lower + readings.upper) / 2, np.nan)
    middle = np.where(np.isnan(middle), readings.lower, middle)
    count = np.bincount(readings.level)
    mean = np.bincount(readings.level, weights=middle) / np.maximum(count, 1)
    return np.asarray(mean[readings.level])


def _scaled(
    readings: LevelReadings, curve: Curve, offset: Floats, level: Floats, *, free: bool
) -> ScaledReadings:
    """Bring readings, corrected as far as is known, to the scale of the arithmetic.

    Where offsets are free, the columns beside the axis are what one of 1 more adds to a reading on
    the curve's scale.
    """
    if not free:
        return scale_readings(_fleet(readings, offset, readings.axis[:, None]), curve)
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
        scaled = _scaled(part, Curve(name), offset, level, free=free)
        return scaled, find_variances(scaled, errors)

    free = not (part.lower < part.upper).any()
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
    given: _Given,
    precision: Floats,
    offset: Floats,
    weights: Floats | None = None,
) -> tuple[Floats, Floats, Floats]:
    """Return by how much the offsets move, their covariance, and the fills' levels without them."""
    rows, scale, variances = scaled.rows, scaled.scale, given.variances
    sums, _ = fill_sums(rows, given.value, given.precision, variances.walk)
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
    posterior, _ = fill_posterior(rows, given.value, given.precision, variances, line)
    path, _ = posterior.path(np.arange(rows.fill.size), design)
    weights = np.ones(1) if weights is None else weights
    mean = np.asarray(weights @ path)
    level, _ = scaled.curve.reading_back(scale.level(design) + scale.reading * mean, 0.0 * mean)
    expected = weights @ coefficients[:, 2:]
    away = coefficients[:, 2:] - expected
    spread = np.einsum("k,kij->ij", weights, covariance[:, 2:, 2:])
    spread += np.einsum("k,ki,kj->ij", weights, away, away)
    step = (scale.baseline[2:] / scale.reading + expected) / turn
    return step, spread / np.outer(turn, turn), level
