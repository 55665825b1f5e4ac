"""The estimator that pools a fleet's trends and says when each fill reaches a bound."""

from collections.abc import Sequence
from typing import Any, Self

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.utils.validation import check_is_fitted, validate_data

from chemcheck.forecasting.crossing_table import Crossings
from chemcheck.forecasting.curve_average import fit_curves
from chemcheck.forecasting.curves import NAMES, SHAPES
from chemcheck.forecasting.fill_rows import Floats, Integers, fill_codes
from chemcheck.forecasting.fleet_readings import (
    FleetReadings,
    checked_bounds,
    checked_breaks,
    checked_doubts,
    demand_one_of,
    upper_ends,
)
from chemcheck.forecasting.model_choice import HEAVY, INDEPENDENT, WALK, as_rows
from chemcheck.forecasting.moving_bound import check_drift

CURVES = ("auto", *NAMES)
ERRORS = ("auto", INDEPENDENT, WALK, HEAVY)
# How far beyond the longest axis seen a crossing is looked for, unless the caller says.
HORIZON_FACTOR = 20.0
# Equally likely readings drawn for a place.
DRAWS = 101


class FleetTrend(RegressorMixin, BaseEstimator):  # type: ignore[misc]  # scikit-learn is untyped
    """Trend of one analyte over all fills of a fleet, and when each reaches a bound.

    Every fill has a start and a rate of its own, drawn from the fleet's; beside each reading's
    error the true value may walk off its line as the axis goes on. All variances are found from
    the whole fleet by restricted maximum likelihood, so that a fill with few samples borrows
    from the others, and a fill with one sample has the fleet's rate with an honest width.

    Parameters
    ----------
    curve : {"auto", "straight", "exponential", "power", "asymptotic"}, default "auto"
        ``straight``: the reading changes in proportion to the axis. ``exponential``: its
        logarithm does, as in first-order loss; errors are then in proportion to the reading.
        ``power``: it changes in proportion to a power of the axis. ``asymptotic``: it levels off
        exponentially. ``auto``: the straight line, unless another is clearly more likely and
        foresees each fill's last reading no worse; where readings leave open whether it is
        straight or exponential, forecasts are averaged over both.
    errors : {"auto", "independent", "walk", "heavy"}, default "auto"
        ``independent``: each reading errs on its own. ``walk``: the true value also departs from
        its line by a Wiener process, whose variance grows with the axis. ``heavy``: beside a
        walk, a share of the readings errs five times as widely. ``auto``: by likelihood and by
        coverage of each fill's last reading; a walk is left out only if the data rule out one
        that matters.

    Attributes
    ----------
    groups_ : numpy.ndarray, shape (fills,)
        The fills, in the order of every per-fill result.
    curve_, errors_ : str
        What was chosen.
    shape_ : float
        Exponent of the axis of ``power``, loss of rate [1 / axis unit] of ``asymptotic``; NaN of
        other curves.
    curve_shares_ : dict of str to float
        How likely each curve is that forecasts are averaged over: the one chosen alone, or with
        its rival, straight or exponential, where the readings leave that open.
    candidates_ : pandas.DataFrame
        What was tried, the choice first: curve, shape, errors, how many fills it was tried on,
        log-likelihood (comparable for the same fills), median absolute error and 80 % coverage
        of each fill's last reading foreseen from those before.
    fixed_effects_ : numpy.ndarray, shape (n_features_in_ + 1,)
        Fleet's start [reading], rate [reading per axis unit], effects of the further columns;
        of the logarithm of the reading for ``exponential``, by the transformed axis for
        ``power`` (x^p) and ``asymptotic`` ((1 - exp(-k x)) / k). So are all variances below.
    fixed_effects_covariance_ : numpy.ndarray, shape (n_features_in_ + 1, n_features_in_ + 1)
        Their covariance.
    random_covariance_ : numpy.ndarray, shape (2, 2)
        Covariance of start and rate between fills; zero for a single fill.
    noise_variance_ : float
        Variance of a reading's error.
    walk_variance_ : float
        Variance that the walk gains over one unit of the axis.
    group_effects_ : numpy.ndarray, shape (fills, 2)
        Each fill's departure from the fleet's start and rate.
    wild_share_ : float
        Share of readings with far wider errors; 0 unless the errors are ``heavy``.
    approximation_ : str
        How readings that are not plain were taken in: ``none``, or ``expectation propagation``.
    variance_fills_ : int
        How many fills the variances were found from: all, unless the fleet is very large.
    restricted_log_likelihood_ : float
        Restricted log-likelihood: densities of exact readings, probabilities of intervals.
    intercept_, slope_, scale_ : float
        Fleet's start and rate, and the standard deviation of a reading's error.
    last_axis_ : numpy.ndarray, shape (fills,)
        Axis of each fill's last sample.
    horizon_ : float
        Axis beyond which no crossing is reported, unless asked.
    n_features_in_ : int
        Columns of X.

    Notes
    -----
    A reading is y = b0 + u0 + (b1 + u1) x + c'z + W(x) + e, with (u0, u1) normal between fills,
    W a Wiener process that is 0 at the fill, e normal [1]_, [2]_. X's first column is the axis x
    since the fill [h, km or d]; further columns z are covariates with one effect for the whole
    fleet, held at their last value in a forecast.

    A reading may be an interval. Its likelihood is the probability of the interval; several
    intervals in one fill are combined by expectation propagation [3]_, an approximation. An
    interval whose lower end is 0 is a non-detect and counts as 'below the upper end': a
    concentration cannot be negative, but concentration plus error can.

    Cross-validation that asks about fills not yet seen keeps the readings of a fill together and
    passes the fills to `fit`: ``cross_val_score(trend, X, y, groups=fill, cv=GroupKFold(),
    params={"groups": fill})``. The fills held out are then foreseen by the fleet's line.

    References
    ----------
    .. [1] Laird, N. M. and Ware, J. H. (1982), Random-effects models for longitudinal data,
       Biometrics 38, 963-974.
    .. [2] Whitmore, G. A. (1995), Estimating degradation by a Wiener diffusion process subject
       to measurement error, Lifetime Data Analysis 1, 307-319.
    .. [3] Rasmussen, C. E. and Williams, C. K. I. (2006), Gaussian Processes for Machine
       Learning, MIT Press, section 3.6.

    Examples
    --------
    Three fills that lose about 1 unit of reserve alkalinity in 1,000 h, the bound at 6:

    >>> hours = [[0], [500], [1000], [0], [500], [1000], [0], [500]]
    >>> reserve = [10.0, 9.4, 9.1, 9.9, 9.5, 8.8, 10.1, 9.6]
    >>> unit = ["a", "a", "a", "b", "b", "b", "c", "c"]
    >>> trend = FleetTrend(errors="independent").fit(hours, reserve, groups=unit)
    >>> round(1000 * trend.slope_, 2)
    -1.01
    >>> crossing = trend.first_crossing(6.0, "below")
    >>> crossing["status"].tolist()
    ['ahead', 'ahead', 'ahead']
    """

    def __init__(self, curve: str = "auto", errors: str = "auto") -> None:
        self.curve = curve
        self.errors = errors

    def fit(
        self,
        X: ArrayLike,
        y: ArrayLike,
        groups: ArrayLike | None = None,
        y_upper: ArrayLike | None = None,
        breaks: ArrayLike | None = None,
        doubts: ArrayLike | None = None,
    ) -> Self:
        """Fit the fleet's trends.

        Parameters
        ----------
        X : array-like, shape (n_samples, n_features)
            First column: axis since the fill. Further columns: covariates.
        y : array-like, shape (n_samples,)
            Readings; the lower end where they are intervals. Finite.
        groups : array-like, shape (n_samples,), optional
            Fill of each reading. None: all readings are of one fill.
        y_upper : array-like, shape (n_samples,), optional
            Upper end of each reading, infinite for 'above'. None: all readings are exact.
        breaks : array-like of bool, shape (n_samples,), optional
            Readings before which, since the one before in the fill, the level moved by an amount
            that nobody knows: a dose. The fill keeps its rate and takes its level from there on.
        doubts : array-like, shape (n_samples, n_doubts), optional
            What one standard deviation of each thing that readings share, such as the offset of a
            laboratory, adds to them. These things are normal and independent of each other; the
            fills are forecast over the values that they may have.

        Returns
        -------
        FleetTrend
            Itself.

        Raises
        ------
        ValueError
            If an option or a shape is wrong, or an upper end is below its lower end.
        NotEnoughDataError
            If the readings cannot tell a rate and its error.
        """
        demand_one_of(self.curve, CURVES, "curve")
        demand_one_of(self.errors, ERRORS, "kind of errors")
        checked = validate_data(self, X, y, y_numeric=True, dtype=np.float64, ensure_min_samples=2)
        features, lower = (np.asarray(part, dtype=np.float64) for part in checked)
        upper = upper_ends(lower, y_upper)
        codes, labels = fill_codes(groups, lower.size)
        left_open = np.where((lower == 0.0) & (upper > 0.0), -np.inf, lower)
        fleet = FleetReadings(
            codes,
            features,
            left_open,
            upper,
            checked_breaks(breaks, lower.size),
            checked_doubts(doubts, lower.size),
        )
        self._average = fit_curves(fleet, self.curve, self.errors)
        self._model = model = self._average.best
        self._one_fill = groups is None
        self.groups_ = labels
        self.curve_, self.errors_ = model.curve.name, model.errors
        self.shape_ = model.curve.shape if model.curve.name in SHAPES else float("nan")
        curves = (one.curve.name for one in self._average.models)
        self.curve_shares_ = dict(zip(curves, self._average.shares.tolist(), strict=True))
        self.candidates_ = pd.DataFrame(as_rows(model.candidates))
        scale, best = model.scale, model.variances
        turn = scale.unscale()
        self.fixed_effects_ = turn @ (scale.baseline + scale.reading * model.line.coefficients[0])
        self.fixed_effects_covariance_ = scale.reading**2 * turn @ model.line.covariance[0] @ turn.T
        size = scale.reading * np.diag(turn)[:2]
        self.random_covariance_ = best.spread()[0] * np.outer(size, size)
        self.noise_variance_ = scale.reading**2 * float(best.noise[0])
        self.walk_variance_ = scale.reading**2 * float(best.walk[0]) / scale.axis
        effects = np.einsum("k,ikf->fi", model.weights, model.posterior.effects())
        self.group_effects_ = effects * size
        self.wild_share_ = float(best.wild[0])
        self.approximation_ = "expectation propagation" if model.special else "none"
        self.variance_fills_ = model.variance_fills
        self.restricted_log_likelihood_ = model.log_likelihood
        self.intercept_, self.slope_ = (float(value) for value in self.fixed_effects_[:2])
        self.scale_ = float(np.sqrt(self.noise_variance_))
        self.last_axis_ = model.last_axis()
        self.horizon_ = HORIZON_FACTOR * float(np.max(np.abs(features[:, 0])))
        return self

    def predict(
        self,
        X: ArrayLike,
        groups: ArrayLike | None = None,
        return_std: bool = False,
        include_error: bool = True,
    ) -> Floats | tuple[Floats, Floats]:
        """Predict the reading at places on the axis.

        Parameters
        ----------
        X : array-like, shape (n_samples, n_features)
            Places, in the columns of `fit`.
        groups : array-like, shape (n_samples,), optional
            Fill of each place. A fill not seen in `fit`, or None after a fit with groups, gets
            the fleet's line.
        return_std : bool, default False
            Whether to return the standard deviation of a reading there: of the fleet's line, the
            fill's own departure, the walk, and the reading's error together.
        include_error : bool, default True
            Whether that holds the reading's error. Without it is that of the true value.

        Returns
        -------
        mean : numpy.ndarray, shape (n_samples,)
            Expected reading.
        std : numpy.ndarray, shape (n_samples,)
            Standard deviation, if asked for. For a fill not seen after a fit on one fill it is
            infinite: one fill cannot tell how fills differ.
        """
        check_is_fitted(self)
        features = np.asarray(validate_data(self, X, reset=False, dtype=np.float64))
        if groups is None:
            codes = np.full(features.shape[0], 0 if self._one_fill else -1, dtype=np.intp)
        else:
            codes = self._codes(groups, features.shape[0])
        mean, variance = self._average.beside(codes, features, include_error=include_error)
        if not return_std:
            return mean
        if self.groups_.size == 1:
            variance = np.where(codes < 0, np.inf, variance)
        return mean, np.sqrt(variance)

    def draw(
        self, X: ArrayLike, groups: ArrayLike, include_error: bool = True, draws: int = DRAWS
    ) -> Floats:
        """Draw equally likely readings at places on the axis: their quantiles make a band.

        Parameters
        ----------
        X, groups, include_error, draws
            As for `predict`; how many for each place.

        Returns
        -------
        numpy.ndarray, shape (n_samples, draws)
            Not random: middles of equally likely parts, those of each curve together.
        """
        check_is_fitted(self)
        features = np.asarray(validate_data(self, X, reset=False, dtype=np.float64))
        codes = self._codes(groups, features.shape[0])
        return self._average.draw(codes, features, draws, include_error=include_error)

    def first_crossing(
        self,
        bound: ArrayLike,
        side: str,
        quantiles: Sequence[float] = (0.1, 0.5, 0.9),
        horizon: float | None = None,
        drift: pd.DataFrame | None = None,
    ) -> pd.DataFrame:
        """When the true value of each fill first passes a bound.

        Parameters
        ----------
        bound : float, or array-like of shape (fills,) in the order of `groups_`, or Series
            Bound [reading]; a Series is matched by fill. NaN: the fill has no bound.
        side : {"above", "below"}
            On which side of the bound the value is out of bounds.
        quantiles : sequence of float, default (0.1, 0.5, 0.9)
            Probabilities, each above 0 and below 1.
        horizon : float, optional
            Axis beyond which no crossing is reported; 20 times the longest axis seen in `fit`.
        drift : DataFrame, optional
            Indexed by fill: how the bound moves from the fill's last sample on. ``rate`` of its
            logarithm [1 / axis unit], ``variance`` of that rate, and ``walk``, the variance that
            the logarithm gains over one axis unit.

        Returns
        -------
        pandas.DataFrame
            Indexed by fill: ``p10``, ``p50``, ``p90`` (or as asked), the axis since the fill by
            which the value has passed with that probability, infinite if not by the horizon,
            NaN without a bound; ``status``, one of ``ahead``, ``outside now`` (more likely
            beyond than not at the last sample), ``not at this rate`` (more likely not by the
            horizon) and ``no bound``; ``probability_outside_now``; ``slope`` [reading per axis
            unit].

        Notes
        -----
        The value crosses, not the reading: the reading's error is left out. How sure the fill's
        start and rate are, the fleet's line and the walk are all in.
        """
        crossings = self._crossings(bound, side, drift)
        probabilities = np.asarray(quantiles, dtype=np.float64)
        if probabilities.size == 0 or not ((probabilities > 0) & (probabilities < 1)).all():
            message = f"quantiles: {list(quantiles)}: expected probabilities between 0 and 1"
            raise ValueError(message)
        farthest = self.horizon_ if horizon is None else float(horizon)
        return crossings.table(self.groups_, probabilities, farthest)

    def crossing_probability(self, bound: ArrayLike, side: str, axis: ArrayLike) -> pd.Series:
        """Probability that each fill has passed a bound by a place on the axis.

        Parameters
        ----------
        bound, side
            As in `first_crossing`.
        axis : float or array-like of shape (fills,)
            Axis since the fill, not before the fill's last sample.

        Returns
        -------
        pandas.Series
            Probability, indexed by fill; NaN before the last sample or without a bound.
        """
        crossings = self._crossings(bound, side)
        places = np.broadcast_to(np.asarray(axis, dtype=np.float64), self.groups_.shape)
        return pd.Series(
            crossings.reached(places),
            index=pd.Index(self.groups_, name="group"),
            name="probability",
        )

    def rates(self) -> pd.DataFrame:
        """How fast each fill changes, on the curve's scale, and how sure that is.

        Returns
        -------
        pandas.DataFrame
            Indexed by fill: ``rate``, of the logarithm of the reading for ``exponential`` and by
            the transformed axis for ``power`` and ``asymptotic``, and its ``variance``.
        """
        check_is_fitted(self)
        rate, variance = self._model.rates()
        return pd.DataFrame(
            {"rate": rate, "variance": variance},
            index=pd.Index(self.groups_, name="group"),
        )

    def _crossings(self, bound: Any, side: str, drift: pd.DataFrame | None = None) -> Crossings:
        check_is_fitted(self)
        demand_one_of(side, ("above", "below"), "side")
        if isinstance(bound, pd.Series):
            bound = bound.reindex(self.groups_)
        values = checked_bounds(bound, self.groups_.size)
        known = None if drift is None else check_drift(drift, self.groups_)
        return self._average.facing(values, side == "above", known)

    def _codes(self, groups: ArrayLike, rows: int) -> Integers:
        """Position of each row's fill in `groups_`, -1 for one not seen."""
        codes, labels = fill_codes(groups, rows)
        places: Integers = pd.Index(self.groups_).get_indexer(pd.Index(labels))[codes]
        return places
