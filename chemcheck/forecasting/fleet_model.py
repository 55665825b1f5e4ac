"""A fleet's fitted model: which errors, which variances, and every fill given its readings."""

import warnings
from dataclasses import dataclass

import numpy as np

from chemcheck.errors import ConvergenceWarning, NotEnoughDataError
from chemcheck.forecasting.fill_posterior import FillPosterior, fill_posterior
from chemcheck.forecasting.fill_rows import FillRows, Floats, Integers, order_rows
from chemcheck.forecasting.interval_sites import (
    Readings,
    first_sites,
    propagate,
    search_interval_variances,
)
from chemcheck.forecasting.reading_scale import ReadingScale, choose_scale
from chemcheck.forecasting.variance_search import VarianceFit, Variances, search_variances

# Fills that the variances are found from; more would not change a digit that anybody reads.
VARIANCE_FILLS = 20_000
SUBSAMPLE_SEED = 20_260_101
# A walk is kept if it raises twice the log-likelihood by more than this (Akaike's price of one
# parameter): leaving a true walk out costs more than keeping a small one that is not there.
PRICE_OF_WALK = 2.0
# An error finer than this share of the intervals cannot be told from none.
FINEST_ERROR = 0.02


@dataclass(frozen=True, slots=True)
class FleetModel:
    """A fleet given its readings, on the scale of the arithmetic.

    Parameters
    ----------
    scale : ReadingScale
        Scale of axis, covariates and readings.
    rows : FillRows
        Places of the readings.
    value, precision : numpy.ndarray, shape (n,)
        Readings, intervals replaced by pseudo-readings, and their inverse variances.
    variances : Variances
        The fleet's variances.
    posterior : FillPosterior
        The fills given their readings.
    errors : str
        ``independent`` or ``walk``.
    log_likelihood : float
        Restricted log-likelihood in the user's units.
    origin : float
        Where the walks start on the scaled axis.
    """

    scale: ReadingScale
    rows: FillRows
    value: Floats
    precision: Floats
    variances: Variances
    posterior: FillPosterior
    errors: str
    log_likelihood: float
    origin: float

    def beside(self, codes: Integers, features: Floats) -> tuple[Floats, Floats]:
        """Return mean and variance of the true value at further places, shape (n,).

        Parameters
        ----------
        codes : numpy.ndarray, shape (n,)
            Fill of each place; -1 for a fill that the fleet has no readings of.
        features : numpy.ndarray, shape (n, k + 1)
            Axis and covariates.
        """
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
        )
        nothing = np.zeros(codes.size)
        value = np.concatenate((self.value[old_rows], nothing))[order]
        precision = np.concatenate((self.precision[old_rows], nothing))[order]
        line = self.posterior.line
        posterior, _ = fill_posterior(rows, value, precision, self.variances, line)
        back = np.empty(order.size, dtype=np.intp)
        back[order] = np.arange(order.size)
        mean, variance = posterior.path(back[old_rows.size :])
        level = self.scale.level(rows.design[:, back[old_rows.size :]])
        return level + self.scale.reading * mean, self.scale.reading**2 * variance


def fit_fleet(
    codes: Integers, features: Floats, lower: Floats, upper: Floats, errors: str
) -> FleetModel:
    """Fit a fleet's trends.

    Parameters
    ----------
    codes : numpy.ndarray, shape (n,)
        Fill of each reading.
    features : numpy.ndarray, shape (n, k + 1)
        Axis since the fill, covariates.
    lower, upper : numpy.ndarray, shape (n,)
        Ends of each reading; infinite ends allowed.
    errors : {"auto", "independent", "walk"}
        Errors along a fill.

    Returns
    -------
    FleetModel
        The fitted fleet.

    Raises
    ------
    NotEnoughDataError
        If the readings cannot tell a rate and its error.
    """
    told = np.isfinite(lower) | np.isfinite(upper)
    _demand_enough(features[told], lower[told], upper[told])
    middle = _middles(lower, upper)
    scale = choose_scale(features[told], middle[told])
    axis, covariates = scale.columns(features)
    origin = min(0.0, float(axis.min()))
    rows, order = order_rows(codes, axis, covariates, origin)
    level = scale.level(rows.design)
    low, high = (lower[order] - level) / scale.reading, (upper[order] - level) / scale.reading
    intervals = np.flatnonzero((low < high) & told[order])
    value = np.where(told[order], (middle[order] - level) / scale.reading, 0.0)
    readings = Readings(
        value, told[order].astype(float), low[intervals], high[intervals], intervals
    )
    found, chosen = _choose_variances(rows, readings, errors)
    result = propagate(rows, readings, found.variances, first_sites(readings, found.variances))
    if not result.settled:
        warnings.warn(
            "the interval readings did not settle; their forecasts are approximate",
            ConvergenceWarning,
            stacklevel=3,
        )
    value, precision = result.sites.fill_in(readings, found.variances.noise)
    densities = int(told.sum()) - intervals.size - result.posterior.line.coefficients.size
    log_likelihood = (
        result.log_likelihood
        - densities * np.log(scale.reading)
        + np.linalg.slogdet(scale.unscale())[1]
    )
    return FleetModel(
        scale,
        rows,
        value,
        precision,
        found.variances,
        result.posterior,
        chosen,
        float(log_likelihood),
        origin,
    )


def _choose_variances(rows: FillRows, readings: Readings, errors: str) -> tuple[VarianceFit, str]:
    """Find the variances, from a part of a very large fleet, and decide on the errors."""
    if rows.starts.size > VARIANCE_FILLS:
        random = np.random.default_rng(SUBSAMPLE_SEED)
        some = np.sort(random.choice(rows.starts.size, VARIANCE_FILLS, replace=False))
        rows, kept = rows.select(some)
        readings = readings.select(kept)
    candidates = ("independent", "walk") if errors == "auto" else (errors,)
    fits = {name: _find_variances(rows, readings, walk=name == "walk") for name in candidates}
    if errors != "auto":
        return fits[errors], errors
    gain = 2.0 * (fits["walk"].log_likelihood - fits["independent"].log_likelihood)
    chosen = "walk" if gain > PRICE_OF_WALK else "independent"
    return fits[chosen], chosen


def _find_variances(rows: FillRows, readings: Readings, *, walk: bool) -> VarianceFit:
    fit = search_variances(rows, readings.value, readings.counted, walk=walk)
    if readings.intervals.size == 0:
        return fit
    width = (readings.upper - readings.lower)[np.isfinite(readings.upper - readings.lower)]
    exact = int(readings.counted.sum()) - readings.intervals.size
    finest = 1e-8 if exact > width.size or not width.size else FINEST_ERROR * np.median(width)
    return search_interval_variances(
        rows, readings, fit.variances, walk=walk, least_noise=max(float(finest) ** 2, 1e-12)
    )


def _middles(lower: Floats, upper: Floats) -> Floats:
    """Middle of each reading, or its finite end."""
    with np.errstate(invalid="ignore"):
        middle = 0.5 * (lower + upper)
    middle = np.where(np.isneginf(lower), upper, middle)
    return np.where(np.isposinf(upper), lower, middle)


def _demand_enough(features: Floats, lower: Floats, upper: Floats) -> None:
    """Refuse readings that cannot tell a rate and its error."""
    if lower.size < 3:
        message = f"a trend needs 3 readings that say something; found {lower.size}"
        raise NotEnoughDataError(message)
    if np.ptp(features[:, 0]) == 0.0:
        message = (
            f"all {lower.size} readings lie at one point of the axis ({features[0, 0]:g}); "
            "a rate needs two"
        )
        raise NotEnoughDataError(message)
    if np.max(lower) < np.min(upper):
        message = (
            f"all {lower.size} readings are intervals that share a value, such as non-detects "
            "alone; they tell no rate"
        )
        raise NotEnoughDataError(message)
