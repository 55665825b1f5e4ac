"""The ceiling: which cause is likeliest, by the very model that drew the samples.

Given the strengths of the causes all readings are independent, each normal about a known mean,
so that the likelihood of a sample under a set of causes is an integral over one or two
strengths that are even from 0 to 1. It is taken by the midpoint rule, on a grid finer than the
width of the likelihood; variants and foreign formulas are summed over. Sets are: none, each
cause that can occur, each two of them, with the shares they are drawn by. Two causes are first
tried on a coarse grid, and only where they come within `NEGLIGIBLE` of the best set on the fine
one: what is left out is less likely than that by far.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
import numpy.typing as npt
from scipy.special import log_ndtr, logsumexp

from tests.causes.simulated_faults.draw import NO_CAUSE, Cases, variants
from tests.causes.simulated_faults.moves import Acting, Coolant, act, as_read, seen, sound
from tests.causes.simulated_faults.ranges import INDEX, Floats, Panel, Pattern, ranges

# Differences of log likelihood, natural.
NEGLIGIBLE = 16.0
SINGLE, COARSE, FINE = 48, 8, 24
_HALF_LOG_TWO_PI = 0.5 * np.log(2 * np.pi)
# Numbers in one block of work, so that a block stays in memory that is near.
_BLOCK = 400_000


@dataclass(frozen=True)
class Posterior:
    """How likely the causes of each sample are.

    Parameters
    ----------
    sound : ndarray, shape (samples,)
        Probability that nothing happened.
    holds : ndarray, shape (samples, patterns)
        Probability that a cause is at work, alone or with another.
    single : ndarray, shape (samples, patterns)
        Log likelihood of each cause alone; minus infinity where it cannot occur.
    """

    sound: Floats
    holds: Floats
    single: Floats


def posterior(
    cases: Cases, fine: int = FINE, coarse: int = COARSE, negligible: float = NEGLIGIBLE
) -> Posterior:
    """Return the probabilities of causes by the generator's own likelihood.

    Parameters
    ----------
    cases : Cases
        Samples.
    fine, coarse : int
        Strengths of each of two causes: of the integral, and of the first trial.
    negligible : float
        How far below the best set a first trial may lie [natural logarithm].

    Returns
    -------
    Posterior
        Probabilities by sample.
    """
    known = ranges()
    mix, count = known.conditions["mix"], cases.possible.sum(axis=1)
    nothing = _of_set(cases, (), 1) + np.log(mix["clean"])
    one = np.full(cases.possible.shape, -np.inf)
    for j in range(len(known.patterns)):
        rows = np.flatnonzero(cases.possible[:, j])
        one[rows, j] = _of_set(_some(cases, rows), (j,), SINGLE)
    alone = one + np.log((1 - mix["clean"] - mix["two_causes"]) / count)[:, None]
    best = np.maximum(nothing, alone.max(axis=1))
    two = _of_two(cases, best, (coarse, fine), negligible)
    total, both = _weigh_two(cases, two, count)
    norm = logsumexp(np.column_stack((nothing, alone, total)), axis=1)
    return Posterior(
        np.exp(nothing - norm),
        np.exp(np.logaddexp(alone, both) - norm[:, None]),
        one,
    )


def _weigh_two(
    cases: Cases, two: dict[tuple[int, int], Floats], count: npt.NDArray[np.int_]
) -> tuple[Floats, Floats]:
    """Sum two causes over all, and over those that hold each cause."""
    share = ranges().conditions["mix"]["two_causes"]
    prior = np.log(share / np.maximum(count * (count - 1) / 2, 1))
    total = np.full(len(cases), -np.inf)
    both = np.full(cases.possible.shape, -np.inf)
    for (a, b), value in two.items():
        weighed = value + prior
        total = np.logaddexp(total, weighed)
        both[:, a] = np.logaddexp(both[:, a], weighed)
        both[:, b] = np.logaddexp(both[:, b], weighed)
    return total, both


def _of_two(
    cases: Cases, best: Floats, points: tuple[int, int], negligible: float
) -> dict[tuple[int, int], Floats]:
    """Return the log likelihood of each two causes that matter anywhere."""
    tried = {}
    for pair in combinations(range(cases.possible.shape[1]), 2):
        rows = np.flatnonzero(cases.possible[:, pair[0]] & cases.possible[:, pair[1]])
        if rows.size:
            tried[pair] = (rows, _of_set(_some(cases, rows), pair, points[0]))
            best[rows] = np.maximum(best[rows], tried[pair][1])
    found = {}
    for pair, (rows, value) in tried.items():
        near = rows[value > best[rows] - negligible]
        if near.size:
            found[pair] = np.full(len(cases), -np.inf)
            found[pair][near] = _of_set(_some(cases, near), pair, points[1])
    return found


def _some(cases: Cases, rows: npt.NDArray[np.intp]) -> Cases:
    return Cases(
        cases.units.of(rows),
        cases.panel,
        cases.lower[rows],
        cases.upper[rows],
        cases.observations[rows],
        cases.causes[rows],
        cases.strengths[rows],
        cases.possible[rows],
    )


def _of_set(cases: Cases, causes: Sequence[int], points: int) -> Floats:
    """Return the log likelihood of a set of causes, strengths integrated out."""
    patterns = [ranges().patterns[c] for c in causes]
    moved = _moved(cases.panel, patterns)
    # How strong a cause is does not matter where it moves nothing that was measured.
    counts = [points if _moved(cases.panel, [each]) else 1 for each in patterns]
    grids = [(np.arange(count) + 0.5) / count for count in counts]
    strengths = [each.ravel()[None, :] for each in np.meshgrid(*grids)]
    size = int(np.prod(counts)) * max(len(moved), 1)
    step = max(1, _BLOCK // size)
    result = np.empty(len(cases))
    for start in range(0, len(cases), step):
        rows = np.arange(start, min(start + step, len(cases)))
        result[rows] = _of_block(_some(cases, rows), causes, strengths, moved)
    return result + _of_observations(cases, patterns)


def _of_block(
    cases: Cases, causes: Sequence[int], strengths: Sequence[Floats], moved: Sequence[int]
) -> Floats:
    before = sound(cases.units)
    still = [j for j in range(len(cases.panel.readings)) if j not in moved]
    unmoved = _of_readings(cases, before, still)
    parts = []
    for prior, chosen in _variants(cases, causes):
        coolant = before
        for cause, variant, strength in zip(causes, chosen, strengths, strict=True):
            coolant = act(coolant, cases.units, Acting(cause, variant, strength))
        parts.append(prior + _mean_of(_of_readings(cases, coolant, moved)))
    return np.asarray(unmoved[:, 0] + logsumexp(np.stack(parts), axis=0))


def _mean_of(value: Floats) -> Floats:
    return np.asarray(logsumexp(value, axis=1) - np.log(value.shape[1]))


def _variants(cases: Cases, causes: Sequence[int]) -> Iterator[tuple[Floats, tuple[int, ...]]]:
    """Yield each choice of variants with its log prior in each unit."""
    known = ranges()
    choices = []
    for cause in causes:
        pattern = known.patterns[cause]
        each = [variants(pattern, formula) for formula in range(len(known.formulas))]
        weight = np.full((len(each), max(max(c) for c in each) + 1), -np.inf)
        for formula, some in enumerate(each):
            weight[formula, some] = -np.log(len(some))
        choices.append(weight[cases.units.formula])
    for chosen in product(*(range(weight.shape[1]) for weight in choices)):
        prior = np.zeros(len(cases))
        for weight, variant in zip(choices, chosen, strict=True):
            prior = prior + weight[:, variant]
        if np.isfinite(prior).any():
            yield prior, chosen


def _moved(panel: Panel, patterns: Sequence[Pattern]) -> list[int]:
    """Return the readings that some of the causes move."""
    names: set[str] = set()
    for pattern in patterns:
        if pattern.whole:
            return list(range(len(panel.readings)))
        for moves in pattern.moves:
            names.update(moves)
        names.update(pattern.reads)
    if names & {"calcium", "magnesium"}:
        names.add("total_hardness")
    if "glycol" in names & set(INDEX):
        names.add("freezing_point")
    return [j for j, name in enumerate(panel.readings) if name in names]


def _of_readings(cases: Cases, coolant: Coolant, some: Sequence[int]) -> Floats:
    """Return the log likelihood of some readings, by sample and strength."""
    total = np.zeros((len(cases), 1))
    for j, (mean, variance) in zip(
        some, as_read(coolant, cases.units, cases.panel, some), strict=True
    ):
        lower, upper = cases.lower[:, j, None], cases.upper[:, j, None]
        sd = np.sqrt(variance)
        value = -0.5 * ((lower - mean) / sd) ** 2 - np.log(sd) - _HALF_LOG_TWO_PI
        value = np.broadcast_to(value, np.broadcast_shapes(value.shape, (len(cases), 1))).copy()
        value[np.isnan(lower[:, 0])] = 0.0
        spans = np.flatnonzero(lower[:, 0] < upper[:, 0])
        if spans.size:
            wide = np.broadcast_to(mean, value.shape)[spans]
            deviation = np.broadcast_to(sd, value.shape)[spans]
            value[spans] = _between(lower[spans], upper[spans], wide, deviation)
        total = total + value
    return total


def _between(lower: Floats, upper: Floats, mean: Floats, sd: Floats) -> Floats:
    """Return the log probability of a span; one from 0 holds whatever would be below."""
    low = np.where(lower <= 0, -np.inf, (lower - mean) / sd)
    high = (upper - mean) / sd
    # In the upper tail the difference of two numbers near 1 is lost: turn it over.
    turn = low > 0
    low, high = np.where(turn, -high, low), np.where(turn, -low, high)
    of_high, of_low = log_ndtr(high), log_ndtr(low)
    return np.asarray(of_high + np.log1p(-np.exp(np.minimum(of_low - of_high, -1e-15))))


def _of_observations(cases: Cases, patterns: Sequence[Pattern]) -> Floats:
    likely = np.clip(seen(cases.panel, patterns), 1e-12, 1 - 1e-12)
    found = cases.observations
    value = np.where(found == 1, np.log(likely), np.where(found == 0, np.log1p(-likely), 0.0))
    return np.asarray(value.sum(axis=1))


def ranks(score: Floats, causes: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
    """Return the place of each true cause among all, 1 first; 0 for none.

    One that is not thought of (minus infinity) comes last: none is found by silence.
    """
    chosen = np.take_along_axis(score, np.maximum(causes, 0), axis=1)
    place = 1 + (score[:, None, :] > chosen[:, :, None]).sum(axis=2)
    place = np.where(np.isneginf(chosen), score.shape[1], place)
    return np.where(causes == NO_CAUSE, 0, place)
