"""Whether the rules of a set hold: sums, ratios and their combinations."""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from chemcheck.judging.comparisons import FALSE, MAYBE, TRUE, Terms, compare
from chemcheck.judging.decision_rules import DecisionRule
from chemcheck.judging.record import INSIDE, NO_RESULT, OUTSIDE, UNDECIDED, WARNING
from chemcheck.limit_library.records import Combination, Comparison, Kind, Rule


def truth(
    requirement: Comparison | Combination, terms: Terms, rule: DecisionRule
) -> npt.NDArray[np.int8]:
    """Say in which samples a requirement holds.

    Parameters
    ----------
    requirement : Comparison or Combination
        What must hold.
    terms : callable
        Takes an analyte; returns its readings as a `Term`.
    rule : DecisionRule
        How far they are widened.

    Returns
    -------
    ndarray of int8, shape (n,)
        ``FALSE``, ``MAYBE`` or ``TRUE``. One true part makes ``any_of`` true and one false
        part makes ``all_of`` false, whatever the others may be.
    """
    if isinstance(requirement, Comparison):
        return compare(requirement, terms, rule)
    parts = [truth(part, terms, rule) for part in requirement.parts]
    combine = np.maximum if requirement.kind == "any_of" else np.minimum
    return np.asarray(combine.reduce(parts))


def rule_states(rule: Rule, terms: Terms, decision: DecisionRule) -> npt.NDArray[np.int8]:
    """Judge samples by one rule.

    Parameters
    ----------
    rule : Rule
        Of a set.
    terms : callable
        As for `truth`.
    decision : DecisionRule
        How far readings are widened.

    Returns
    -------
    ndarray of int8, shape (n,)
        ``INSIDE`` where the rule is kept; ``OUTSIDE``, or ``UNDECIDED`` where it may be
        kept, for an action rule; ``WARNING`` in both cases for a warning rule; ``NO_RESULT``
        where none of its readings is there.
    """
    state_of = np.empty(3, dtype=np.int8)
    state_of[[FALSE, MAYBE, TRUE]] = states_by_truth(rule.kind)
    state = state_of[truth(rule.requirement, terms, decision)]
    read = np.logical_or.reduce([terms(analyte).read for analyte in analytes_of(rule)])
    state[~read] = NO_RESULT
    return np.asarray(state)


def states_by_truth(kind: Kind) -> tuple[np.int8, np.int8, np.int8]:
    """Return the states of a broken, an undecided and a kept rule."""
    if kind == "action":
        return OUTSIDE, UNDECIDED, INSIDE
    return WARNING, WARNING, INSIDE


def analytes_of(rule: Rule) -> tuple[str, ...]:
    """Return the analytes of a rule, each once, in its order."""
    return tuple(
        dict.fromkeys(name for part in comparisons_of(rule.requirement) for name, _ in part.terms)
    )


def comparisons_of(requirement: Comparison | Combination) -> Iterator[Comparison]:
    """Yield the comparisons of a requirement from left to right."""
    if isinstance(requirement, Comparison):
        yield requirement
        return
    for part in requirement.parts:
        yield from comparisons_of(part)
