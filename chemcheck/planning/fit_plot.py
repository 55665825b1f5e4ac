"""Points and line of a probability plot: how well a family fits."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from chemcheck.planning.lifetime import CONFIDENCE, Lifetime
from chemcheck.planning.standard_forms import Floats
from chemcheck.planning.turnbull import TurnbullEstimate

LINE_POINTS = 101
# The line goes on beyond the points by this share of their odds.
BEYOND = 3.0


@dataclass(frozen=True, slots=True)
class FitPlot:
    """A probability plot: logarithm of time against score, on which the family is a line.

    Parameters
    ----------
    point_lower, point_upper : numpy.ndarray, shape (m,)
        Where each point's time lies [h, km or d].
    point_probability, point_score : numpy.ndarray, shape (m,)
        Probability of an end by then, at the middle of its step, and its score.
    time, probability, score : numpy.ndarray, shape (k,)
        The fitted line.
    band_lower, band_upper : numpy.ndarray, shape (k,)
        Confidence limits of the line's time at each probability, by the delta method
        [h, km or d].
    """

    point_lower: Floats
    point_upper: Floats
    point_probability: Floats
    point_score: Floats
    time: Floats
    probability: Floats
    score: Floats
    band_lower: Floats
    band_upper: Floats


def fit_plot(
    lifetime: Lifetime, estimate: TurnbullEstimate, confidence: float = CONFIDENCE
) -> FitPlot:
    """Place the estimate without a family beside the fitted family.

    Parameters
    ----------
    lifetime : Lifetime
        A fit.
    estimate : TurnbullEstimate
        Of the same lifetimes.
    confidence : float, default 0.95
        Of the band, point by point.

    Returns
    -------
    FitPlot
        Points at the middle of each step [1]_, line and band. Probability after the last look
        has no place in time and is left out.

    References
    ----------
    .. [1] Meeker, W. Q. and Escobar, L. A. (1998), Statistical Methods for Reliability Data,
       Wiley, section 6.4 (from memory).

    Examples
    --------
    >>> from chemcheck.planning.fit_lifetime import fit_lifetime
    >>> from chemcheck.planning.turnbull import turnbull
    >>> seen = [100, 200, 300, 400], [200, 300, 400, 500]
    >>> fit_plot(fit_lifetime(*seen), turnbull(*seen)).point_probability
    array([0.125, 0.375, 0.625, 0.875])
    """
    middle = np.cumsum(estimate.probability) - 0.5 * estimate.probability
    placed = np.isfinite(estimate.upper) & (estimate.probability > 0.0)
    points = middle[placed]
    odds = np.array([points.min() / BEYOND, 1.0 - (1.0 - points.max()) / BEYOND])
    form = lifetime.form
    first, last = form.quantile(odds)
    score = np.linspace(first, last, LINE_POINTS)
    log_time = np.log(lifetime.scale) + score / lifetime.steepness
    # Derivative of log t by log scale and log shape; a log-normal shape is the inverse steepness.
    side = 1.0 if form.steepness(2.0) == 2.0 else -1.0
    turn = np.vstack([np.ones(LINE_POINTS), -side * score / lifetime.steepness])
    error = np.sqrt(np.einsum("ik,ij,jk->k", turn, lifetime.covariance, turn))
    reach = float(ndtri(0.5 + 0.5 * confidence)) * error
    return FitPlot(
        point_lower=estimate.lower[placed],
        point_upper=estimate.upper[placed],
        point_probability=points,
        point_score=form.quantile(points),
        time=np.exp(log_time),
        probability=-np.expm1(form.log_survival(score)),
        score=score,
        band_lower=np.exp(log_time - reach),
        band_upper=np.exp(log_time + reach),
    )
