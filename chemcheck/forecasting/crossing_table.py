"""First crossings of a bound by every fill of a fleet, as a table."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from chemcheck.forecasting.fill_rows import Floats, Integers
from chemcheck.forecasting.first_passage import Approach, probability_reached, travel_quantiles
from chemcheck.forecasting.fleet_model import FleetModel
from chemcheck.forecasting.moving_bound import MovingBound
from chemcheck.forecasting.variance_search import typical_step

AHEAD, OUTSIDE, NEVER, NO_BOUND = "ahead", "outside now", "not at this rate", "no bound"

# Normal scores further out than this are as good as certain.
SURE = 30.0
# Parts that the stretch between two samples is cut into, to date a crossing in the past.
PIECES = 8


@dataclass(frozen=True, slots=True)
class Outlook:
    """A fleet facing a bound, on the scale of the arithmetic.

    Parameters
    ----------
    model : FleetModel
        The fleet.
    bound : numpy.ndarray, shape (fills,)
        Bound of each fill on the curve's scale; NaN where there is none.
    above : bool
        Whether passing means rising above the bound.
    moving : MovingBound or None
        How the bounds move from the last sample on.
    """

    model: FleetModel
    bound: Floats
    above: bool
    moving: MovingBound | None = None

    def approach(self) -> Approach:
        """Distance and closing rate of every fill at its last sample."""
        model, rows = self.model, self.model.rows
        sign = 1.0 if self.above else -1.0
        mean, variance = model.posterior.path(rows.last)
        rate, rate_variance, shared = model.posterior.rates(rows.last)
        room = (self.bound - model.scale.level(rows.design[:, rows.last])) / model.scale.reading
        closing = sign * (rate + model.scale.baseline[1] / model.scale.reading)
        return Approach(
            sign * (room - mean),
            variance,
            closing,
            rate_variance,
            -shared,
            model.ways.walk[:, None],
            model.weights,
            self.moving,
        )

    def slopes(self) -> Floats:
        """Return the expected slope of every fill at its last sample in the user's units."""
        model, scale, rows = self.model, self.model.scale, self.model.rows
        last = rows.last
        rate, _, _ = model.posterior.rates(last)
        path, _ = model.posterior.path(last)
        level = scale.level(rows.design[:, last]) + scale.reading * (model.weights @ path)
        expected = (scale.baseline[1] + scale.reading * (model.weights @ rate)) / scale.axis
        # A power of less than 1 has no slope at the start: take it one step on.
        first = model.curve.axis_back(np.array([scale.axis * typical_step(rows)]))
        place = np.maximum(self.model.last_axis(), first)
        return model.curve.slope(expected, place, level)

    def crossed_before(self, fills: Integers, probabilities: Floats) -> Floats:
        """Axis at which some fills had passed with given probabilities, by their last sample.

        The chance of having passed by a place is the largest chance of being beyond up to it.
        Between samples the distance to the bound, in standard deviations, runs straight. What was
        before a break of the fill does not count: a dose mended it.
        Infinite where the chance does not come to the probability. Shape (probabilities, fills).
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
        mean = level + model.scale.reading * np.insert(mean, rows.starts, first_mean, axis=1)
        variance = np.insert(variance, rows.starts, first_variance, axis=1)
        deviation = model.scale.reading * np.sqrt(variance)
        fill = np.insert(rows.fill, rows.starts, np.arange(fills.size))
        starts = rows.starts + np.arange(fills.size)
        bound = self.bound[fills][fill]
        if self.moving is not None:
            since = at - model.rows.design[1, model.rows.last[fills]][fill]
            bound = (
                bound + sign * model.scale.reading * self.moving.take(fills[fill]).moved(since)[0]
            )
        score = sign * (mean - bound) / np.maximum(deviation, 1e-300)
        if rows.breaks is not None:
            latest = rows.after_breaks()
            first = latest[rows.starts] & ~rows.breaks[rows.starts]
            score = np.where(np.insert(latest, rows.starts, first), score, -SURE)
        at, score, fill, starts = _between(at, score, fill, starts)
        chance = np.clip(model.weights @ ndtr(score), 0.0, 1.0)
        score = ndtri(chance) if model.ways.ways > 1 else score[0]
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

    def quantiles(self, approach: Approach, probabilities: Floats, horizon: float) -> Floats:
        """Axis of the first crossing at each probability, shape (probabilities, fills)."""
        curve, scale = self.model.curve, self.model.scale.axis
        last, farthest = curve.axis(self.model.last_axis()), curve.axis(np.array([horizon]))
        # A bound at nothing, or without end, is never passed or always.
        judged = np.flatnonzero(np.isfinite(self.bound))
        approach = approach.take(judged)
        result = np.full((probabilities.size, self.bound.size), np.nan)
        result[:, np.isposinf(self.bound)] = np.inf if self.above else -np.inf
        result[:, np.isneginf(self.bound)] = -np.inf if self.above else np.inf
        room = np.maximum(farthest - last[judged], 0.0) / scale
        travel = travel_quantiles(approach, probabilities, room)
        result[:, judged] = last[judged] + scale * travel
        late = judged[approach.probability_beyond() > probabilities.min()]
        if late.size:
            earlier = self.crossed_before(late, probabilities)
            result[:, late] = np.minimum(result[:, late], earlier)
        result = curve.axis_back(np.maximum(result, self.model.origin * scale))
        return np.where(result > horizon, np.inf, result)

    def reached(self, axis: Floats) -> Floats:
        """Return the chance that each fill has passed its bound by a place on the axis."""
        curve, last = self.model.curve, self.model.last_axis()
        judged = np.flatnonzero(np.isfinite(self.bound) & (axis >= last))
        travelled = (curve.axis(axis[judged]) - curve.axis(last[judged])) / self.model.scale.axis
        probability = np.full(last.size, np.nan)
        probability[judged] = probability_reached(self.approach().take(judged), travelled)
        return probability

    def table(
        self, labels: NDArray[np.object_], probabilities: Floats, horizon: float
    ) -> pd.DataFrame:
        """Crossings, status and rate of every fill."""
        approach = self.approach()
        beyond = approach.probability_beyond()
        asked = np.union1d(probabilities, 0.5)
        quantiles = self.quantiles(approach, asked, horizon)
        median = quantiles[np.searchsorted(asked, 0.5)]
        status = np.where(np.isfinite(median), AHEAD, NEVER)
        status = np.where(beyond >= 0.5, OUTSIDE, status)
        status = np.where(np.isnan(self.bound), NO_BOUND, status)
        columns: dict[str, object] = {
            f"p{100.0 * p:g}": quantiles[np.searchsorted(asked, p)] for p in probabilities
        }
        columns["status"] = status
        # Sums of weights may pass one by a rounding.
        columns["probability_outside_now"] = np.clip(beyond, 0.0, 1.0)
        columns["slope"] = self.slopes()
        return pd.DataFrame(columns, index=pd.Index(labels, name="group"))


def _between(
    at: Floats, score: Floats, fill: Integers, starts: Integers
) -> tuple[Floats, Floats, Integers, Integers]:
    """Put points between those of each fill, places and scores on straight lines."""
    pieces = np.full(at.size, PIECES)
    pieces[starts] = 1
    upto = np.repeat(np.arange(at.size), pieces)
    first = np.cumsum(pieces) - pieces
    share = (np.arange(upto.size) - first[upto] + 1.0) / pieces[upto]
    since = np.where(pieces[upto] == 1, upto, upto - 1)
    places = at[since] + share * (at[upto] - at[since])
    scores = score[:, since] + share * (score[:, upto] - score[:, since])
    return places, scores, fill[upto], first[starts]
