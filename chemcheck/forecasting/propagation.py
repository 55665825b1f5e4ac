"""Readings that are not plain normal, in a normal model: each becomes one of equal effect.

A non-detect or a strip's step says that the reading lay in an interval; a wild reading says
less than it seems. Expectation propagation finds for each of them the normal pseudo-reading
which, with the others in place, gives the true value the same mean and variance as the reading
does. The pseudo-readings then go through the same sums as plain ones.
"""

from dataclasses import dataclass, replace

import numpy as np

from chemcheck.forecasting.fill_posterior import FillPosterior, fill_posterior
from chemcheck.forecasting.fill_rows import FillRows, Floats, Integers
from chemcheck.forecasting.reading_evidence import Evidence, reading_evidence
from chemcheck.forecasting.restricted_likelihood import (
    LOG_2PI,
    RestrictedFit,
    fill_sums,
    restricted_fit,
)
from chemcheck.forecasting.variances import Variances

SWEEPS = 80
# Sweeps end when no expected value moves by more than this share of its standard deviation; the
# second is close enough for a forecast, if all but this share of them keep to it. The likelihood
# does not change with the pseudo-readings near where they settle.
SETTLED, CLOSE_ENOUGH, STRAGGLERS = 1e-5, 1e-2, 1e-3
# The weakest pseudo-reading, relative to what is known without it: nothing, but not zero.
WEAKEST = 1e-9


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings, and which of them are not plain normal ones.

    Parameters
    ----------
    value : numpy.ndarray, shape (n,)
        The reading; for an interval any number near it.
    counted : numpy.ndarray, shape (n,)
        1, or 0 for a place without a reading.
    lower, upper : numpy.ndarray, shape (m,)
        Ends of the readings in `special`; equal where exact.
    special : numpy.ndarray, shape (m,)
        Rows that need a pseudo-reading: intervals, and all where some readings are wild.
    """

    value: Floats
    counted: Floats
    lower: Floats
    upper: Floats
    special: Integers

    def select(self, rows: Integers) -> "Readings":
        """Keep some rows, in the order given."""
        place = np.full(self.value.size, -1, dtype=np.intp)
        place[self.special] = np.arange(self.special.size)
        kept = place[rows]
        which = kept[kept >= 0]
        return Readings(
            self.value[rows],
            self.counted[rows],
            self.lower[which],
            self.upper[which],
            np.flatnonzero(kept >= 0),
        )

    def all_special(self) -> "Readings":
        """Treat every reading as one that may be wild."""
        lower, upper = self.value.copy(), self.value.copy()
        lower[self.special], upper[self.special] = self.lower, self.upper
        every = np.flatnonzero(self.counted)
        return replace(self, lower=lower[every], upper=upper[every], special=every)


@dataclass(frozen=True, slots=True)
class Sites:
    """Pseudo-readings that stand for the special readings, shape (k, m) each."""

    value: Floats
    precision: Floats

    def take(self, which: Integers | slice) -> "Sites":
        """Keep some of the ways."""
        return Sites(self.value[which], self.precision[which])

    def repeated(self, ways: int) -> "Sites":
        """Return those of one way for so many."""
        return Sites(np.repeat(self.value, ways, axis=0), np.repeat(self.precision, ways, axis=0))

    def fill_in(self, readings: Readings, noise: Floats) -> tuple[Floats, Floats]:
        """Return all readings and their precisions, pseudo-readings included, (k, n) each."""
        ways = noise.size
        value = np.broadcast_to(readings.value, (ways, readings.value.size))
        precision = readings.counted / noise[:, None]
        if readings.special.size:
            value = value.copy()
            value[:, readings.special] = self.value
            precision[:, readings.special] = self.precision
        return value, precision


@dataclass(frozen=True, slots=True)
class Propagated:
    """Pseudo-readings that settled, and what follows from them, in k ways.

    Parameters
    ----------
    sites : Sites
        The pseudo-readings.
    posterior : FillPosterior
        The fills given all readings.
    log_likelihood : numpy.ndarray, shape (k,)
        Restricted log-likelihood: densities of exact readings, probabilities of intervals.
    fit : RestrictedFit
        The restricted fit of the pseudo-readings.
    centre, without : numpy.ndarray, shape (k, m)
        Mean and variance of the true value at each special reading, without that reading.
    settled : bool
        Whether the pseudo-readings stopped moving, near enough.
    """

    sites: Sites
    posterior: FillPosterior
    log_likelihood: Floats
    fit: RestrictedFit
    centre: Floats
    without: Floats
    settled: bool


def first_sites(readings: Readings, variances: Variances) -> Sites:
    """Start with a wide pseudo-reading near each special reading."""
    width = readings.upper - readings.lower
    width = np.where(np.isfinite(width), width, 0.0)
    value = np.broadcast_to(
        readings.value[readings.special], (variances.ways, readings.special.size)
    )
    return Sites(value, 1.0 / (2.0 * variances.noise[:, None] + width**2 / 3.0))


def propagate(
    rows: FillRows,
    readings: Readings,
    variances: Variances,
    sites: Sites | None = None,
    settled: float = SETTLED,
) -> Propagated:
    """Let the pseudo-readings settle.

    Parameters
    ----------
    rows : FillRows
        Places of the readings.
    readings : Readings
        The readings.
    variances : Variances
        The fleet's variances, in k ways.
    sites : Sites, optional
        Pseudo-readings to start from.
    settled : float
        Sweeps end when no expected value moves by more than this share of its deviation.

    Returns
    -------
    Propagated
        The settled pseudo-readings and what follows from them.

    Notes
    -----
    All special readings are renewed together, each against what is known without it [1]_; the
    moments are exact for one interval and an approximation for several of one fill. A reading
    that may be wild can leave the true value less sure than it was; its pseudo-reading then
    keeps a share of the precision to be expected of it, so that the sweeps settle.

    References
    ----------
    .. [1] Rasmussen, C. E. and Williams, C. K. I. (2006), Gaussian Processes for Machine
       Learning, MIT Press, section 3.6.
    """
    sites = first_sites(readings, variances) if sites is None else sites
    damping, last_move, last_mean = 1.0, np.inf, None
    moves = np.zeros(1)
    for _ in range(SWEEPS):
        value, precision = sites.fill_in(readings, variances.noise)
        posterior, fit = fill_posterior(rows, value, precision, variances)
        mean, variance = posterior.path(readings.special)
        without = 1.0 / np.maximum(1.0 / variance - sites.precision, WEAKEST / variance)
        centre = without * (mean / variance - sites.precision * sites.value)
        found = _evidence(readings, variances, centre, without)
        if readings.special.size == 0:
            break
        if last_mean is not None:
            moves = np.abs(mean - last_mean) / np.sqrt(variance)
            move = float(np.max(moves))
            if move < settled:
                break
            damping = max(0.7 * damping, 0.2) if move > 0.9 * last_move else damping
            last_move = move
        last_mean = mean
        sites = _renewed(sites, centre, without, found, damping)
    log_likelihood = _log_likelihood(fit, sites, centre, without, found)
    settled = float(np.mean(moves > CLOSE_ENOUGH)) <= STRAGGLERS
    return Propagated(sites, posterior, log_likelihood, fit, centre, without, settled)


def held_log_likelihood(
    rows: FillRows, readings: Readings, at: Propagated, variances: Variances
) -> Floats:
    """Log-likelihood at nearby variances with the pseudo-readings of one way held, shape (k,).

    Its slope at the held point is that of the log-likelihood itself, since that does not change
    with the pseudo-readings where they have settled.
    """
    ways = variances.ways
    sites = at.sites.repeated(ways)
    value, precision = sites.fill_in(readings, variances.noise)
    sums, _ = fill_sums(rows, value, precision, variances.walk)
    fit, _, _ = restricted_fit(sums, variances.factor, absolute=True)
    centre, without = (np.repeat(part, ways, axis=0) for part in (at.centre, at.without))
    found = _evidence(readings, variances, centre, without)
    return _log_likelihood(fit, sites, centre, without, found)


def _evidence(
    readings: Readings, variances: Variances, centre: Floats, without: Floats
) -> Evidence:
    return reading_evidence(
        readings.lower, readings.upper, centre, without, variances.noise, variances.wild
    )


def _renewed(
    sites: Sites, centre: Floats, without: Floats, found: Evidence, damping: float
) -> Sites:
    """Pseudo-readings that would move each true value as its reading does."""
    keep = np.maximum(1.0 + without * found.curvature, WEAKEST)
    weakest = np.maximum(found.least_precision, WEAKEST / without)
    strength = np.maximum(-found.curvature / keep, weakest)
    shift = (centre + without * found.slope) * (1.0 / without + strength) - centre / without
    shift = damping * shift + (1.0 - damping) * sites.precision * sites.value
    strength = damping * strength + (1.0 - damping) * sites.precision
    return Sites(shift / strength, strength)


def _log_likelihood(
    fit: RestrictedFit, sites: Sites, centre: Floats, without: Floats, found: Evidence
) -> Floats:
    """Replace the pseudo-readings' densities by the probabilities of what was read."""
    outside = 1.0 + sites.precision * without
    correction = (
        found.log_probability
        + 0.5 * (LOG_2PI + np.log(outside / sites.precision))
        + 0.5 * sites.precision * (sites.value - centre) ** 2 / outside
    )
    log_likelihood: Floats = fit.log_likelihood + correction.sum(axis=1)
    return log_likelihood
