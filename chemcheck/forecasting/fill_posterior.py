"""What the readings say about each fill's start, rate and true values, given the variances."""

from dataclasses import dataclass

import numpy as np

from chemcheck.forecasting.fill_rows import FillRows, Floats, Integers
from chemcheck.forecasting.restricted_likelihood import (
    RestrictedFit,
    SpreadInverse,
    fill_sums,
    restricted_fit,
)
from chemcheck.forecasting.variances import Variances


@dataclass(frozen=True, slots=True)
class FleetLine:
    """The fleet's part of the answer: the fixed line and how sure it is, in k ways.

    Parameters
    ----------
    coefficients : numpy.ndarray, shape (k, p)
        Start, rate and effects of covariates.
    covariance : numpy.ndarray, shape (k, p, p)
        Their covariance.
    """

    coefficients: Floats
    covariance: Floats


@dataclass(frozen=True, slots=True)
class FillPosterior:
    """Each fill's departure from the fleet's line, and the walk along it, in k ways.

    A true value is x'b + z'u + w. Given the readings, b is normal about the fleet's line,
    u given b has mean `own` - `pull` b and covariance `spread`, and w given both has mean
    `walked` - `walked_design` (b + u) and variance `walk_variance`.
    """

    rows: FillRows
    line: FleetLine
    own: Floats
    pull: Floats
    spread: SpreadInverse
    walked: Floats
    walked_design: Floats
    walk_variance: Floats

    def effects(self) -> Floats:
        """Return the expected departures of start and rate, shape (2, k, fills)."""
        departures: Floats = self.own - np.einsum("kp,ipkf->ikf", self.line.coefficients, self.pull)
        return departures

    def path(self, which: Integers, design: Floats | None = None) -> tuple[Floats, Floats]:
        """Return mean and variance of the true value at some rows, walk included, (k, rows).

        With other design columns than the rows', shape (p, rows), at the rows' places.
        """
        loading = self._loading(which, design)
        mean, variance = self._line_at(loading, self.rows.fill[which])
        return mean + self.walked[:, which], variance + self.walk_variance[:, which]

    def origin(self, fills: Integers) -> tuple[Floats, Floats]:
        """Return mean and variance of fills' true value at the axis' start, (k, fills)."""
        loading = self.rows.design[:, None, self.rows.starts[fills]].copy()
        loading[1] = 0.0
        return self._line_at(loading, fills)

    def rates(self, which: Integers) -> tuple[Floats, Floats, Floats]:
        """Mean and variance of the rate of rows' fills, and its covariance with the path."""
        fill = self.rows.fill[which]
        rate = np.zeros((self.rows.design.shape[0], 1, fill.size))
        rate[1] = 1.0
        loading, by_line = self._loading(which), self._by_line(rate, fill)
        mean = self.own[1][:, fill] + self._fixed(by_line)
        spread, covariance = self.spread, self.line.covariance
        variance: Floats = spread.m22[:, fill] + _quadratic(by_line, covariance, by_line)
        shared: Floats = (
            loading[0] * spread.m12[:, fill]
            + loading[1] * spread.m22[:, fill]
            + _quadratic(self._by_line(loading, fill), covariance, by_line)
        )
        return mean, variance, shared

    def _loading(self, which: Integers, design: Floats | None = None) -> Floats:
        """Weights of start, rate and covariates' effects in the true value, (p, k, rows)."""
        columns = self.rows.design[:, which] if design is None else design
        loading: Floats = columns[:, None] - self.walked_design[:, :, which]
        return loading

    def _line_at(self, loading: Floats, fill: Integers) -> tuple[Floats, Floats]:
        """Mean and variance of a combination of start, rate and covariates' effects."""
        by_line = self._by_line(loading, fill)
        spread = self.spread
        mean: Floats = (
            loading[0] * self.own[0][:, fill]
            + loading[1] * self.own[1][:, fill]
            + self._fixed(by_line)
        )
        variance: Floats = (
            loading[0] ** 2 * spread.m11[:, fill]
            + 2.0 * loading[0] * loading[1] * spread.m12[:, fill]
            + loading[1] ** 2 * spread.m22[:, fill]
            + _quadratic(by_line, self.line.covariance, by_line)
        )
        return mean, variance

    def _by_line(self, loading: Floats, fill: Integers) -> Floats:
        """Weight of the fleet's coefficients once the fill's own readings are taken in."""
        pull = self.pull[:, :, :, fill]
        weight: Floats = loading - loading[0] * pull[0] - loading[1] * pull[1]
        return weight

    def _fixed(self, by_line: Floats) -> Floats:
        """Fleet's coefficients times their weights, shape (k, rows)."""
        fixed: Floats = sum(
            coefficient[:, None] * weight
            for coefficient, weight in zip(self.line.coefficients.T, by_line, strict=True)
        )
        return fixed


def fill_posterior(
    rows: FillRows,
    readings: Floats,
    precision: Floats,
    variances: Variances,
    line: FleetLine | None = None,
) -> tuple[FillPosterior, RestrictedFit]:
    """Condition every fill on its readings.

    Parameters
    ----------
    rows : FillRows
        Places of the readings, and places without one.
    readings : numpy.ndarray, shape (k, n)
        Values; ignored where the precision is 0.
    precision : numpy.ndarray, shape (k, n)
        Inverse variance of each reading's error.
    variances : Variances
        The fleet's variances.
    line : FleetLine, optional
        The fleet's line, where it is known from other rows.

    Returns
    -------
    posterior : FillPosterior
        The conditioned fills.
    fit : RestrictedFit
        The restricted likelihood of these readings.
    """
    p = rows.design.shape[0]
    sums, walk = fill_sums(rows, readings, precision, variances.walk)
    fit, shrunk, spread = restricted_fit(sums, variances.factor, absolute=True)
    posterior = FillPosterior(
        rows=rows,
        line=line or FleetLine(fit.coefficients, fit.covariance),
        own=shrunk[:, p],
        pull=shrunk[:, :p],
        spread=spread,
        walked=walk.columns[p],
        walked_design=walk.columns[:p],
        walk_variance=walk.variances(),
    )
    return posterior, fit


def _quadratic(left: Floats, middle: Floats, right: Floats) -> Floats:
    """Left' middle right for each way and row: (p, k, n), (k, p, p), (p, k, n) to (k, n)."""
    p = middle.shape[1]
    product: Floats = sum(
        middle[:, i, j, None] * left[i] * right[j] for i in range(p) for j in range(p)
    )
    return product
