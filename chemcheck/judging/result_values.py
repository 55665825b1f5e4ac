"""The numbers of single results: reading, uncertainty, bound, probability beyond it."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.normal import cdf
from chemcheck.judging.record import Judged
from chemcheck.limit_library.records import Comparison, Rule

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class ResultValues:
    """Numbers of some results, in their order.

    Parameters
    ----------
    lower, upper : ndarray of float64, shape (m,)
        The reading as reported [canonical unit]; for a rule of one comparison its sum or
        ratio; NaN where there is none.
    u : ndarray of float64, shape (m,)
        Standard uncertainty of the method [canonical unit]; NaN for a rule.
    bound : ndarray of float64, shape (m,)
        The decisive bound [canonical unit]; NaN where there is none.
    """

    lower: Floats
    upper: Floats
    u: Floats
    bound: Floats


def result_values(judged: Judged, rows: Places, quantities: Places) -> ResultValues:
    """Look up the numbers of some results.

    Parameters
    ----------
    judged : Judged
        All results.
    rows, quantities : ndarray of int, shape (m,)
        Which ones: sample and quantity.

    Returns
    -------
    ResultValues
        One entry a result.
    """
    n_columns = len(judged.readings.columns)
    lower, upper = np.full(rows.size, np.nan), np.full(rows.size, np.nan)
    read = np.flatnonzero(quantities < n_columns)
    at = rows[read], quantities[read]
    lower[read], upper[read] = judged.readings.lower[at], judged.readings.upper[at]
    for place in range(n_columns, len(judged.quantities)):
        of_rule = np.flatnonzero(quantities == place)
        if of_rule.size:
            lower[of_rule], upper[of_rule] = _rule_values(judged, rows[of_rule], place)
    u = judged.uncertainty[rows, quantities].astype(np.float64)
    return ResultValues(lower, upper, u, bound_numbers(judged, rows, quantities))


def bound_numbers(judged: Judged, rows: Places, quantities: Places) -> Floats:
    """Return the number of the decisive bound of some results.

    Parameters
    ----------
    judged, rows, quantities
        As for `result_values`.

    Returns
    -------
    ndarray of float64, shape (m,)
        [canonical unit]; NaN where there is no bound, or only a fraction of an unknown
        fresh fill.
    """
    value = np.array([*(np.nan if b.of_fresh else b.value for b in judged.bounds), np.nan])
    answer = value[judged.decisive[rows, quantities]]
    if judged.bound_value is not None:
        of_fresh = np.array([*(b.of_fresh for b in judged.bounds), False])
        at = np.flatnonzero(of_fresh[judged.decisive[rows, quantities]])
        answer[at] = judged.bound_value[rows[at], quantities[at]]
    return answer


def probability_outside(
    judged: Judged, rows: Places, quantities: Places, values: ResultValues | None = None
) -> tuple[Floats, Floats]:
    """Return how probable it is that the true values lie beyond their decisive bounds.

    Parameters
    ----------
    judged, rows, quantities
        As for `result_values`.
    values : ResultValues, optional
        From there, where they are at hand.

    Returns
    -------
    least, greatest : ndarray of float64, shape (m,)
        Over the reading's interval; NaN where no bound decided, and for rules.

    Notes
    -----
    For a central value c and an upper bound b the probability is Phi((c - b) / u) [1]_: it
    grows with c, so that its least and greatest stand at the ends of the reading.

    References
    ----------
    .. [1] JCGM 106:2012, Evaluation of measurement data: the role of measurement uncertainty
       in conformity assessment, section 7.3.
    """
    side = np.array([*(_DIRECTION[b.side] for b in judged.bounds), np.nan])
    direction = side[judged.decisive[rows, quantities]]
    if values is None:
        values = result_values(judged, rows, quantities)
    by_rule = quantities >= len(judged.readings.columns)
    direction[by_rule] = np.nan
    u = np.where(by_rule, 1.0, values.u)
    at_lower = _beyond(values.lower, values.bound, u, direction)
    at_upper = at_lower.copy()
    apart = np.flatnonzero(values.upper > values.lower)
    at_upper[apart] = _beyond(values.upper[apart], values.bound[apart], u[apart], direction[apart])
    return np.minimum(at_lower, at_upper), np.maximum(at_lower, at_upper)


_DIRECTION = {"upper": 1.0, "lower": -1.0, None: np.nan}


def _beyond(center: Floats, bound: Floats, u: Floats, direction: Floats) -> Floats:
    """Return the probability of lying beyond a bound, a step where there is no uncertainty."""
    distance = (center - bound) * direction
    with np.errstate(divide="ignore", invalid="ignore"):
        answer = cdf(distance / u)
    exact = np.flatnonzero(u == 0.0)
    answer[exact] = np.where(np.isnan(distance[exact]), np.nan, distance[exact] > 0.0)
    return answer


def rule_of(judged: Judged, quantity: int) -> Rule:
    """Return the rule that a quantity judges; sets that share a rule share its words."""
    key = judged.quantities[quantity].key
    return next(rule for s in judged.sets for rule in s.rules if rule.id == key)


def _rule_values(judged: Judged, rows: Places, quantity: int) -> tuple[Floats, Floats]:
    """Return the ends of a sum or ratio as read; NaN for a combination or a missing term."""
    requirement = rule_of(judged, quantity).requirement
    if not isinstance(requirement, Comparison):
        return np.full(rows.size, np.nan), np.full(rows.size, np.nan)
    ends = []
    for analyte, factor in requirement.terms:
        place = judged.readings.position(analyte)
        if place is None:
            ends.append((np.full(rows.size, np.nan),) * 2)
        else:
            ends.append(
                (
                    factor * judged.readings.lower[rows, place],
                    factor * judged.readings.upper[rows, place],
                )
            )
    if requirement.kind == "sum":
        return sum(low for low, _ in ends), sum(high for _, high in ends)  # type: ignore[return-value]  # never empty
    (over_low, over_high), (under_low, under_high) = ends
    with np.errstate(divide="ignore", invalid="ignore"):
        return over_low / under_high, over_high / under_low
