"""Which curve and which errors: by likelihood, and by how the last readings were foreseen."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import minimize_scalar

from chemcheck.errors import NotEnoughDataError
from chemcheck.forecasting.curve_evidence import likelihood_along_fills
from chemcheck.forecasting.curves import EXPONENTIAL, POWER, SHAPES, STRAIGHT, Curve
from chemcheck.forecasting.fill_rows import Floats
from chemcheck.forecasting.fleet_readings import FleetReadings, ScaledReadings, scale_readings
from chemcheck.forecasting.propagation import propagate
from chemcheck.forecasting.reading_evidence import reading_evidence
from chemcheck.forecasting.restricted_likelihood import fill_sums, restricted_fit
from chemcheck.forecasting.special_search import search_special_variances
from chemcheck.forecasting.variance_search import (
    WALK_SHARES,
    VarianceFit,
    search_variances,
    typical_step,
)
from chemcheck.forecasting.variances import WILD_FACTOR, Variances

INDEPENDENT, WALK, HEAVY = "independent", "walk", "heavy"
# Fills that the variances are found from; more would not change a digit that anybody reads.
VARIANCE_FILLS, VARIANCE_FILLS_SPECIAL = 20_000, 2_000
# Fills that the choice is made on; the variances are then found from more.
CHOICE_FILLS = 1_000
CHOICE_FILLS_SPECIAL, SHAPE_FILLS_SPECIAL, WILD_FILLS = 300, 60, 200
CHOICE_SEED, SUBSAMPLE_SEED = 20_260_103, 20_260_101
# Rises of the log-likelihood that a choice must bring. A walk's is Akaike's price of a parameter.
# A curve's is dearer: a line that is wrong a little forecasts better than a curve that is wrong.
PRICE_OF_WALK = 1.0
PRICE_OF_WILD = 3.0
PRICE_OF_CURVE = 3.0
PRICE_OF_SHAPE = 2.0
# Score of a bend in the fleet's line, in standard deviations, from which other shapes are tried.
BEND_WORTH_A_LOOK = 2.0
# Rise of the log-likelihood by wild readings alone, from which they are looked for.
WILD_WORTH_A_LOOK = 1.5
# Readings, three of them of one fill, with which a likelihood may tell one shape from another.
LEAST_TO_BEND = 8
# How closely the logarithm of a shape is found; intervals tell it less well and cost more.
SHAPE_TOLERANCE, SHAPE_TOLERANCE_SPECIAL = 0.01, 0.05
# An error finer than this share of the intervals cannot be told from none.
FINEST_ERROR = 0.02


@dataclass(frozen=True, slots=True)
class Candidate:
    """A model that was tried.

    Parameters
    ----------
    curve : Curve
        Its curve.
    errors : str
        Its errors.
    fills : int
        How many fills it was tried on.
    log_likelihood : float
        Log-likelihood in the user's units, comparable between candidates of the same fills.
    median_absolute_error : float
        Of the last reading of each fill, foreseen from those before [reading]; NaN where no
        fill has enough readings.
    coverage_80 : float
        Share of those last readings within their 80 % band.
    foreseen : int
        How many they are.
    fit : VarianceFit
        Its variances, on the scale of the readings it was tried on.
    for_curve : float
        Log-likelihood by which its curve is held against others.
    """

    curve: Curve
    errors: str
    fills: int
    log_likelihood: float
    median_absolute_error: float
    coverage_80: float
    foreseen: int
    fit: VarianceFit
    for_curve: float


def choose_model(fleet: FleetReadings, curve: str, errors: str) -> tuple[Candidate, ...]:
    """Try curves and errors on a part of the fleet.

    Parameters
    ----------
    fleet : FleetReadings
        All readings.
    curve : str
        A curve's name, or ``auto``.
    errors : str
        Kind of errors, or ``auto``.

    Returns
    -------
    tuple of Candidate
        What was tried, the choice first.

    Raises
    ------
    NotEnoughDataError
        If the readings cannot have the curve that was asked for.
    """
    part = _part_to_try_on(fleet, curve, errors)
    # Curves are compared with a walk: without one a few bent paths pass for a bent fleet.
    usual = WALK if errors == "auto" else errors
    tried = _curves(part, curve, usual)
    best = tried[0]
    if errors == "auto":
        scaled = scale_readings(part, best.curve)
        plain = _try(scaled, INDEPENDENT, part)
        tried.append(plain)
        chosen = _walk_or_not(best, plain)
        if _wild_gain(scaled, best.fit.variances) > WILD_WORTH_A_LOOK:
            few = part.sample(WILD_FILLS, CHOICE_SEED)
            scaled = scale_readings(few, best.curve)
            base = best if few is part else _try(scaled, WALK, few)
            wild = _try(scaled, HEAVY, few)
            tried += [wild] if few is part else [wild, base]
            if wild.log_likelihood > base.log_likelihood + PRICE_OF_WILD:
                chosen = wild
        best = chosen
    return (best, *(other for other in tried if other is not best))


def sample_for_variances(fleet: FleetReadings, errors: str) -> FleetReadings:
    """Return the fills that the variances are found from: all, unless the fleet is very large."""
    special = is_special(fleet, errors)
    return fleet.sample(VARIANCE_FILLS_SPECIAL if special else VARIANCE_FILLS, SUBSAMPLE_SEED)


def _part_to_try_on(fleet: FleetReadings, curve: str, errors: str) -> FleetReadings:
    if curve in (STRAIGHT, EXPONENTIAL) and errors != "auto":
        return sample_for_variances(fleet, errors)
    special = is_special(fleet, errors)
    return fleet.sample(CHOICE_FILLS_SPECIAL if special else CHOICE_FILLS, CHOICE_SEED)


def is_special(fleet: FleetReadings, errors: str) -> bool:
    """Whether readings need pseudo-readings, which cost far more than plain ones."""
    return errors == HEAVY or bool(np.any(fleet.lower < fleet.upper))


def find_variances(
    scaled: ScaledReadings,
    errors: str,
    shares: tuple[float, ...] = WALK_SHARES,
    near: VarianceFit | None = None,
) -> VarianceFit:
    """Find a fleet's variances with given errors.

    Parameters
    ----------
    scaled : ScaledReadings
        The readings.
    errors : {"independent", "walk", "heavy"}
        Errors along a fill.
    shares : tuple of float
        Shares of the walk to profile for exact readings; see `search_variances`.
    near : VarianceFit, optional
        Variances known to be near, where intervals or wild readings make the search a long one.

    Returns
    -------
    VarianceFit
        The most likely variances.
    """
    rows, readings = scaled.rows, scaled.readings
    walk, wild = errors != INDEPENDENT, errors == HEAVY
    special = readings.special.size > 0 or wild
    # Special readings have a search of their own for the walk: it only wants a place to start.
    if special and near is not None:
        fit = near
    else:
        fit = search_variances(
            rows, readings.value, readings.counted, walk=walk and not special, shares=shares
        )
    if not special:
        return fit
    width = (readings.upper - readings.lower)[np.isfinite(readings.upper - readings.lower)]
    exact = int(readings.counted.sum()) - readings.special.size
    coarse = width.size > exact
    least = FINEST_ERROR * float(np.median(width)) if coarse else 1e-3
    if wild:
        readings = readings.all_special()
    return search_special_variances(
        rows, readings, fit, walk=walk, wild=wild, least_noise=max(least**2, 1e-6), near=near
    )


def _curves(part: FleetReadings, curve: str, errors: str) -> list[Candidate]:
    """Try one curve, or all that suit; the choice comes first."""
    if curve != "auto":
        _demand(part, Curve(curve))
        return [_try_curve(part, curve, errors)]
    straight = scale_readings(part, Curve(STRAIGHT))
    tried = [_try(straight, errors, part)]
    if not _can_show_a_bend(part):
        # So few readings lie on any curve: the other one is as likely, whatever they seem to say.
        other = Curve(EXPONENTIAL)
        if _suits(part, other):
            tried.append(
                replace(_try_curve(part, EXPONENTIAL, errors), for_curve=tried[0].for_curve)
            )
        return tried
    names = [EXPONENTIAL]
    if _bend(straight, tried[0].fit.variances) > BEND_WORTH_A_LOOK:
        names += SHAPES
    tried += [_try_curve(part, name, errors) for name in names if _suits(part, Curve(name))]
    tried = _along_fills(part, tried)
    plain = tried[0]
    allowed = [plain, *(other for other in tried[1:] if _earns_its_place(other, plain))]
    best = max(allowed, key=lambda one: one.for_curve - _price(one))
    return [best, *(other for other in tried if other is not best)]


def _along_fills(part: FleetReadings, tried: list[Candidate]) -> list[Candidate]:
    """Hold curves against each other by how fills went on, where that can be told apart."""
    if len(tried) == 1:
        return tried
    found = [likelihood_along_fills(part, one.curve, one.fit.variances) for one in tried]
    if not np.isfinite(found).all():
        return tried
    return [replace(one, for_curve=value) for one, value in zip(tried, found, strict=True)]


def _can_show_a_bend(part: FleetReadings) -> bool:
    """Whether a likelihood can tell shapes apart: few readings may lie on any curve exactly."""
    told = part.codes[part.told]
    return bool(told.size >= LEAST_TO_BEND and np.bincount(told).max() >= 3)


def _price(one: Candidate) -> float:
    if one.curve.name == STRAIGHT:
        return 0.0
    return PRICE_OF_CURVE + (PRICE_OF_SHAPE if one.curve.name in SHAPES else 0.0)


def _earns_its_place(other: Candidate, plain: Candidate) -> bool:
    """Whether a curve foresees the last readings no worse than the straight line.

    Of few readings a median errs by about one over the root of their number.
    """
    leeway = 1.02 + 1.0 / np.sqrt(max(plain.foreseen, 1))
    worse = other.median_absolute_error > leeway * plain.median_absolute_error
    return not worse


def _walk_or_not(walk: Candidate, plain: Candidate) -> Candidate:
    if walk.log_likelihood > plain.log_likelihood + PRICE_OF_WALK:
        return walk
    # A band that has failed on the last readings is not chosen for its simplicity.
    least = 0.8 - 2.0 * np.sqrt(0.16 / max(plain.foreseen, 1))
    return walk if plain.coverage_80 < least else plain


def _suits(part: FleetReadings, curve: Curve) -> bool:
    told = part.told
    return curve.suits(part.features[told, 0], part.lower[told], part.upper[told])


def _demand(part: FleetReadings, curve: Curve) -> None:
    if not _suits(part, curve):
        needs = "readings above 0" if curve.name == EXPONENTIAL else "an axis from 0 upwards"
        message = f"curve {curve.name!r} needs {needs}; use 'straight' or 'auto'"
        raise NotEnoughDataError(message)


def _try(scaled: ScaledReadings, errors: str, part: FleetReadings) -> Candidate:
    fit = find_variances(scaled, errors)
    log_likelihood = fit.full_log_likelihood + scaled.log_stretch
    foreseen = _last_readings(scaled, fit.variances)
    return Candidate(
        scaled.curve, errors, part.fills, log_likelihood, *foreseen, fit, log_likelihood
    )


def _try_curve(part: FleetReadings, name: str, errors: str) -> Candidate:
    """Try a curve, its shape found by likelihood with the walk's share held at the line's."""
    if name not in SHAPES:
        return _try(scale_readings(part, Curve(name)), errors, part)
    few = part.sample(SHAPE_FILLS_SPECIAL, CHOICE_SEED) if is_special(part, errors) else part
    line = scale_readings(few, Curve(STRAIGHT))
    first = search_variances(
        line.rows, line.readings.value, line.readings.counted, walk=errors != INDEPENDENT
    )
    wander = float(first.variances.walk[0]) * typical_step(line.rows)
    share = wander / (wander + float(first.variances.noise[0]))
    unit = 1.0 if name == POWER else line.scale.axis

    def curve(log_shape: float) -> Curve:
        return Curve(name, float(np.exp(log_shape)) / unit)

    near: VarianceFit | None = None

    def loss(log_shape: float) -> float:
        nonlocal near
        scaled = scale_readings(few, curve(log_shape))
        near = find_variances(scaled, errors, (share,), near)
        return -near.full_log_likelihood - scaled.log_stretch

    close = SHAPE_TOLERANCE_SPECIAL if is_special(part, errors) else SHAPE_TOLERANCE
    found = minimize_scalar(
        loss, bounds=np.log(SHAPES[name]), method="bounded", options={"xatol": close}
    )
    return _try(scale_readings(part, curve(float(found.x))), errors, part)


def _bend(scaled: ScaledReadings, variances: Variances) -> float:
    """Score of x log x beside the straight line: how a power near 1 would bend it."""
    x = scaled.rows.design[1]
    bend = x * np.log(np.maximum(x, 1e-12))
    rows = replace(scaled.rows, design=np.vstack((scaled.rows.design, bend)))
    at = propagate(scaled.rows, scaled.readings, variances)
    value, precision = at.sites.fill_in(scaled.readings, variances.noise)
    sums, _ = fill_sums(rows, value, precision, variances.walk)
    fit, _, _ = restricted_fit(sums, variances.factor, absolute=True)
    variance = max(float(fit.covariance[0, -1, -1]), 1e-300)
    return abs(float(fit.coefficients[0, -1])) / float(np.sqrt(variance))


def _wild_gain(scaled: ScaledReadings, variances: Variances) -> float:
    """Rise of the log-likelihood if a share of the readings is wild, all else held."""
    readings = scaled.readings.all_special()
    at = propagate(scaled.rows, readings, variances)
    none, noise = np.zeros(1), variances.noise
    ends = (readings.lower, readings.upper, at.centre, at.without)
    usual = reading_evidence(*ends, noise, none).log_probability
    wider = reading_evidence(*ends, WILD_FACTOR**2 * noise, none).log_probability
    more = np.expm1(np.minimum(wider - usual, 50.0))
    return max(float(np.log1p(share * more).sum()) for share in np.geomspace(3e-4, 0.2, 12))


def _last_readings(scaled: ScaledReadings, variances: Variances) -> tuple[float, float, int]:
    """Foresee the last exact reading of each fill from at least two before it."""
    rows, readings = scaled.rows, scaled.readings
    exact = readings.counted > 0.0
    exact[readings.special] = False
    foreseeable = exact if rows.breaks is None else exact & ~rows.breaks
    last = rows.last[(rows.last - rows.starts >= 2) & foreseeable[rows.last]]
    if last.size == 0:
        return float("nan"), float("nan"), 0
    counted = readings.counted.copy()
    counted[last] = 0.0
    held = replace(readings, counted=counted)
    if variances.wild.any():
        held = held.all_special()
    at = propagate(rows, held, variances)
    mean, variance = (part[0] for part in at.posterior.path(last))
    away = readings.value[last] - mean
    coverage = float(np.mean(np.abs(away) <= 1.2816 * np.sqrt(variance + variances.noise[0])))
    level, size = scaled.scale.level(rows.design[:, last]), scaled.scale.reading
    foreseen, read = (
        scaled.curve.reading_back(level + size * part, np.zeros_like(mean))[0]
        for part in (mean, readings.value[last])
    )
    return float(np.median(np.abs(read - foreseen))), coverage, last.size


def as_rows(candidates: tuple[Candidate, ...]) -> dict[str, list[object] | Floats]:
    """Lay candidates out as the columns of a table."""
    return {
        "curve": [one.curve.name for one in candidates],
        "shape": [one.curve.shape if one.curve.name in SHAPES else np.nan for one in candidates],
        "errors": [one.errors for one in candidates],
        "fills": [one.fills for one in candidates],
        "log_likelihood": [one.log_likelihood for one in candidates],
        "median_absolute_error": [one.median_absolute_error for one in candidates],
        "coverage_80": [one.coverage_80 for one in candidates],
    }
