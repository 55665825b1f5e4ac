"""Remedies of one sample in words: what to do, what it leads to, what was not known."""

import math
from collections.abc import Iterator

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.remedies import Predicted, Remedy
from chemcheck.causes.reading_ends import COVERAGE
from chemcheck.judging.record import NOT_DECIDED
from chemcheck.limit_library import cautions
from chemcheck.reports.document import Section
from chemcheck.reports.numbers import interval

# Of what a remedy leads to so many results are told, the worst first.
_TOLD = 6
_DIGITS = 3
_WORST_FIRST = ("outside", "undecided", "warning", "inside", "not judged")


def remedy_sections(assessment: Assessment, row: int) -> Iterator[Section]:
    """Give the remedies of one sample, the cheapest feasible first.

    Parameters
    ----------
    assessment : Assessment
        All samples, with remedies.
    row : int
        Position of the sample.
    """
    assert assessment.remedies is not None  # asked for where there are any
    remedies = assessment.remedies.of_sample(row)
    told = set(assessment.cautions)
    open_still = assessment.headline.verdict[row] == NOT_DECIDED
    for place, one in enumerate(remedies):
        yield Section(_heading(place, one, open_still), tuple(_items(one, told)))
        told |= {*one.cautions, *one.needs}


def _heading(place: int, remedy: Remedy, open_still: bool) -> str:
    lead = "Remedy" if place == 0 else "Or"
    if open_still:
        lead += ", if it is confirmed"
    tail = "" if remedy.feasible else " (not enough by itself)"
    if remedy.held_back is not None:
        tail = " (a change is better)" if remedy.feasible else " (refused)"
    return f"{lead}: {remedy.title[:1].lower()}{remedy.title[1:]}{tail}"


def _items(remedy: Remedy, told: set[str]) -> Iterator[str]:
    if remedy.held_back is not None:
        yield remedy.held_back
    yield from remedy.steps
    if remedy.predicted:
        yield f"It leads, read again (95 %), to {_outcome(remedy)}."
    needs = [need for need in remedy.needs if need not in told]
    if needs:
        yield f"Not known: {'; '.join(needs)}."
    yield from cautions([key for key in remedy.cautions if key not in told])


def _outcome(remedy: Remedy) -> str:
    ranked = sorted(remedy.predicted, key=lambda one: _WORST_FIRST.index(one.verdict))
    words = ", ".join(_level(one) for one in ranked[:_TOLD])
    more = len(ranked) - _TOLD
    if more > 0:
        words += f" and {more} more {ranked[_TOLD].verdict}"
    found = {
        "fit": "fit",
        "undecided": "undecided until what cannot be reckoned is measured",
        "unfit": "unfit still",
    }[remedy.verdict]
    return f"{words}: {found}"


def _level(one: Predicted) -> str:
    known = analyte_of(one.analyte)
    unit = "" if known.unit == known.title else f" {known.unit}"
    spread = 0.0 if math.isnan(one.u) else COVERAGE * one.u
    # Only temperatures go below zero.
    low = one.lower - spread if one.lower < 0.0 else max(one.lower - spread, 0.0)
    ends = interval(low, one.upper + spread, _DIGITS)
    return f"{known.title} {ends}{unit} ({one.verdict})"
