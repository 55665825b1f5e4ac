"""The value of an analyte at which metal begins to be released faster."""

from dataclasses import dataclass

import numpy as np

from chemcheck.planning.release_runs import Pairs
from chemcheck.planning.standard_forms import Floats

# Places looked at, between these quantiles of the values seen.
CANDIDATES = 40
SPAN = (0.1, 0.9)
REPLICATES = 999
SIGNIFICANT = 0.05
# An interval over more of what was seen than this share does not place the change.
WIDEST = 0.5


@dataclass(frozen=True, slots=True)
class Threshold:
    """Where a rate changes.

    Parameters
    ----------
    value : float
        Best place [unit of the value]; NaN where the data cannot tell.
    low, high : float
        Its interval by resampling whole units; NaN likewise.
    p_value : float
        Chance of as clear a change anywhere if there were none; NaN without a test.
    reason : str or None
        Why the data cannot tell.
    """

    value: float
    low: float
    high: float
    p_value: float
    reason: str | None


def find_threshold(
    pairs: Pairs,
    side: str,
    least_units: int,
    rng: np.random.Generator,
    tails: tuple[float, float],
) -> Threshold:
    """Find the value beyond which metal is released faster.

    Parameters
    ----------
    pairs : Pairs
        Samples that follow each other.
    side : {"lower", "upper"}
        Whether low or high values are the bad ones.
    least_units : int
        Units needed on each side of a place looked at.
    rng : numpy.random.Generator
        For resampling.
    tails : tuple of float
        Probabilities of the ends of the interval.

    Returns
    -------
    Threshold
        With a reason where the data cannot tell.

    Notes
    -----
    The release of each stretch is taken as rate times use, the rate having one value on each
    side of a threshold; the place with the least sum of squares is the estimate. Whether there
    is a change at all is tested by the greatest score over all places, its distribution under
    no change by turning the signs of whole units' residuals at random [1]_: that allows for
    having looked at many places. It must stand with every reading at its lower end, at its
    upper end and in its middle: non-detects early in a fill look like a slow rate otherwise.

    References
    ----------
    .. [1] Cameron, A. C., Gelbach, J. B., Miller, D. L. (2008) Bootstrap-based improvements
       for inference with clustered errors, Review of Economics and Statistics 90, 414-427
       (memory).
    """
    middle = (pairs.value_lower + pairs.value_upper).mean(axis=0) / 2
    told = np.isfinite(middle)
    value, unit, use = middle[told], pairs.unit[told], pairs.use[told]
    ends = (
        pairs.released_lower,
        pairs.released_upper,
        (pairs.released_lower + pairs.released_upper) / 2,
    )
    releases = [(each[pairs.last] - each[pairs.first])[told] for each in ends]
    if not value.size:
        return _none("no two samples of a fill with both read")
    places = np.unique(np.quantile(value, np.linspace(*SPAN, CANDIDATES)))
    bad = (value[:, None] < places) if side == "lower" else (value[:, None] > places)
    enough = _units_on_both_sides(bad, unit, pairs.n_units) >= least_units
    places, bad = places[enough], bad[:, enough]
    if not places.size:
        return _none(f"no value has {least_units} units on each side of it")
    # What use beyond a place adds to what use as such explains.
    square = use * use
    added = use[:, None] * (bad - (square @ bad) / square.sum())
    residuals = [release - use * ((use @ release) / square.sum()) for release in releases]
    scores = [_by_unit(each[:, None] * added, unit, pairs.n_units) for each in residuals]
    size = _by_unit(added * added, unit, pairs.n_units)
    p_value = max(_chance(each, rng) for each in scores)
    score = scores[-1]
    if not p_value < SIGNIFICANT:
        return _none("no value at which the rate changes stands out", p_value)
    chosen = rng.multinomial(
        pairs.n_units, np.full(pairs.n_units, 1 / pairs.n_units), REPLICATES
    ).astype(np.float64)
    drawn = places[_gain(chosen @ score, chosen @ size).argmax(axis=1)]
    low, high = _to_neighbours(value, *(float(np.quantile(drawn, each)) for each in tails))
    if high - low > WIDEST * np.ptp(value):
        return _none(f"the rate changes, but anywhere between {low:.3g} and {high:.3g}", p_value)
    best = float(places[_gain(score.sum(axis=0), size.sum(axis=0)).argmax()])
    return Threshold(best, low, high, p_value, None)


def _none(reason: str, p_value: float = np.nan) -> Threshold:
    return Threshold(np.nan, np.nan, np.nan, p_value, f"the data cannot tell: {reason}")


def _to_neighbours(value: Floats, low: float, high: float) -> tuple[float, float]:
    """Widen an interval to the nearest values seen: between those all places split alike."""
    below, above = value[value <= low], value[value >= high]
    return (
        float(below.max()) if below.size else low,
        float(above.min()) if above.size else high,
    )


def _by_unit(values: Floats, unit: np.ndarray, n_units: int) -> Floats:
    """Add the columns up over the rows of each unit."""
    answer = np.zeros((n_units, values.shape[1]))
    np.add.at(answer, unit, values)
    return answer


def _units_on_both_sides(bad: np.ndarray, unit: np.ndarray, n_units: int) -> np.ndarray:
    """Return of each place the lesser count of units seen on its two sides."""
    beyond = _by_unit(bad.astype(np.float64), unit, n_units) > 0
    within = _by_unit((~bad).astype(np.float64), unit, n_units) > 0
    return np.asarray(np.minimum(beyond.sum(axis=0), within.sum(axis=0)))


def _gain(score: Floats, size: Floats) -> Floats:
    """Return by how much the sum of squares falls; only a faster rate beyond counts."""
    return np.asarray(
        np.where(size > 0, np.maximum(score, 0) ** 2 / np.where(size > 0, size, 1), 0)
    )


def _chance(score: Floats, rng: np.random.Generator) -> float:
    """Return how often random signs of the units give as great a score at any place."""
    spread = np.sqrt((score * score).sum(axis=0))
    told = spread > 0
    if not told.any():
        return 1.0
    found = (score.sum(axis=0)[told] / spread[told]).max()
    signs = rng.choice(np.array([-1.0, 1.0]), size=(REPLICATES, len(score)))
    by_chance = ((signs @ score[:, told]) / spread[told]).max(axis=1)
    return float((1 + (by_chance >= found - 1e-12).sum()) / (REPLICATES + 1))
