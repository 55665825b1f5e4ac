"""Units of the arithmetic: axis in its longest travel, readings as departures from a plain line."""

from dataclasses import dataclass

import numpy as np

from chemcheck.forecasting.fill_rows import Floats


@dataclass(frozen=True, slots=True)
class ReadingScale:
    """How the user's numbers map to numbers near one.

    Parameters
    ----------
    axis : float
        Axis that counts as 1.
    centre, width : numpy.ndarray, shape (k,)
        Of each covariate.
    baseline : numpy.ndarray, shape (k + 2,)
        Plain line through all readings, on the scaled columns, in the readings' unit.
    reading : float
        Scatter about that line, which counts as 1.
    """

    axis: float
    centre: Floats
    width: Floats
    baseline: Floats
    reading: float

    def columns(self, features: Floats) -> tuple[Floats, Floats]:
        """Scaled axis, shape (n,), and scaled covariates, shape (k, n)."""
        covariates = (features[:, 1:] - self.centre) / self.width
        return features[:, 0] / self.axis, np.ascontiguousarray(covariates.T)

    def level(self, design: Floats) -> Floats:
        """Plain line at scaled design columns of shape (k + 2, n), in the readings' unit."""
        line: Floats = np.einsum("p,pn->n", self.baseline, design)
        return line

    def unscale(self) -> Floats:
        """Matrix that turns coefficients of scaled columns into those of the user's columns."""
        size = self.baseline.size
        turn = np.eye(size)
        turn[1, 1] = 1.0 / self.axis
        turn[2:, 2:] = np.diag(1.0 / self.width)
        turn[0, 2:] = -self.centre / self.width
        return turn


def choose_scale(features: Floats, middle: Floats) -> ReadingScale:
    """Scale to the data.

    Parameters
    ----------
    features : numpy.ndarray, shape (n, k + 1)
        Axis and covariates of the readings that count.
    middle : numpy.ndarray, shape (n,)
        Readings; for an interval a number in it.

    Returns
    -------
    ReadingScale
        Scale with the plain line by least squares.

    Examples
    --------
    >>> scale = choose_scale(np.array([[0.0], [100.0], [200.0]]), np.array([9.0, 8.0, 7.0]))
    >>> scale.axis, scale.baseline.round(6).tolist()
    (200.0, [9.0, -2.0])
    """
    centre, width = features[:, 1:].mean(axis=0), features[:, 1:].std(axis=0)
    width = np.where(width > 0.0, width, 1.0)
    longest = float(np.max(np.abs(features[:, 0]))) or 1.0
    plain = ReadingScale(longest, centre, width, np.zeros(features.shape[1] + 1), 1.0)
    axis, covariates = plain.columns(features)
    design = np.vstack((np.ones_like(axis), axis, covariates))
    level = float(middle.mean())
    products = np.einsum("an,bn->ab", design, design)
    toward = np.einsum("an,n->a", design, middle - level)
    baseline = np.linalg.pinv(products, hermitian=True) @ toward
    baseline[0] += level
    scatter = float(np.sqrt(np.mean((middle - np.einsum("p,pn->n", baseline, design)) ** 2)))
    least = 1e-9 * float(np.max(np.abs(middle))) or 1.0
    return ReadingScale(longest, centre, width, baseline, max(scatter, least))
