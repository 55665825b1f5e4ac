"""First crossings of a bound by every fill of a fleet, as a table."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import ndtri

from chemcheck.forecasting.fill_rows import Floats, Integers
from chemcheck.forecasting.first_passage import Approach, probability_reached, travel_quantiles
from chemcheck.forecasting.fleet_model import FleetModel

AHEAD, OUTSIDE, NEVER, NO_BOUND = "ahead", "outside now", "not at this rate", "no bound"

# Normal scores further out than this are as good as certain.
SURE = 30.0


@dataclass(frozen=True, slots=True)
class Outlook:
    """A fleet facing a bound, on the scale of the arithmetic.

    Parameters
    ----------
    model : FleetModel
        The fleet.
    bound : numpy.ndarray, shape (fills,)
        Bound of each fill in the readings' unit; NaN where there is none.
    above : bool
        Whether passing means rising above the bound.
    """

    model: FleetModel
    bound: Floats
    above: bool

    @property
    def last_axis(self) -> Floats:
        """Axis of each fill's last sample, in the user's unit."""
        rows = self.model.rows
        last: Floats = rows.design[1, rows.last] * self.model.scale.axis
        return last

    def approach(self) -> Approach:
        """Distance and closing rate of every fill at its last sample."""
        model, rows = self.model, self.model.rows
        sign = 1.0 if self.above else -1.0
        mean, variance = model.posterior.path(rows.last)
        rate, rate_variance, shared = model.posterior.rates(rows.last)
        room = (self.bound - model.scale.level(rows.design[:, rows.last])) / model.scale.reading
        closing = sign * (rate + model.scale.baseline[1] / model.scale.reading)
        return Approach(
            (sign * (room - mean))[None],
            variance[None],
            closing[None],
            rate_variance[None],
            -shared[None],
            np.full((1, 1), model.variances.walk),
            np.ones(1),
        )

    def slopes(self) -> Floats:
        """Return the expected rate of every fill in the user's units."""
        scale = self.model.scale
        rate, _, _ = self.model.posterior.rates(self.model.rows.last)
        slopes: Floats = (scale.baseline[1] + scale.reading * rate) / scale.axis
        return slopes

    def crossed_before(self, fills: Integers, probabilities: Floats) -> Floats:
        """Axis at which some fills had passed with given probabilities, by their last sample.

        The chance of having passed by a sample is the largest chance of being beyond up to it;
        its normal score runs straight between samples. Infinite where it does not come to the
        probability. Shape (probabilities, fills).
        """
        model = self.model
        rows, kept = model.rows.select(fills)
        sign = 1.0 if self.above else -1.0
        mean, variance = model.posterior.path(kept)
        first_mean, first_variance = model.posterior.origin(fills)
        first_design = model.rows.design[:, model.rows.starts[fills]].copy()
        first_design[1] = 0.0
        # One point for the start of each fill, then its samples.
        at = np.insert(rows.design[1], rows.starts, 0.0)
        level = np.insert(
            model.scale.level(rows.design), rows.starts, model.scale.level(first_design)
        )
        mean = level + model.scale.reading * np.insert(mean, rows.starts, first_mean)
        deviation = model.scale.reading * np.sqrt(np.insert(variance, rows.starts, first_variance))
        fill = np.insert(rows.fill, rows.starts, np.arange(fills.size))
        starts = rows.starts + np.arange(fills.size)
        score = sign * (mean - self.bound[fills][fill]) / np.maximum(deviation, 1e-300)
        lift = 2.0 * SURE * fill
        passed = np.maximum.accumulate(np.clip(score, -SURE, SURE) + lift) - lift
        result = np.empty((probabilities.size, fills.size))
        for i, p in enumerate(ndtri(probabilities)):
            place = np.where(passed >= p, np.arange(at.size), at.size)
            hit = np.minimum.reduceat(place, starts)
            none = hit == at.size
            hit = np.where(none, starts, hit)
            before = np.maximum(hit - 1, starts)
            rise = passed[hit] - passed[before]
            share = np.where(rise > 0.0, (p - passed[before]) / np.where(rise > 0, rise, 1.0), 1.0)
            crossed = at[before] + share * (at[hit] - at[before])
            result[i] = np.where(none, np.inf, crossed * model.scale.axis)
        return result

    def quantiles(self, probabilities: Floats, horizon: float) -> Floats:
        """Axis of the first crossing at each probability, shape (probabilities, fills)."""
        approach, last, scale = self.approach(), self.last_axis, self.model.scale.axis
        judged = np.flatnonzero(np.isfinite(self.bound))
        result = np.full((probabilities.size, self.bound.size), np.nan)
        travel = travel_quantiles(
            approach.take(judged), probabilities, np.maximum(horizon - last[judged], 0.0) / scale
        )
        result[:, judged] = last[judged] + scale * travel
        late = judged[approach.take(judged).probability_beyond() > probabilities.min()]
        if late.size:
            earlier = self.crossed_before(late, probabilities)
            result[:, late] = np.minimum(result[:, late], earlier)
        return np.where(result > horizon, np.inf, result)

    def reached(self, axis: Floats) -> Floats:
        """Return the chance that each fill has passed its bound by a place on the axis."""
        approach = self.approach()
        travelled = np.maximum(axis - self.last_axis, 0.0) / self.model.scale.axis
        probability = probability_reached(approach, travelled)
        return np.where(axis < self.last_axis, np.nan, probability)

    def table(
        self, labels: NDArray[np.object_], probabilities: Floats, horizon: float
    ) -> pd.DataFrame:
        """Crossings, status and rate of every fill."""
        approach = self.approach()
        beyond = approach.probability_beyond()
        asked = np.append(probabilities, 0.5)
        quantiles = self.quantiles(asked, horizon)
        status = np.where(np.isfinite(quantiles[-1]), AHEAD, NEVER)
        status = np.where(beyond >= 0.5, OUTSIDE, status)
        status = np.where(np.isfinite(self.bound), status, NO_BOUND)
        columns: dict[str, object] = {
            f"p{100.0 * p:g}": quantiles[i] for i, p in enumerate(probabilities)
        }
        columns["status"] = status
        columns["probability_outside_now"] = beyond
        columns["slope"] = self.slopes()
        return pd.DataFrame(columns, index=pd.Index(labels, name="group"))
