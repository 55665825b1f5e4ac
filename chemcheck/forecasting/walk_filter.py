"""The random walk along each fill: smoothed for all fills at once in a time linear in rows.

Between two samples the true value drifts off its line by a Wiener process. Given the readings,
the walk at the sampled points is a Gaussian Markov chain, and its precision matrix is
tridiagonal. One symmetric tridiagonal factorisation over the rows of all fills, with nothing
between the end of one fill and the start of the next, gives what a Kalman filter and smoother
over each fill would give.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg.lapack import dpttrf, dpttrs

from chemcheck.forecasting.fill_rows import FillRows, Floats

# A level that moved by an unknown amount is known this much worse than by its best reading; a
# walk that there is none of wanders this little beside a reading's error.
UNKNOWN, STILL = 1e9, 1e-7


@dataclass(frozen=True, slots=True)
class SmoothedWalk:
    """The walk that readings show, as a linear map of the readings, in k ways.

    Parameters
    ----------
    columns : numpy.ndarray, shape (m, k, n)
        Expected walk at each row if a column's values were the readings.
    log_determinant : numpy.ndarray, shape (k,)
        log det(K T + I) with K the walk's covariance and T the readings' precisions.
    diagonal, off_diagonal : numpy.ndarray, shape (k n,) and (k n - 1,)
        The walk's posterior precision matrix; empty where there is no walk.
    """

    columns: Floats
    log_determinant: Floats
    diagonal: Floats
    off_diagonal: Floats

    def variances(self) -> Floats:
        """Return the walk's variance at each row given the readings and the line, shape (k, n).

        Notes
        -----
        The diagonal of the inverse of a tridiagonal matrix T follows from its factorisations
        from both ends, 1 / (d+ + d- - t) [1]_.

        References
        ----------
        .. [1] Parlett, B. N. and Dhillon, I. S. (1997), Fernando's solution to Wilkinson's
           problem: an application of double factorization, Linear Algebra and its Applications
           267, 247-279.
        """
        shape = self.columns.shape[1:]
        if self.diagonal.size == 0:
            return np.zeros(shape)
        forward, _, _ = dpttrf(self.diagonal, self.off_diagonal)
        backward, _, _ = dpttrf(self.diagonal[::-1].copy(), self.off_diagonal[::-1].copy())
        variances: Floats = (1.0 / (forward + backward[::-1] - self.diagonal)).reshape(shape)
        return variances


def smooth_walk(
    rows: FillRows, precision: Floats, walk_variance: Floats, columns: Floats
) -> SmoothedWalk:
    """Smooth the walk of every fill.

    Parameters
    ----------
    rows : FillRows
        The readings' places.
    precision : numpy.ndarray, shape (k, n)
        Inverse variance of each reading's error; 0 for a place without a reading.
    walk_variance : numpy.ndarray, shape (k,)
        Variance that the walk gains over one unit of the axis; all zero or all above zero.
    columns : numpy.ndarray, shape (m, k, n)
        Values to smooth.

    Returns
    -------
    SmoothedWalk
        The smoothed columns and the precision matrix.

    Notes
    -----
    The precision of a Wiener process at points with steps d is tridiagonal with
    1/(q d_j) + 1/(q d_{j+1}) on and -1/(q d_{j+1}) beside the diagonal [1]_. Before a break
    1/(q d_j) is nothing: the walk starts anew from a level that only the readings tell, and the
    determinant leaves that level out, as the restricted likelihood does the fixed part.

    References
    ----------
    .. [1] Rue, H. and Held, L. (2005), Gaussian Markov Random Fields, Chapman & Hall/CRC,
       section 3.3.1 (random walk of first order, irregular locations).

    Examples
    --------
    One reading of 2 with error variance 1, after a step over which the walk gains variance 3:
    the walk takes 3/4 of it.

    >>> rows = FillRows(np.ones((1, 1)), np.ones(1), np.array([0]), np.array([0]))
    >>> reading = np.array([[[2.0]]])
    >>> smooth_walk(rows, np.ones((1, 1)), np.array([3.0]), reading).columns.round(6).item()
    1.5
    """
    breaks = rows.breaks
    if breaks is None and not walk_variance.any():
        nothing = np.empty(0)
        return SmoothedWalk(np.zeros_like(columns), np.zeros(walk_variance.size), nothing, nothing)
    gained = walk_variance[:, None] * rows.steps
    if breaks is not None:
        best = 1.0 / precision.max(axis=1, keepdims=True)
        gained = np.maximum(gained, STILL * best)
        gained[:, breaks] = UNKNOWN * best
    stiffness = 1.0 / gained
    link = stiffness.copy()
    link[:, rows.starts] = 0.0
    if breaks is not None:
        link[:, breaks] = 0.0
        gained[:, breaks] = 1.0
    diagonal = precision + stiffness
    diagonal[:, :-1] += link[:, 1:]
    diagonal, link = diagonal.ravel(), link.ravel()
    # LAPACK wants room for one element even where there is none.
    off_diagonal = -link[1:] if link.size > 1 else np.zeros(1)
    pivots, ratios, _ = dpttrf(diagonal, off_diagonal)
    smoothed, _ = dpttrs(pivots, ratios, (precision * columns).reshape(len(columns), -1).T)
    log_determinant = (np.log(pivots).reshape(gained.shape) + np.log(gained)).sum(axis=1)
    return SmoothedWalk(smoothed.T.reshape(columns.shape), log_determinant, diagonal, off_diagonal)
