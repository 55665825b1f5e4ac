"""A fleet on the curves that its readings cannot tell apart, each with its share.

A few samples of each fill often fit a straight line as well as a first-order loss, and the two
part ways only where the forecast goes. A band on one of them, however narrow, is then half of the
truth. The forecast is therefore averaged over both.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import expit, ndtri

from chemcheck.forecasting.crossing_table import Crossings
from chemcheck.forecasting.curves import EXPONENTIAL, STRAIGHT
from chemcheck.forecasting.fill_rows import Floats, Integers
from chemcheck.forecasting.fleet_model import FleetModel, fit_candidate, fit_fleet
from chemcheck.forecasting.fleet_readings import FleetReadings
from chemcheck.forecasting.model_choice import HEAVY, Candidate
from chemcheck.forecasting.moving_bound import DRIFT_COLUMNS, MovingBound
from chemcheck.forecasting.outlook import Outlook

# Curves that leave the axis as it is, so that their crossings can be put together.
LIKE_AXES = (STRAIGHT, EXPONENTIAL)
# A curve less likely than this is left out.
LEAST_SHARE = 0.03


@dataclass(frozen=True, slots=True)
class CurveAverage:
    """A fleet on every curve that it may follow.

    Parameters
    ----------
    models : tuple of FleetModel
        The fleet on each curve, the one that was chosen first.
    shares : numpy.ndarray, shape (curves,)
        How likely each is; they add up to 1.
    """

    models: tuple[FleetModel, ...]
    shares: Floats

    @property
    def best(self) -> FleetModel:
        """The fleet on the curve that was chosen."""
        return self.models[0]

    def facing(self, bound: Floats, above: bool, drift: pd.DataFrame | None) -> Crossings:
        """Let the fleet face its bounds.

        Parameters
        ----------
        bound : numpy.ndarray, shape (fills,)
            In the user's unit; NaN where there is none.
        above : bool
            Whether passing means rising above the bound.
        drift : DataFrame or None
            How the bounds move, as `check_drift` returns it.
        """
        outlooks = [
            Outlook(
                one,
                one.curve.reading(bound),
                above,
                None if drift is None else _moving(one, bound, above, drift),
            )
            for one in self.models
        ]
        return Crossings(tuple(outlooks), self.shares)

    def beside(
        self, codes: Integers, features: Floats, *, include_error: bool = True
    ) -> tuple[Floats, Floats]:
        """Return mean and variance of a reading at further places, in its unit, (n,).

        Parameters
        ----------
        codes, features, include_error
            As for `FleetModel.beside`.
        """
        parts = [
            one.curve.reading_back(*one.beside(codes, features, include_error=include_error))
            for one in self.models
        ]
        means, variances = np.array(parts).swapaxes(0, 1)
        mean = self.shares @ means
        variance = self.shares @ (variances + (means - mean) ** 2)
        return mean, variance

    def draw(
        self, codes: Integers, features: Floats, draws: int, *, include_error: bool = True
    ) -> Floats:
        """Draw equally likely readings at further places, in their unit, (n, draws).

        Parameters
        ----------
        codes, features, include_error
            As for `FleetModel.beside`.
        draws : int
            How many; each curve has its share of them.
        """
        ends = np.round(draws * np.cumsum(np.append(0.0, self.shares))).astype(int)
        parts = []
        for one, count in zip(self.models, np.diff(ends).tolist(), strict=True):
            mean, variance = one.beside(codes, features, include_error=include_error)
            score = ndtri((np.arange(count) + 0.5) / max(count, 1))
            drawn = mean[:, None] + np.sqrt(variance)[:, None] * score
            parts.append(one.curve.reading_back(drawn, np.zeros_like(drawn))[0])
        return np.concatenate(parts, axis=1)


def _moving(model: FleetModel, bound: Floats, above: bool, drift: pd.DataFrame) -> MovingBound:
    """Return moving bounds on the scale of one curve."""
    return MovingBound(
        model.curve,
        model.scale.axis,
        model.scale.reading,
        1.0 if above else -1.0,
        bound,
        model.last_axis(),
        *(drift[name].to_numpy() for name in DRIFT_COLUMNS),
    )


def fit_curves(fleet: FleetReadings, curve: str, errors: str) -> CurveAverage:
    """Fit a fleet's trends on the curve chosen, and on its rival where the readings leave it open.

    Parameters
    ----------
    fleet, curve, errors
        As for `fit_fleet`.

    Returns
    -------
    CurveAverage
        The fitted fleet.

    Notes
    -----
    Straight line and exponential have as many parameters, so that their likelihoods at the best
    say how likely each is if both were equally likely before [1]_; where no fill has the readings
    to show a bend they stay so. Only a fleet small enough to be
    tried as a whole is averaged: a larger one tells its curve.

    References
    ----------
    .. [1] Hoeting, J. A., Madigan, D., Raftery, A. E. and Volinsky, C. T. (1999), Bayesian model
       averaging: a tutorial, Statistical Science 14, 382-401.
    """
    model = fit_fleet(fleet, curve, errors)
    rival = _rival(model, fleet) if curve == "auto" else None
    if rival is None:
        return CurveAverage((model,), np.ones(1))
    other, share = rival
    second = fit_candidate(fleet, other, (other,), auto=False)
    return CurveAverage((model, second), np.array([1.0 - share, share]))


def _rival(model: FleetModel, fleet: FleetReadings) -> tuple[Candidate, float] | None:
    """Return the curve beside the one chosen, and how likely it is."""
    best = model.candidates[0]
    if best.curve.name not in LIKE_AXES or best.errors == HEAVY:
        return None
    tried = [one for one in model.candidates if one.curve.name in LIKE_AXES]
    tried = [one for one in tried if one.errors != HEAVY and one.fills == fleet.fills]
    for other in tried:
        alike = [one for one in tried if one.curve == best.curve and one.errors == other.errors]
        if other.curve != best.curve and alike:
            share = float(expit(other.for_curve - alike[0].for_curve))
            return (other, share) if share > LEAST_SHARE else None
    return None
