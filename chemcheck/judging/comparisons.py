"""Whether a sum or a ratio of readings keeps its bound: yes, no, or it may."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

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
    entries = [(terms(analyte), factor) for analyte, factor in parts]
    accept = _ends(entries, rule.accept)
    reject = accept if rule.reject == rule.accept else _ends(entries, rule.reject)
    if comparison.side == "upper":
        kept, broken = accept[1] <= bound, reject[0] > bound
    else:
        kept, broken = accept[0] >= bound, reject[1] < bound
    return np.where(kept, TRUE, np.where(broken, FALSE, MAYBE))


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


def _ends(entries: Sequence[tuple[Term, float]], width: float) -> tuple[Floats, Floats]:
    """Return the widened ends of a sum, over both ends of a shared factor."""
    low, high = _ends_at(entries, width, raised=False)
    if any(term.shared is not None for term, _ in entries):
        raised_low, raised_high = _ends_at(entries, width, raised=True)
        low, high = np.minimum(low, raised_low), np.maximum(high, raised_high)
    return low, high


def _ends_at(
    entries: Sequence[tuple[Term, float]], width: float, *, raised: bool
) -> tuple[Floats, Floats]:
    """Return the widened ends of a sum with the shared factor at one of its ends."""
    scaled = [(_at_factor(term, raised), factor) for term, factor in entries]
    low = _least(scaled, width)
    high = -_least([(term, -factor) for term, factor in scaled], width)
    return low, high


def _at_factor(term: Term, raised: bool) -> Term:
    """Return a term with the shared factor taken as 1, or as all it may be."""
    if term.shared is None:
        return term
    if raised:
        lower, u_lower = term.lower * term.shared, term.u_lower * term.shared
        return Term(lower, term.upper, u_lower, term.u_upper, None, term.read, term.possible)
    upper, u_upper = term.upper / term.shared, term.u_upper / term.shared
    return Term(term.lower, upper, term.u_lower, u_upper, None, term.read, term.possible)


def _least(entries: Sequence[tuple[Term, float]], width: float) -> Floats:
    """Return the least value of a sum, widened.

    The gain of a term over the least that is possible for it counts only as far as it is
    surer than its own uncertainty. The best choice of terms to count is a leading part of
    their order by gain per variance: gain minus width times the root of the variance is
    convex in both, so its greatest value lies at a corner of what the choices reach, and the
    corners are those leading parts.
    """
    ends = [
        (factor * term.lower, abs(factor) * term.u_lower, factor * term.possible[0])
        if factor > 0
        else (factor * term.upper, abs(factor) * term.u_upper, factor * term.possible[1])
        for term, factor in entries
    ]
    value = np.sum([end for end, _, _ in ends], axis=0)
    variance = np.sum([u * u for _, u, _ in ends], axis=0)
    least = value - width * np.sqrt(variance)
    optional = [end for end in ends if np.isfinite(end[2])]
    if width == 0.0 or not optional:
        return np.asarray(least)
    fixed = [end for end in ends if not np.isfinite(end[2])]
    base = sum((end for end, _, _ in fixed), start=np.zeros_like(least))
    base += sum(possible for _, _, possible in optional)
    base_variance = sum((u * u for _, u, _ in fixed), start=np.zeros_like(least))
    gain = np.stack([end - possible for end, _, possible in optional], axis=-1)
    spread = np.stack([u * u for _, u, _ in optional], axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        order = np.argsort(-np.nan_to_num(gain / spread, nan=np.inf), axis=-1)
    gains = np.cumsum(np.take_along_axis(gain, order, axis=-1), axis=-1)
    spreads = np.cumsum(np.take_along_axis(spread, order, axis=-1), axis=-1)
    best = np.max(gains - width * np.sqrt(base_variance[..., None] + spreads), axis=-1)
    return np.asarray(base + np.maximum(best, -width * np.sqrt(base_variance)))
