"""Restricted likelihood of random starts and rates, from a few sums per fill.

The model is y = X b + Z u + walk + error, with Z the first two columns of X and u Gaussian with
covariance G = L L' for each fill. Everything that the likelihood needs of the readings are sums
of products over each fill, so its cost does not depend on how long the fills are. All functions
work for k ways at once that the variances may be. Long sums go through einsum, not through a
matrix product: the products are far too thin for its threads to pay.
"""

from dataclasses import dataclass

import numpy as np

from chemcheck.forecasting.fill_rows import FillRows, Floats, Integers, sum_by_fill
from chemcheck.forecasting.walk_filter import SmoothedWalk, smooth_walk

LOG_2PI = float(np.log(2.0 * np.pi))
# Eigenvalues below this share of the largest count as collinear columns.
RANK_TOLERANCE = 1e-11
# The error's variance relative to the readings' scatter below which a line fits exactly.
EXACT_FIT = 1e-20


@dataclass(frozen=True, slots=True)
class FillSums:
    """Sums over each fill of products weighted by the inverse of walk and error.

    Parameters
    ----------
    by_fill : numpy.ndarray, shape (2, p + 1, k, fills)
        Z' W [X, y] of each fill.
    total : numpy.ndarray, shape (k, p + 1, p + 1)
        [X, y]' W [X, y] over all fills.
    log_determinant : numpy.ndarray, shape (k,)
        log det of walk and error together, over the readings counted.
    readings : int
        How many readings count, less the levels after breaks that they must find.
    """

    by_fill: Floats
    total: Floats
    log_determinant: Floats
    readings: int

    def take(self, which: Integers) -> "FillSums":
        """Keep some of the ways."""
        return FillSums(
            self.by_fill[:, :, which],
            self.total[which],
            self.log_determinant[which],
            self.readings,
        )


@dataclass(frozen=True, slots=True)
class RestrictedFit:
    """What the restricted likelihood says at k values of its variance parameters.

    Parameters
    ----------
    log_likelihood : numpy.ndarray, shape (k,)
        Restricted log-likelihood.
    scale : numpy.ndarray, shape (k,)
        Factor on all variances: estimated, or 1 where the variances were absolute.
    coefficients : numpy.ndarray, shape (k, p)
        Fixed part.
    covariance : numpy.ndarray, shape (k, p, p)
        Covariance of the fixed part.
    log_information : numpy.ndarray, shape (k,)
        Log determinant of the fixed part's information.
    rank : numpy.ndarray, shape (k,)
        How many of its columns the readings tell apart.
    """

    log_likelihood: Floats
    scale: Floats
    coefficients: Floats
    covariance: Floats
    log_information: Floats
    rank: Integers


@dataclass(frozen=True, slots=True)
class SpreadInverse:
    """M = (G^-1 + S)^-1 of each fill, with S the fill's sums over Z; also log det(I + S G).

    Every array has shape (k, fills).
    """

    m11: Floats
    m12: Floats
    m22: Floats
    log_determinant: Floats

    def times(self, pair: Floats) -> Floats:
        """M times columns of shape (2, ..., k, fills)."""
        return np.stack(
            (self.m11 * pair[0] + self.m12 * pair[1], self.m12 * pair[0] + self.m22 * pair[1])
        )


def fill_sums(
    rows: FillRows, readings: Floats, precision: Floats, walk_variance: Floats
) -> tuple[FillSums, SmoothedWalk]:
    """Sum products over each fill, weighted by the inverse of walk and error.

    Parameters
    ----------
    rows : FillRows
        The readings' places.
    readings : numpy.ndarray, shape (k, n)
        Their values.
    precision : numpy.ndarray, shape (k, n)
        Inverse variance of each error; 0 for a place without a reading.
    walk_variance : numpy.ndarray, shape (k,)
        Variance that the walk gains over one unit of the axis.

    Returns
    -------
    sums : FillSums
        The sums.
    walk : SmoothedWalk
        The smoothed walk of the design's columns and of the readings.
    """
    p = rows.design.shape[0]
    columns = np.empty((p + 1, *precision.shape))
    columns[:p] = rows.design[:, None]
    columns[p] = readings
    walk = smooth_walk(rows, precision, walk_variance, columns)
    weighted = columns - walk.columns if walk.diagonal.size else columns.copy()
    weighted *= precision
    by_fill = np.empty((2, p + 1, precision.shape[0], rows.starts.size))
    by_fill[0] = sum_by_fill(weighted, rows.starts)
    by_fill[1] = sum_by_fill(weighted * rows.design[1], rows.starts)
    total = np.einsum("akn,bkn->kab", columns, weighted)
    seen = precision > 0.0
    log_precision = np.log(np.where(seen, precision, 1.0)).sum(axis=1)
    found = 0 if rows.breaks is None else int(rows.breaks.sum())
    counted = int(seen[0].sum()) - found
    sums = FillSums(by_fill, total, walk.log_determinant - log_precision, counted)
    return sums, walk


def invert_spread(sums_of_z: Floats, factor: Floats) -> SpreadInverse:
    """Invert G^-1 + S for every fill without inverting G, which may be singular.

    Parameters
    ----------
    sums_of_z : numpy.ndarray, shape (2, 2, k, fills)
        S of each fill.
    factor : numpy.ndarray, shape (3, k)
        Entries 11, 21, 22 of the lower triangular L with G = L L'.
    """
    a, b, c = factor[:, :, None]
    s11, s12, s22 = sums_of_z[0, 0], sums_of_z[0, 1], sums_of_z[1, 1]
    d11 = 1.0 + a * a * s11 + 2.0 * a * b * s12 + b * b * s22
    d12 = c * (a * s12 + b * s22)
    d22 = 1.0 + c * c * s22
    # det(I + L'SL) = 1 + tr(L'SL) + det(L)^2 det(S): at least 1 however exact the readings,
    # where the difference of the products would cancel to nothing.
    plane = np.maximum(s11 * s22 - s12 * s12, 0.0)
    determinant = d11 + d22 - 1.0 + (a * c) ** 2 * plane
    i11, i12, i22 = d22 / determinant, -d12 / determinant, d11 / determinant
    return SpreadInverse(
        a * a * i11,
        a * (b * i11 + c * i12),
        b * b * i11 + 2.0 * b * c * i12 + c * c * i22,
        np.log(determinant),
    )


def restricted_fit(
    sums: FillSums, factor: Floats, *, absolute: bool = False
) -> tuple[RestrictedFit, Floats, SpreadInverse]:
    """Evaluate the restricted log-likelihood.

    Parameters
    ----------
    sums : FillSums
        The fills' sums.
    factor : numpy.ndarray, shape (3, k)
        Entries 11, 21, 22 of the lower triangular L; G = scale L L'.
    absolute : bool, default False
        Whether the sums were weighted with absolute variances. Otherwise one factor on all
        variances is estimated.

    Returns
    -------
    fit : RestrictedFit
        The value and the fixed part.
    shrunk : numpy.ndarray, shape (2, p + 1, k, fills)
        M Z' W [X, y] of each fill.
    inverse : SpreadInverse
        M of each fill.

    Notes
    -----
    -2 l = (n - p) log 2 pi s + log det V + log det X'V^-1 X + r'V^-1 r / s [1]_, V relative to
    the scale s. Collinear columns count once.

    References
    ----------
    .. [1] Lindstrom, M. J. and Bates, D. M. (1988), Newton-Raphson and EM algorithms for linear
       mixed-effects models for repeated-measures data, J. Am. Stat. Assoc. 83, 1014-1022.
    """
    p = sums.total.shape[1] - 1
    inverse = invert_spread(sums.by_fill[:, :2], factor)
    shrunk = inverse.times(sums.by_fill)
    inner = line_products(sums, shrunk)
    covariance, log_information, rank = _invert_information(inner[:, :p, :p])
    coefficients = np.einsum("kij,kj->ki", covariance, inner[:, :p, p])
    residual = inner[:, p, p] - np.einsum("ki,ki->k", coefficients, inner[:, :p, p])
    residual = np.maximum(residual, 0.0)
    freedom = np.maximum(sums.readings - rank, 1)
    scale = np.ones_like(residual) if absolute else np.maximum(residual / freedom, EXACT_FIT)
    log_likelihood = -0.5 * (
        (sums.readings - rank) * (LOG_2PI + np.log(scale))
        + sums.log_determinant
        + inverse.log_determinant.sum(axis=1)
        + log_information
        + residual / scale
    )
    covariance = scale[:, None, None] * covariance
    fit = RestrictedFit(
        log_likelihood,
        scale,
        coefficients,
        covariance,
        log_information - rank * np.log(scale),
        rank,
    )
    return fit, shrunk, inverse


def line_products(sums: FillSums, shrunk: Floats) -> Floats:
    """Return [X, y]' V^-1 [X, y] with the fills' own lines in V, shape (k, p + 1, p + 1).

    Parameters
    ----------
    sums : FillSums
        The fills' sums.
    shrunk : numpy.ndarray, shape (2, p + 1, k, fills)
        M Z' W [X, y] of each fill.
    """
    inner = sums.total.copy()
    for i in range(2):
        inner -= np.einsum("akf,bkf->kab", sums.by_fill[i], shrunk[i])
    return inner


def spread_slopes(
    sums: FillSums, root: Floats, turn: Floats, fit: RestrictedFit, shrunk: Floats
) -> tuple[Floats, Floats]:
    """Differentiate the restricted log-likelihood by the entries of G's symmetric root.

    The symmetric root is smooth and single where L is not: with no spread of the start, every
    turn of L's second row gives the same G.

    Parameters
    ----------
    sums : FillSums
        The fills' sums.
    root : numpy.ndarray, shape (3, k)
        Entries 11, 12, 22 of the root R, with G = R R in the units of `turn`.
    turn : numpy.ndarray, shape (3, k)
        What G's entries 11, 12, 22 are multiplied by to have the units of the sums.
    fit, shrunk
        As `restricted_fit` returns them, with the scale estimated.

    Returns
    -------
    slope : numpy.ndarray, shape (k, 3)
        First derivatives.
    curvature : numpy.ndarray, shape (k, 3, 3)
        Second derivatives, expected information in place of the observed one; also right where
        the spread is nothing in some direction, at the edge of what it may be.
    """
    p = fit.coefficients.shape[1]
    a_z, scale = sums.by_fill, fit.scale[:, None, None]
    # Z'V^-1 [X, y] of each fill.
    outer = np.stack([a_z[i] - a_z[i, 0] * shrunk[0] - a_z[i, 1] * shrunk[1] for i in range(2)])
    pull = outer[:, p] - np.einsum("ka,iakf->ikf", fit.coefficients, outer[:, :p])
    # Sums over the fills of Z'V^-1 x x'V^-1 Z for each pair of the design's columns.
    pairs = np.einsum("iakf,jbkf->kiajb", outer[:, :p], outer[:, :p])
    by_line = np.einsum("kiajb,kab->kij", pairs, fit.covariance / scale)
    trace = np.moveaxis(outer[:, :2].sum(axis=3), 2, 0)
    score = 0.5 * (np.einsum("ikf,jkf->kij", pull, pull) / scale - trace + by_line)
    by_11, by_12, by_22 = turn * np.array([score[:, 0, 0], 2.0 * score[:, 0, 1], score[:, 1, 1]])
    # Z'V^-1 Z is B; the sums over the fills of products of its entries are among the pairs.
    upper, left, cross = pairs[:, 0, 0, 0, 0], pairs[:, 0, 0, 0, 1], pairs[:, 0, 1, 0, 1]
    corners, right, lower = pairs[:, 0, 0, 1, 1], pairs[:, 0, 1, 1, 1], pairs[:, 1, 1, 1, 1]
    information = 0.5 * np.array(
        [
            [upper, 2.0 * left, cross],
            [2.0 * left, 2.0 * (corners + cross), 2.0 * right],
            [cross, 2.0 * right, lower],
        ]
    )
    first = np.array([trace[:, 0, 0], 2.0 * trace[:, 0, 1], trace[:, 1, 1]])
    information -= first[:, None] * first / (2.0 * max(sums.readings - p, 1))
    information *= turn[:, None] * turn
    a, b, c = root
    none = np.zeros_like(a)
    by_root = np.array([[2.0 * a, 2.0 * b, none], [b, a + c, b], [none, 2.0 * b, 2.0 * c]])
    bend = np.array(
        [
            [2.0 * by_11, by_12, none],
            [by_12, 2.0 * (by_11 + by_22), by_12],
            [none, by_12, 2.0 * by_22],
        ]
    )
    curved = np.einsum("aik,abk,bjk->kij", by_root, information, by_root)
    slope = np.einsum("aik,ak->ki", by_root, np.array([by_11, by_12, by_22]))
    return slope, np.moveaxis(bend, 2, 0) - curved


def _invert_information(information: Floats) -> tuple[Floats, Floats, Integers]:
    """Invert X'V^-1 X on its range; returns inverse, log determinant and rank, k of each."""
    size = np.sqrt(np.maximum(np.einsum("kii->ki", information), 1e-300))
    values, vectors = np.linalg.eigh(information / (size[:, :, None] * size[:, None, :]))
    kept = values > RANK_TOLERANCE * values[:, -1:]
    safe = np.where(kept, values, 1.0)
    vectors = vectors / size[:, :, None]
    inverse = np.matmul(vectors * (kept / safe)[:, None, :], vectors.swapaxes(1, 2))
    log_determinant = np.log(safe).sum(axis=1) + 2.0 * np.log(size).sum(axis=1)
    return inverse, log_determinant, kept.sum(axis=1)
