"""A fleet's fitted model: its curve, its errors, its variances, every fill given its readings."""

import warnings
from dataclasses import dataclass, replace

import numpy as np

from chemcheck.errors import ConvergenceWarning
from chemcheck.forecasting.curves import Curve
from chemcheck.forecasting.fill_posterior import FillPosterior, FleetLine, fill_posterior
from chemcheck.forecasting.fill_rows import FillRows, Floats, Integers, order_rows
from chemcheck.forecasting.fleet_readings import FleetReadings, ScaledReadings, scale_readings
from chemcheck.forecasting.model_choice import (
    HEAVY,
    INDEPENDENT,
    WALK,
    Candidate,
    choose_model,
    find_variances,
    sample_for_variances,
)
from chemcheck.forecasting.propagation import propagate
from chemcheck.forecasting.reading_scale import ReadingScale
from chemcheck.forecasting.shared_doubts import draw_doubts
from chemcheck.forecasting.variance_posterior import Ways, draw_ways
from chemcheck.forecasting.variance_search import VarianceFit, typical_step
from chemcheck.forecasting.variances import Variances

# Readings up to which the forecast is averaged over ways that the variances may be; up to ten
# times as many where the fills are so few that how they differ stays unsure.
UNSURE_READINGS, UNSURE_READINGS_SPECIAL, FEW_FILLS = 3_000, 1_200, 150
# Where the likelihood does not ask for a walk, a small fleet still gets one unless the chance
# that it takes up this share of the change between samples is below this.
WALK_THAT_MATTERS, RULED_OUT = 0.15, 0.05


@dataclass(frozen=True, slots=True)
class FleetModel:
    """A fleet given its readings, on the scale of the arithmetic.

    Parameters
    ----------
    curve : Curve
        Shape of the trend.
    errors : str
        ``independent``, ``walk`` or ``heavy``.
    scale : ReadingScale
        Scale of axis, covariates and readings.
    rows : FillRows
        Places of the readings.
    origin : float
        Where the walks start on the scaled axis.
    value, precision : numpy.ndarray, shape (k, n)
        Readings, special ones replaced by pseudo-readings, and their inverse variances, in each
        of k ways that the variances and what readings share may be.
    ways : Variances
        Those ways.
    weights : numpy.ndarray, shape (k,)
        Their weights.
    posterior : FillPosterior
        The fills given their readings, in each way.
    variances : Variances
        The most likely variances, one way.
    line : FleetLine
        The fleet's line with these.
    log_likelihood : float
        Restricted log-likelihood in the user's units.
    candidates : tuple of Candidate
        The models that were tried.
    special : bool
        Whether some readings were taken in by pseudo-readings.
    variance_fills : int
        How many fills the variances were found from.
    """

    curve: Curve
    errors: str
    scale: ReadingScale
    rows: FillRows
    origin: float
    value: Floats
    precision: Floats
    ways: Variances
    weights: Floats
    posterior: FillPosterior
    variances: Variances
    line: FleetLine
    log_likelihood: float
    candidates: tuple[Candidate, ...]
    special: bool
    variance_fills: int

    def last_axis(self) -> Floats:
        """Return the axis of each fill's last sample, in the user's unit."""
        return self.curve.axis_back(self.rows.design[1, self.rows.last] * self.scale.axis)

    def rates(self) -> tuple[Floats, Floats]:
        """Return each fill's rate on the curve's scale and its variance, (fills,) each."""
        rate, variance, _ = self.posterior.rates(self.rows.last)
        mean = self.weights @ rate
        spread = self.weights @ (variance + (rate - mean) ** 2)
        size = self.scale.reading / self.scale.axis
        return self.scale.baseline[1] / self.scale.axis + size * mean, size**2 * spread

    def beside(
        self, codes: Integers, features: Floats, *, include_error: bool = True
    ) -> tuple[Floats, Floats]:
        """Return mean and variance of a reading at further places, on the curve's scale, (n,).

        Parameters
        ----------
        codes : numpy.ndarray, shape (n,)
            Fill of each place; -1 for a fill that the fleet has no readings of.
        features : numpy.ndarray, shape (n, k + 1)
            Axis and covariates.
        include_error : bool, default True
            Whether the variance is a reading's, or without its error that of the true value.
        """
        features = features.copy()
        features[:, 0] = self.curve.axis(features[:, 0])
        axis, covariates = self.scale.columns(features)
        # Places of unknown fills each get a fill of their own, without readings.
        known = codes >= 0
        wanted = np.unique(codes[known])
        renumber = np.full(self.rows.starts.size, -1, dtype=np.intp)
        renumber[wanted] = np.arange(wanted.size)
        place = np.empty(codes.size, dtype=np.intp)
        place[known] = renumber[codes[known]]
        place[~known] = wanted.size + np.arange(int((~known).sum()))
        old, old_rows = self.rows.select(wanted)
        rows, order = order_rows(
            np.concatenate((old.fill, place)),
            np.concatenate((old.design[1], axis)),
            np.hstack((old.design[2:], covariates)),
            min(self.origin, float(axis.min())),
            None
            if old.breaks is None
            else np.concatenate((old.breaks, np.zeros(codes.size, dtype=bool))),
        )
        # A place that has a reading, or was asked for twice, is one place.
        is_old = order < old_rows.size
        rows, stand_in = rows.merge_places(is_old)
        value = np.zeros((self.ways.ways, rows.fill.size))
        precision = np.zeros_like(value)
        value[:, stand_in[is_old]] = self.value[:, old_rows[order[is_old]]]
        precision[:, stand_in[is_old]] = self.precision[:, old_rows[order[is_old]]]
        posterior, _ = fill_posterior(rows, value, precision, self.ways, self.posterior.line)
        asked = np.empty(codes.size, dtype=np.intp)
        asked[order[~is_old] - old_rows.size] = stand_in[~is_old]
        design = np.vstack((np.ones_like(axis), axis, covariates))
        means, spreads = posterior.path(asked, design)
        mean = self.weights @ means
        error = self.ways.error_variance()[:, None] if include_error else 0.0
        variance = self.weights @ (spreads + (means - mean) ** 2 + error)
        level = self.scale.level(design)
        return level + self.scale.reading * mean, self.scale.reading**2 * variance


def fit_fleet(fleet: FleetReadings, curve: str, errors: str) -> FleetModel:
    """Fit a fleet's trends.

    Parameters
    ----------
    fleet : FleetReadings
        The readings.
    curve : {"auto", "straight", "exponential", "power", "asymptotic"}
        Shape of the trend.
    errors : {"auto", "independent", "walk", "heavy"}
        Errors along a fill.

    Returns
    -------
    FleetModel
        The fitted fleet.

    Raises
    ------
    NotEnoughDataError
        If the readings cannot tell a rate and its error, or cannot have the curve asked for.
    """
    fleet.demand_enough()
    candidates = choose_model(fleet, curve, errors)
    return fit_candidate(fleet, candidates[0], candidates, auto=errors == "auto")


def fit_candidate(
    fleet: FleetReadings, best: Candidate, candidates: tuple[Candidate, ...], *, auto: bool
) -> FleetModel:
    """Fit the whole fleet as one of the models that were tried on a part of it.

    Parameters
    ----------
    fleet : FleetReadings
        The readings.
    best : Candidate
        The model to fit.
    candidates : tuple of Candidate
        All that were tried.
    auto : bool
        Whether a walk that the readings cannot rule out may come in.

    Returns
    -------
    FleetModel
        The fitted fleet.
    """
    scaled = scale_readings(fleet, best.curve)
    if best.errors == HEAVY:
        scaled = replace(scaled, readings=scaled.readings.all_special())
    found = _whole_fleet_variances(fleet, scaled, best)
    chosen, ways = _ways(scaled, found, best.errors, auto=auto)
    if chosen != best.errors:
        best = next(one for one in candidates if one.errors == WALK and one.curve == best.curve)
        found = _whole_fleet_variances(fleet, scaled, best)
    candidates = (best, *(one for one in candidates if one is not best))
    part = sample_for_variances(fleet, best.errors)
    return condition_fleet(scaled, found.variances, ways, best.errors, candidates, part.fills)


def condition_fleet(
    scaled: ScaledReadings,
    variances: Variances,
    ways: Ways | None = None,
    errors: str = WALK,
    candidates: tuple[Candidate, ...] = (),
    variance_fills: int = 0,
) -> FleetModel:
    """Condition a fleet on its readings, its variances being found already.

    Parameters
    ----------
    scaled : ScaledReadings
        The readings.
    variances : Variances
        The most likely variances, one way, on the scale of the arithmetic.
    ways : Ways, optional
        Ways the variances may be; by default they are as said.
    errors : str
        Name of the errors.
    candidates : tuple of Candidate
        The models that were tried.
    variance_fills : int
        How many fills the variances were found from.

    Returns
    -------
    FleetModel
        The fleet given its readings.
    """
    at_best = propagate(scaled.rows, scaled.readings, variances)
    result, weights, many = at_best, np.ones(1), variances
    if ways is not None:
        many, weights = ways.variances, ways.weights
        result = propagate(scaled.rows, scaled.readings, many, ways.sites)
    if not (result.settled and at_best.settled):
        warnings.warn(
            "intervals or wild readings did not settle; their forecasts are approximate",
            ConvergenceWarning,
            stacklevel=4,
        )
    value, precision = result.sites.fill_in(scaled.readings, many.noise)
    posterior = result.posterior
    if scaled.doubts is not None:
        way, weights, shifts = draw_doubts(scaled.doubts, weights)
        many, value, precision = many.take(way), value[way] + shifts, precision[way]
        posterior, _ = fill_posterior(scaled.rows, value, precision, many)
    size = np.log(scaled.scale.reading) * at_best.fit.coefficients.shape[1]
    size += np.linalg.slogdet(scaled.scale.unscale())[1]
    return FleetModel(
        curve=scaled.curve,
        errors=errors,
        scale=scaled.scale,
        rows=scaled.rows,
        origin=scaled.origin,
        value=value,
        precision=precision,
        ways=many,
        weights=weights,
        posterior=posterior,
        variances=variances,
        line=at_best.posterior.line,
        log_likelihood=float(at_best.log_likelihood[0] + scaled.log_stretch + size),
        candidates=candidates,
        special=scaled.readings.special.size > 0,
        variance_fills=variance_fills,
    )


def _whole_fleet_variances(
    fleet: FleetReadings, scaled: ScaledReadings, best: Candidate
) -> VarianceFit:
    """Find the variances from all fills, or from a part of a very large fleet."""
    part = sample_for_variances(fleet, best.errors)
    # A part has a scale of its own.
    own = scaled if part is fleet else scale_readings(part, best.curve)
    found = best.fit if best.fills == part.fills else find_variances(own, best.errors)
    return found.rescaled(
        own.scale.reading / scaled.scale.reading, scaled.scale.axis / own.scale.axis
    )


def _ways(
    scaled: ScaledReadings, found: VarianceFit, errors: str, *, auto: bool
) -> tuple[str, Ways | None]:
    """Draw the ways the variances may be; a walk that cannot be ruled out comes in here."""
    rows, readings = scaled.rows, scaled.readings
    limit = UNSURE_READINGS_SPECIAL if readings.special.size else UNSURE_READINGS
    if 1 < rows.starts.size < FEW_FILLS:
        limit *= 10
    if readings.value.size > limit:
        return errors, None
    if errors == INDEPENDENT and auto:
        ways = draw_ways(rows, readings, found, walk=True, wild=False)
        step = typical_step(rows) * ways.variances.walk
        share = step / (step + ways.variances.noise)
        if ways.weights @ (share > WALK_THAT_MATTERS) > RULED_OUT:
            return WALK, ways
    walk, wild = errors != INDEPENDENT, errors == HEAVY
    return errors, draw_ways(rows, readings, found, walk=walk, wild=wild)
