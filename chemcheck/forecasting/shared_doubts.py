"""What readings share that is not sure, such as a laboratory's offset, as ways they may be.

An error that many readings have in common is no noise: it does not average out. A forecast is
taken over equally likely values of it, each with the readings that it would make, beside the ways
that the variances may be.
"""

import numpy as np
from scipy.special import ndtri

from chemcheck.forecasting.fill_rows import Floats, Integers

# Pairs of values of what is shared, with each of several ways, and numbers that all may take up.
PAIRS, PAIRS_A_WAY, MOST_NUMBERS, SEED = 16, 2, 1_500_000, 20_260_109
# Things shared that are told apart: fewer where readings are very many.
MOST_SHARED, FEWEST_SHARED = 12, 3


def draw_doubts(doubts: Floats, weights: Floats) -> tuple[Integers, Floats, Floats]:
    """Pair the ways that the variances may be with values of what the readings share.

    Parameters
    ----------
    doubts : ndarray, shape (d, n)
        What one standard deviation of each shared thing adds to the readings.
    weights : ndarray, shape (k,)
        Weights of the ways.

    Returns
    -------
    way : ndarray of intp, shape (K,)
        The way of each pair.
    weights : ndarray, shape (K,)
        Its weight.
    shifts : ndarray, shape (K, n)
        What it adds to the readings.

    Notes
    -----
    Each value comes with its negative, and together they have the mean and covariance that they
    should. A fleet of very many readings has fewer of them, at least two for each shared thing. Of
    more than `MOST_SHARED` things only the combinations that move the readings most are taken.

    Examples
    --------
    >>> way, weight, shift = draw_doubts(np.array([[0.5, 0.0]]), np.ones(1))
    >>> (weight @ shift).round(9).tolist() == [0.0, 0.0], (weight @ shift**2).round(9).tolist()
    (True, [0.25, 0.0])
    """
    room = MOST_NUMBERS // (2 * max(doubts.shape[1], 1) * weights.size)
    doubts = _strongest(doubts, max(min(MOST_SHARED, room), FEWEST_SHARED))
    many = len(doubts)
    pairs = max(min(PAIRS, room), many)
    each = max(PAIRS_A_WAY, -(-many // weights.size)) if weights.size > 1 else pairs
    way = np.repeat(np.arange(weights.size), each)
    weight = weights[way] / each
    points = _normal_points(many, pairs)[np.arange(way.size) % pairs]
    root = np.linalg.cholesky((points.T * weight) @ points)
    shifts = np.linalg.solve(root, points.T).T @ doubts
    return (
        np.concatenate((way, way)),
        np.tile(0.5 * weight, 2),
        np.concatenate((shifts, -shifts)),
    )


def _strongest(doubts: Floats, most: int) -> Floats:
    """Return so many independent combinations of the doubts that move the readings most."""
    if len(doubts) <= most:
        return doubts
    _, turn = np.linalg.eigh(doubts @ doubts.T)
    return np.asarray(turn[:, -most:].T @ doubts)


def _normal_points(many: int, pairs: int) -> Floats:
    """Points that, with their negatives, are spread as a standard normal, shape (pairs, many)."""
    from scipy.stats import qmc

    if many == 1:
        # Parts of equal chance of one half of the distribution: no draw is as even.
        return np.asarray(ndtri(0.5 + (np.arange(pairs) + 0.5) / (2 * pairs)))[:, None]
    uniform = qmc.Sobol(many, seed=SEED).random(1 << (pairs - 1).bit_length())[:pairs]
    return np.asarray(ndtri(np.clip(uniform, 1e-6, 1.0 - 1e-6)))
