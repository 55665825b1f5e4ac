"""A fleet on one curve facing a bound: how far away it is, how fast it comes nearer."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from chemcheck.forecasting.fill_rows import Floats, Integers
from chemcheck.forecasting.first_passage import Approach
from chemcheck.forecasting.fleet_model import FleetModel
from chemcheck.forecasting.moving_bound import MovingBound, MovingBounds
from chemcheck.forecasting.variance_search import typical_step

# Normal scores further out than this are as good as certain.
SURE = 30.0
# Where a curve never comes to a bound, in readings' scatters.
FAR = 1e6
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
        room = _finite(room, FAR)
        closing = sign * (rate + model.scale.baseline[1] / model.scale.reading)
        return Approach(
            sign * (room - mean),
            variance,
            closing,
            rate_variance,
            -shared,
            model.ways.walk[:, None],
            model.weights,
            None if self.moving is None else MovingBounds((self.moving,), (model.ways.ways,)),
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

    def beyond_before(self, fills: Integers) -> "Past":
        """Return how likely some fills were beyond the bound up to their last sample.

        Between samples the distance to the bound, in standard deviations, runs straight. What was
        before a break of the fill does not count: a dose mended it.
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
        bound = _finite(self.bound[fills], FAR * model.scale.reading)[fill]
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
        return Past(at, np.clip(model.weights @ ndtr(score), 0.0, 1.0), fill, starts)


@dataclass(frozen=True, slots=True)
class Past:
    """Chance of being beyond the bound at places up to the last sample, fill by fill.

    Parameters
    ----------
    at : numpy.ndarray, shape (n,)
        Places on the scaled axis.
    chance : numpy.ndarray, shape (n,)
        Chance there.
    fill : numpy.ndarray, shape (n,)
        Fill of each place, from 0.
    starts : numpy.ndarray, shape (fills,)
        First place of each fill.
    """

    at: Floats
    chance: Floats
    fill: Integers
    starts: Integers


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


def _finite(values: Floats, farthest: float) -> Floats:
    """Put what is infinite far away instead."""
    finite: Floats = np.where(np.isinf(values), np.sign(values) * farthest, values)
    return finite
