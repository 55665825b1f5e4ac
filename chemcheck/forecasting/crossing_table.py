"""First crossings of a bound by every fill of a fleet, as a table."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import ndtri

from chemcheck.forecasting.fill_rows import Floats, Integers
from chemcheck.forecasting.first_passage import (
    Approach,
    probability_reached,
    together,
    travel_quantiles,
)
from chemcheck.forecasting.outlook import SURE, Outlook

AHEAD, OUTSIDE, NEVER, NO_BOUND = "ahead", "outside now", "not at this rate", "no bound"


@dataclass(frozen=True, slots=True)
class Crossings:
    """A fleet facing a bound on every curve that it may follow.

    Parameters
    ----------
    outlooks : tuple of Outlook
        The fleet on each curve, the one that was chosen first. All transform the axis alike.
    shares : numpy.ndarray, shape (curves,)
        How likely each curve is.
    """

    outlooks: tuple[Outlook, ...]
    shares: Floats

    def approach(self) -> Approach:
        """Distance and closing rate of every fill, in all ways of all curves."""
        return together([one.approach() for one in self.outlooks], self.shares)

    def crossed_before(self, fills: Integers, probabilities: Floats) -> Floats:
        """Axis at which some fills had passed with given probabilities, by their last sample.

        The chance of having passed by a place is the largest chance of being beyond up to it.
        Infinite where the chance does not come to the probability. Shape (probabilities, fills).
        """
        parts = [one.beyond_before(fills) for one in self.outlooks]
        past = parts[0]
        if len(parts) > 1:
            chances = [part.chance for part in parts]
            past = replace(past, chance=np.einsum("c,cn->n", self.shares, np.array(chances)))
        lift = 2.0 * SURE * past.fill
        score = np.clip(ndtri(past.chance), -SURE, SURE)
        passed = np.maximum.accumulate(score + lift) - lift
        at, starts = past.at, past.starts
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
            result[i] = np.where(none, np.inf, crossed * self.outlooks[0].model.scale.axis)
        return result

    def quantiles(self, approach: Approach, probabilities: Floats, horizon: float) -> Floats:
        """Axis of the first crossing at each probability, shape (probabilities, fills)."""
        outlook = self.outlooks[0]
        model, bound = outlook.model, outlook.bound
        curve, scale = model.curve, model.scale.axis
        last, farthest = curve.axis(model.last_axis()), curve.axis(np.array([horizon]))
        # A bound at nothing, or without end, is never passed or always.
        judged = np.flatnonzero(np.isfinite(bound))
        approach = approach.take(judged)
        result = np.full((probabilities.size, bound.size), np.nan)
        result[:, np.isposinf(bound)] = np.inf if outlook.above else -np.inf
        result[:, np.isneginf(bound)] = -np.inf if outlook.above else np.inf
        room = np.maximum(farthest - last[judged], 0.0) / scale
        travel = travel_quantiles(approach, probabilities, room)
        result[:, judged] = last[judged] + scale * travel
        late = judged[approach.probability_beyond() > probabilities.min()]
        if late.size:
            earlier = self.crossed_before(late, probabilities)
            result[:, late] = np.minimum(result[:, late], earlier)
        result = curve.axis_back(np.maximum(result, model.origin * scale))
        return np.where(result > horizon, np.inf, result)

    def reached(self, axis: Floats) -> Floats:
        """Return the chance that each fill has passed its bound by a place on the axis."""
        outlook = self.outlooks[0]
        model = outlook.model
        curve, last = model.curve, model.last_axis()
        judged = np.flatnonzero(np.isfinite(outlook.bound) & (axis >= last))
        travelled = (curve.axis(axis[judged]) - curve.axis(last[judged])) / model.scale.axis
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
        status = np.where(np.isnan(self.outlooks[0].bound), NO_BOUND, status)
        columns: dict[str, object] = {
            f"p{100.0 * p:g}": quantiles[np.searchsorted(asked, p)] for p in probabilities
        }
        columns["status"] = status
        # Sums of weights may pass one by a rounding.
        columns["probability_outside_now"] = np.clip(beyond, 0.0, 1.0)
        columns["slope"] = self.shares @ np.array([one.slopes() for one in self.outlooks])
        return pd.DataFrame(columns, index=pd.Index(labels, name="group"))
