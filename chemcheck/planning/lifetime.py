"""A distribution of lifetimes: fitted to observations, or stated by the user."""

from dataclasses import dataclass, field
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.planning.interval_likelihood import IntervalLikelihood
from chemcheck.planning.likelihood_limits import (
    failure_limits,
    log_quantile_limits,
    log_steepness_limits,
)
from chemcheck.planning.standard_forms import Family, Floats, family_named
from chemcheck.planning.summit import Summit

CONFIDENCE = 0.95
SMALLEST_TIME = 1e-300


@dataclass(frozen=True)
class Lifetime:
    """How long until the end: scale and shape, with what is known about them.

    Parameters
    ----------
    family : {"weibull", "lognormal", "exponential"}
        Its family.
    scale : float
        Weibull: time by which 63.2 % have ended; log-normal: median; exponential: mean
        [h, km or d].
    shape : float
        Weibull: exponent, the hazard rises above 1; log-normal: standard deviation of log t;
        exponential: 1.
    log_likelihood : float
        At the fit: densities of exact lifetimes, probabilities of intervals; NaN if stated.
    failures, censored : float
        Ends seen and not seen, weights counted; NaN if stated.
    covariance : numpy.ndarray, shape (2, 2)
        Of log scale and log shape, from the curvature of the log-likelihood; 0 if stated.

    Notes
    -----
    Confidence limits are those of the profile likelihood [1]_: values that the data cannot tell
    from the best by a likelihood-ratio test. They stay in range and need no symmetry. A stated
    lifetime is taken as known: its limits are itself.

    References
    ----------
    .. [1] Meeker, W. Q. and Escobar, L. A. (1998), Statistical Methods for Reliability Data,
       Wiley, chapter 8 (from memory).

    Examples
    --------
    >>> life = Lifetime.stated("weibull", scale=6000, shape=2.5)
    >>> round(float(life.quantile(0.1)))
    2439
    >>> life.survival([0, 6000]).round(4)
    array([1.    , 0.3679])
    """

    family: str
    scale: float
    shape: float
    log_likelihood: float = np.nan
    failures: float = np.nan
    censored: float = np.nan
    covariance: Floats = field(default_factory=lambda: np.zeros((2, 2)), compare=False)
    _likelihood: IntervalLikelihood | None = field(default=None, repr=False, compare=False)
    _summit: Summit | None = field(default=None, repr=False, compare=False)

    @classmethod
    def stated(cls, family: str, scale: float, shape: float = 1.0) -> Self:
        """Make a lifetime that is known, or taken as known.

        Parameters
        ----------
        family : {"weibull", "lognormal", "exponential"}
            Its family.
        scale : float
            As in `Lifetime` [h, km or d].
        shape : float, default 1
            As in `Lifetime`; 1 for an exponential one.

        Returns
        -------
        Lifetime
            Without data, so without width.

        Raises
        ------
        ValueError
            If the family is unknown, or scale or shape is not a finite number above 0.
        """
        form = family_named(family)
        for name, value in (("scale", scale), ("shape", shape)):
            if not (np.isfinite(value) and value > 0.0):
                message = f"{name}: {value:g}: expected a finite number above 0"
                raise ValueError(message)
        if not form.shape_is_free and shape != 1.0:
            message = f"shape: {shape:g}: expected 1, an {family} lifetime has no other"
            raise ValueError(message)
        return cls(family, float(scale), float(shape))

    @property
    def form(self) -> Family:
        """Formulas of the family."""
        return family_named(self.family)

    @property
    def steepness(self) -> float:
        """Factor of log t in the standard form."""
        return self.form.steepness(self.shape)

    @property
    def parameters(self) -> int:
        """How many parameters were fitted."""
        return 1 + self.form.shape_is_free

    @property
    def aic(self) -> float:
        """Akaike's information criterion; less is better."""
        return 2.0 * self.parameters - 2.0 * self.log_likelihood

    @property
    def mean(self) -> float:
        """Mean lifetime [h, km or d]."""
        return float(self.restricted_mean(np.inf))

    def _standard(self, time: ArrayLike) -> Floats:
        times = np.asarray(time, dtype=np.float64)
        positive = np.maximum(times, SMALLEST_TIME)
        return self.steepness * np.where(times >= 0.0, np.log(positive / self.scale), np.nan)

    def survival(self, time: ArrayLike) -> Floats:
        """Probability that the end comes after a time.

        Parameters
        ----------
        time : float or array-like
            Time [h, km or d]; NaN below 0.

        Returns
        -------
        numpy.ndarray
            From 1 to 0.
        """
        with np.errstate(over="ignore"):
            return np.exp(self.form.log_survival(self._standard(time)))

    def failure(self, time: ArrayLike) -> Floats:
        """Probability that the end comes by a time, exact also where it is tiny.

        Parameters
        ----------
        time : float or array-like
            Time [h, km or d]; NaN below 0.

        Returns
        -------
        numpy.ndarray
            From 0 to 1.
        """
        with np.errstate(over="ignore", divide="ignore"):
            return np.exp(self.form.log_failure(self._standard(time)))

    def density(self, time: ArrayLike) -> Floats:
        """Probability density of the lifetime.

        Parameters
        ----------
        time : float or array-like
            Time [h, km or d]; NaN below 0.

        Returns
        -------
        numpy.ndarray
            Density [1 / h, km or d].
        """
        z, at = self._standard(time), np.maximum(time, SMALLEST_TIME)
        with np.errstate(over="ignore"):
            return np.asarray(np.exp(self.form.log_density(z) + np.log(self.steepness / at)))

    def hazard(self, time: ArrayLike) -> Floats:
        """Rate at which those still going end.

        Parameters
        ----------
        time : float or array-like
            Time [h, km or d]; NaN below 0.

        Returns
        -------
        numpy.ndarray
            Hazard [1 / h, km or d]: density over survival.
        """
        z, at = self._standard(time), np.maximum(time, SMALLEST_TIME)
        with np.errstate(over="ignore", invalid="ignore"):
            log_ratio = self.form.log_density(z) - self.form.log_survival(z)
            return np.asarray(np.exp(log_ratio + np.log(self.steepness / at)))

    def quantile(self, probability: ArrayLike) -> Floats:
        """Time by which the end has come with a probability.

        Parameters
        ----------
        probability : float or array-like
            From 0 to 1; NaN outside.

        Returns
        -------
        numpy.ndarray
            Time [h, km or d].
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            z = self.form.quantile(np.asarray(probability, dtype=np.float64))
        return self.scale * np.exp(z / self.steepness)

    def restricted_mean(self, time: ArrayLike) -> Floats:
        """Mean time in use if everything is ended at a time: integral of the survival.

        Parameters
        ----------
        time : float or array-like
            Time [h, km or d]; infinite for the mean lifetime.

        Returns
        -------
        numpy.ndarray
            Mean [h, km or d].
        """
        units = np.asarray(time, dtype=np.float64) / self.scale
        with np.errstate(divide="ignore", over="ignore"):
            return self.scale * self.form.restricted_mean(units, self.steepness)

    def scale_limits(self, confidence: float = CONFIDENCE) -> tuple[float, float]:
        """Confidence limits of the scale.

        Parameters
        ----------
        confidence : float, default 0.95
            Between 0 and 1.

        Returns
        -------
        tuple of float
            Lower and upper limit [h, km or d]; 0 and infinite where the data set none.
        """
        return self._time_limits(0.0, self.scale, confidence)

    def quantile_limits(
        self, probability: float, confidence: float = CONFIDENCE
    ) -> tuple[float, float]:
        """Confidence limits of the time by which the end has come with a probability.

        Parameters
        ----------
        probability : float
            Between 0 and 1.
        confidence : float, default 0.95
            Between 0 and 1.

        Returns
        -------
        tuple of float
            Lower and upper limit [h, km or d]; 0 and infinite where the data set none.
        """
        z = float(self.form.quantile(np.asarray(float(probability))))
        return self._time_limits(z, float(self.quantile(probability)), confidence)

    def _time_limits(self, z: float, estimate: float, confidence: float) -> tuple[float, float]:
        if self._likelihood is None or self._summit is None:
            return estimate, estimate
        low, high = log_quantile_limits(self._likelihood, self._summit, z, confidence)
        with np.errstate(over="ignore"):
            return float(np.exp(low)), float(np.exp(high))

    def shape_limits(self, confidence: float = CONFIDENCE) -> tuple[float, float]:
        """Confidence limits of the shape.

        Parameters
        ----------
        confidence : float, default 0.95
            Between 0 and 1.

        Returns
        -------
        tuple of float
            Lower and upper limit; both 1 for an exponential lifetime.
        """
        low, high = (other.shape for other in self.at_shape_limits(confidence))
        return (low, high) if low <= high else (high, low)

    def at_shape_limits(self, confidence: float = CONFIDENCE) -> tuple["Lifetime", "Lifetime"]:
        """Give the least and the most wearing lifetime that the data allow.

        Parameters
        ----------
        confidence : float, default 0.95
            Between 0 and 1.

        Returns
        -------
        tuple of Lifetime
            With the least and the greatest steepness, each with the scale that then fits best.
        """
        if self._likelihood is None or self._summit is None or not self.form.shape_is_free:
            return self, self
        low, high = log_steepness_limits(self._likelihood, self._summit, confidence)
        return self._moved_to(low), self._moved_to(high)

    def _moved_to(self, limit: tuple[float, float]) -> "Lifetime":
        with np.errstate(over="ignore", divide="ignore"):
            scale, steepness = np.exp(limit)
            # Shape and steepness are the same or each other's inverse, so this also turns back.
            return Lifetime(self.family, float(scale), float(self.form.steepness(steepness)))

    def survival_limits(self, time: float, confidence: float = CONFIDENCE) -> tuple[float, float]:
        """Confidence limits of the probability that the end comes after a time.

        Parameters
        ----------
        time : float
            Time above 0 [h, km or d].
        confidence : float, default 0.95
            Between 0 and 1.

        Returns
        -------
        tuple of float
            Lower and upper limit.
        """
        if self._likelihood is None or self._summit is None:
            return float(self.survival(time)), float(self.survival(time))
        limits = np.array(failure_limits(self._likelihood, self._summit, np.log(time), confidence))
        low, high = np.exp(self.form.log_survival(limits[::-1]))
        return float(low), float(high)
