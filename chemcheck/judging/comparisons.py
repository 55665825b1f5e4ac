"""Whether a sum or a ratio of readings keeps its bound: yes, no, or it may."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import reduce

import numpy as np
import numpy.typing as npt

from chemcheck.judging.decision_rules import DecisionRule
from chemcheck.limit_library.records import Comparison

Floats = npt.NDArray[np.float64]

# Three-valued truth, ordered so that "and" is the least and "or" the greatest.
FALSE, MAYBE, TRUE = (np.int8(k) for k in range(3))


@dataclass(frozen=True, slots=True)
class Term:
    """The readings of one analyte of a rule.

    Parameters
    ----------
    lower, upper : ndarray of float64, shape (n,)
        Ends of the readings, within what is possible; where there is none, the ends of
        what is possible.
    u_lower, u_upper : ndarray of float64, shape (n,)
        Standard uncertainty at either end; 0 where there is no reading.
    shared : ndarray of float64, shape (n,), or None
        By how much the upper end is raised by an unknown factor that all the readings of
        the sample share; None where there is none.
    read : ndarray of bool, shape (n,)
        Where there is a reading, though it may be one that could not be made out.
    possible : tuple of float
        Ends of what is possible.
    """

    lower: Floats
    upper: Floats
    u_lower: Floats
    u_upper: Floats
    shared: Floats | None
    read: npt.NDArray[np.bool_]
    possible: tuple[float, float]

    def at_factor(self, *, raised: bool) -> "Term":
        """Return the term with the shared factor taken as 1, or as all it may be."""
        if self.shared is None:
            return self
        if raised:
            lower, u_lower = self.lower * self.shared, self.u_lower * self.shared
            return replace(self, lower=lower, u_lower=u_lower, shared=None)
        upper, u_upper = self.upper / self.shared, self.u_upper / self.shared
        return replace(self, upper=upper, u_upper=u_upper, shared=None)

    def of_rows(self, rows: npt.NDArray[np.intp]) -> "Term":
        """Return the term in some samples."""
        return Term(
            self.lower[rows],
            self.upper[rows],
            self.u_lower[rows],
            self.u_upper[rows],
            None if self.shared is None else self.shared[rows],
            self.read[rows],
            self.possible,
        )


Terms = Callable[[str], Term]


def compare(comparison: Comparison, terms: Terms, rule: DecisionRule) -> npt.NDArray[np.int8]:
    """Say whether a comparison holds in each sample.

    Parameters
    ----------
    comparison : Comparison
        A sum against a bound, or a ratio against one.
    terms : callable
        Takes an analyte; returns its `Term`.
    rule : DecisionRule
        How far the whole is widened.

    Returns
    -------
    ndarray of int8, shape (n,)
        ``TRUE``, ``FALSE`` or ``MAYBE``.

    Notes
    -----
    A ratio a / b against r is the sum a - r b against 0: the same question for positive b,
    free of a division by what may be near 0. Uncertainties of the terms add in quadrature
    [1]_; a factor shared by the readings moves all of them together, so that it leaves a
    ratio alone. A term that cannot be below 0 never lowers the least value of a sum below
    that of the others, so that removing a reading never makes a comparison surer.

    References
    ----------
    .. [1] JCGM 100:2008, Evaluation of measurement data: guide to the expression of
       uncertainty in measurement, section 5.1 (uncorrelated input quantities).
    """
    parts, bound = as_sum(comparison)
    # A sum that must not exceed its bound is one whose negative must not fall below.
    sign = 1.0 if comparison.side == "lower" else -1.0
    entries = [(terms(analyte), sign * factor) for analyte, factor in parts]
    opposite = [(term, -factor) for term, factor in entries]
    kept = _least(entries, rule.accept) >= sign * bound
    broken = -_least(opposite, rule.reject) < sign * bound
    answer = np.where(kept, TRUE, np.where(broken, FALSE, MAYBE))
    if rule.accept == rule.reject == 0.0 or not any(_optional(entries + opposite)):
        return answer
    # What the sum of all terms leaves open, those that are surely there may decide.
    open_rows = np.flatnonzero(answer == MAYBE)
    if open_rows.size:
        kept = _surest(_of_rows(entries, open_rows), rule.accept) >= sign * bound
        broken = -_surest(_of_rows(opposite, open_rows), rule.reject) < sign * bound
        answer[open_rows] = np.where(kept, TRUE, np.where(broken, FALSE, MAYBE))
    return answer


def as_sum(comparison: Comparison) -> tuple[tuple[tuple[str, float], ...], float]:
    """Write a comparison as a sum of terms against a bound.

    Examples
    --------
    >>> as_sum(Comparison("ratio", (("sodium", 1.0), ("chloride", 1.0)), "upper", 0.65))
    ((('sodium', 1.0), ('chloride', -0.65)), 0.0)
    """
    if comparison.kind == "sum":
        return comparison.terms, comparison.value
    (above, over), (below, under) = comparison.terms
    return ((above, over), (below, -comparison.value * under)), 0.0


Entries = Sequence[tuple[Term, float]]


def _least(entries: Entries, width: float) -> Floats:
    """Return the least value of a sum, widened, over both ends of a shared factor."""
    least = _least_of_all(_at_factor(entries, raised=False), width)
    if any(term.shared is not None for term, _ in entries):
        least = np.minimum(least, _least_of_all(_at_factor(entries, raised=True), width))
    return least


def _surest(entries: Entries, width: float) -> Floats:
    """Return the least value of a sum by those of its terms that are surely there."""
    least = _least_of_some(_at_factor(entries, raised=False), width)
    if any(term.shared is not None for term, _ in entries):
        least = np.minimum(least, _least_of_some(_at_factor(entries, raised=True), width))
    return least


def _at_factor(entries: Entries, *, raised: bool) -> Entries:
    """Return the terms with the shared factor taken as 1, or as all it may be."""
    return [(term.at_factor(raised=raised), factor) for term, factor in entries]


def _optional(entries: Entries) -> list[bool]:
    """Say of which terms the contribution cannot fall below a known value."""
    return [np.isfinite(term.possible[0 if factor > 0 else 1]) for term, factor in entries]


def _of_rows(entries: Entries, rows: npt.NDArray[np.intp]) -> Entries:
    return [(term.of_rows(rows), factor) for term, factor in entries]


def _ends(entries: Entries) -> list[tuple[Floats, Floats]]:
    """Return the least contribution of each term, and its uncertainty."""
    return [
        (factor * term.lower, factor * term.u_lower)
        if factor > 0
        else (factor * term.upper, factor * term.u_upper)
        for term, factor in entries
    ]


def _least_of_all(entries: Entries, width: float) -> Floats:
    """Return the least value of a sum of all its terms, widened."""
    ends = _ends(entries)
    value = reduce(np.add, [end for end, _ in ends])
    if width == 0.0:
        return np.asarray(value)
    variance = reduce(np.add, [u * u for _, u in ends])
    return np.asarray(value - width * np.sqrt(variance))


def _least_of_some(entries: Entries, width: float) -> Floats:
    """Return the greatest of the least values that any choice of terms gives, widened.

    The gain of a term over the least that is possible for it counts only as far as it is
    surer than its own uncertainty. The best choice of terms is a leading part of their order
    by gain per variance: gain minus width times the root of the variance is convex in both,
    so its greatest value lies at a corner of what the choices reach, and the corners are
    those leading parts.
    """
    optional = _optional(entries)
    gain, spread = [], []
    base = np.zeros_like(entries[0][0].lower)
    base_variance = np.zeros_like(base)
    for (end, u), (term, factor), may_be_left in zip(
        _ends(entries), entries, optional, strict=True
    ):
        if may_be_left:
            possible = factor * term.possible[0 if factor > 0 else 1]
            base += possible
            gain.append(end - possible)
            spread.append(u * u)
        else:
            base += end
            base_variance += u * u
    gains, spreads = np.stack(gain, axis=-1), np.stack(spread, axis=-1)
    if len(gain) > 1:
        with np.errstate(divide="ignore", invalid="ignore"):
            order = np.argsort(-np.nan_to_num(gains / spreads, nan=np.inf), axis=-1)
        gains = np.cumsum(np.take_along_axis(gains, order, axis=-1), axis=-1)
        spreads = np.cumsum(np.take_along_axis(spreads, order, axis=-1), axis=-1)
    best = np.max(gains - width * np.sqrt(base_variance[..., None] + spreads), axis=-1)
    return np.asarray(base + np.maximum(best, -width * np.sqrt(base_variance)))
