"""Restricted likelihood of random starts and rates, from a few sums per fill.

The model is y = X b + Z u + walk + error, with Z the first two columns of X and u Gaussian with
covariance G = L L' for each fill. Everything that the likelihood needs of the readings are sums
of products over each fill, so its cost does not depend on how long the fills are.
"""

from dataclasses import dataclass

import numpy as np

from chemcheck.forecasting.fill_rows import FillRows, Floats, sum_by_fill
from chemcheck.forecasting.walk_filter import SmoothedWalk, smooth_walk

LOG_2PI = float(np.log(2.0 * np.pi))
# Eigenvalues below this share of the largest count as collinear columns.
RANK_TOLERANCE = 1e-11


@dataclass(frozen=True, slots=True)
class FillSums:
    """Sums over each fill of products weighted by the inverse of walk and error.

    Parameters
    ----------
    by_fill : numpy.ndarray, shape (2, p + 1, fills)
        Z' W [X, y] of each fill.
    total : numpy.ndarray, shape (p + 1, p + 1)
        [X, y]' W [X, y] over all fills.
    log_determinant : float
        log det of walk and error together, over the readings counted.
    readings : int
        How many readings count with a density.
    """

    by_fill: Floats
    total: Floats
    log_determinant: float
    readings: int


@dataclass(frozen=True, slots=True)
class RestrictedFit:
    """What the restricted likelihood says at one value of its variance parameters.

    Parameters
    ----------
    log_likelihood : float
        Restricted log-likelihood.
    scale : float
        Factor on all variances: estimated, or 1 where the variances were absolute.
    coefficients : numpy.ndarray, shape (p,)
        Fixed part.
    covariance : numpy.ndarray, shape (p, p)
        Covariance of the fixed part.
    gradient : numpy.ndarray, shape (3,)
        Derivative of the log-likelihood by the factor's entries 11, 21, 22.
    """

    log_likelihood: float
    scale: float
    coefficients: Floats
    covariance: Floats
    gradient: Floats


@dataclass(frozen=True, slots=True)
class SpreadInverse:
    """M = (G^-1 + S)^-1 of each fill, with S the fill's sums over Z; also log det(I + S G)."""

    m11: Floats
    m12: Floats
    m22: Floats
    log_determinant: Floats

    def times(self, pair: Floats) -> Floats:
        """M times columns of shape (2, ..., fills)."""
        return np.stack(
            (self.m11 * pair[0] + self.m12 * pair[1], self.m12 * pair[0] + self.m22 * pair[1])
        )


def fill_sums(
    rows: FillRows, readings: Floats, precision: Floats, walk_variance: float
) -> tuple[FillSums, SmoothedWalk]:
    """Sum products over each fill, weighted by the inverse of walk and error.

    Parameters
    ----------
    rows : FillRows
        The readings' places.
    readings : numpy.ndarray, shape (n,)
        Their values.
    precision : numpy.ndarray, shape (n,)
        Inverse variance of each error; 0 for a place without a reading.
    walk_variance : float
        Variance that the walk gains over one unit of the axis.

    Returns
    -------
    sums : FillSums
        The sums.
    walk : SmoothedWalk
        The smoothed walk of the design's columns and of the readings.
    """
    columns = np.vstack((rows.design, readings))
    walk = smooth_walk(rows, precision, walk_variance, columns)
    weighted = precision * (columns - walk.columns) if walk_variance else precision * columns
    by_fill = np.empty((2, columns.shape[0], rows.starts.size))
    for i in range(2):
        by_fill[i] = sum_by_fill(columns[i] * weighted, rows.starts)
    seen = precision[precision > 0.0]
    log_determinant = walk.log_determinant - float(np.log(seen).sum())
    return FillSums(by_fill, columns @ weighted.T, log_determinant, seen.size), walk


def invert_spread(sums_of_z: Floats, factor: Floats) -> SpreadInverse:
    """Invert G^-1 + S for every fill without inverting G, which may be singular.

    Parameters
    ----------
    sums_of_z : numpy.ndarray, shape (2, 2, fills)
        S of each fill.
    factor : numpy.ndarray, shape (3,)
        Entries 11, 21, 22 of the lower triangular L with G = L L'.
    """
    a, b, c = factor
    s11, s12, s22 = sums_of_z[0, 0], sums_of_z[0, 1], sums_of_z[1, 1]
    d11 = 1.0 + a * a * s11 + 2.0 * a * b * s12 + b * b * s22
    d12 = c * (a * s12 + b * s22)
    d22 = 1.0 + c * c * s22
    determinant = d11 * d22 - d12 * d12
    i11, i12, i22 = d22 / determinant, -d12 / determinant, d11 / determinant
    return SpreadInverse(
        a * a * i11,
        a * (b * i11 + c * i12),
        b * b * i11 + 2.0 * b * c * i12 + c * c * i22,
        np.log(determinant),
    )


def restricted_fit(sums: FillSums, factor: Floats, *, absolute: bool = False) -> RestrictedFit:
    """Evaluate the restricted log-likelihood and its derivative.

    Parameters
    ----------
    sums : FillSums
        The fills' sums.
    factor : numpy.ndarray, shape (3,)
        Entries 11, 21, 22 of the lower triangular L; G = scale L L'.
    absolute : bool, default False
        Whether the sums were weighted with absolute variances. Otherwise one factor on all
        variances is estimated.

    Returns
    -------
    RestrictedFit
        The value, the fixed part, and the derivative.

    Notes
    -----
    -2 l = (n - p) log 2 pi s + log det V + log det X'V^-1 X + r'V^-1 r / s [1]_, V relative to
    the scale s. Collinear columns count once.

    References
    ----------
    .. [1] Lindstrom, M. J. and Bates, D. M. (1988), Newton-Raphson and EM algorithms for linear
       mixed-effects models for repeated-measures data, J. Am. Stat. Assoc. 83, 1014-1022.
    """
    p = sums.total.shape[0] - 1
    a_z = sums.by_fill
    inverse = invert_spread(a_z[:, :2], factor)
    shrunk = inverse.times(a_z)
    inner = sums.total - a_z[0] @ shrunk[0].T - a_z[1] @ shrunk[1].T
    covariance, log_information, rank = invert_information(inner[:p, :p])
    coefficients = covariance @ inner[:p, p]
    residual = max(float(inner[p, p] - coefficients @ inner[:p, p]), 0.0)
    freedom = max(sums.readings - rank, 1)
    scale = 1.0 if absolute else max(residual / freedom, 1e-24)
    log_likelihood = -0.5 * (
        (sums.readings - rank) * (LOG_2PI + np.log(scale))
        + sums.log_determinant
        + float(inverse.log_determinant.sum())
        + log_information
        + residual / scale
    )
    gradient = _factor_gradient(a_z, shrunk, coefficients, covariance, scale, factor)
    return RestrictedFit(float(log_likelihood), scale, coefficients, scale * covariance, gradient)


def invert_information(information: Floats) -> tuple[Floats, float, int]:
    """Invert X'V^-1 X on its range; returns the inverse, its log determinant, and the rank."""
    size = np.sqrt(np.maximum(np.diag(information), 1e-300))
    values, vectors = np.linalg.eigh(information / np.outer(size, size))
    kept = values > RANK_TOLERANCE * values[-1]
    vectors = vectors[:, kept] / size[:, None]
    inverse = (vectors / values[kept]) @ vectors.T
    log_determinant = float(np.log(values[kept]).sum() + 2.0 * np.log(size).sum())
    return inverse, log_determinant, int(kept.sum())


def _factor_gradient(
    a_z: Floats,
    shrunk: Floats,
    coefficients: Floats,
    covariance: Floats,
    scale: float,
    factor: Floats,
) -> Floats:
    """Differentiate the restricted log-likelihood by the entries of L."""
    p = coefficients.size
    s = a_z[:, :2]
    # Z'V^-1 [X, y] of each fill.
    outer = a_z - np.stack(
        (s[0, 0] * shrunk[0] + s[0, 1] * shrunk[1], s[0, 1] * shrunk[0] + s[1, 1] * shrunk[1])
    )
    pull = outer[:, p] - np.tensordot(coefficients, outer[:, :p], axes=(0, 1))
    spread = np.tensordot(covariance, outer[:, :p], axes=(0, 1)).swapaxes(0, 1)
    score = np.empty((2, 2))
    for i in range(2):
        for j in range(2):
            score[i, j] = 0.5 * (
                pull[i] @ pull[j] / scale - outer[i, j].sum() + np.vdot(outer[i, :p], spread[j])
            )
    lower = np.array([[factor[0], 0.0], [factor[1], factor[2]]])
    by_factor = (score + score.T) @ lower
    return np.array([by_factor[0, 0], by_factor[1, 0], by_factor[1, 1]])
