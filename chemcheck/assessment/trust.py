"""What makes readings trustworthy: the laboratory's control, the sample, and cross-checks."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.errors import Problem
from chemcheck.fills import number_fills
from chemcheck.fills.event_order import all_events
from chemcheck.fills.history_checks import check_histories
from chemcheck.fills.sample_dates import date_questions
from chemcheck.fills.shared_cause_words import shared_cause_words
from chemcheck.fills.top_ups import hours_since_top_up
from chemcheck.history.record import Events
from chemcheck.judging.blanks import raise_by_blanks
from chemcheck.judging.bracketing import bracketed_cells
from chemcheck.judging.charge_balance_check import charge_balance_questions
from chemcheck.judging.conductivity_check import conductivity_questions
from chemcheck.judging.control_chart import check_standards
from chemcheck.judging.control_words import control_doubts, control_questions
from chemcheck.judging.doubts import Codes, Doubt, Doubts
from chemcheck.judging.freezing_point_check import freezing_point_questions
from chemcheck.judging.repeatability import (
    OwnRepeatability,
    about_repeatability,
    duplicate_questions,
    own_repeatability,
)
from chemcheck.judging.representative import Validity, sample_validity
from chemcheck.judging.spikes import spike_recoveries
from chemcheck.judging.water_cross_checks import cross_check, water_checks
from chemcheck.judging.water_doubts import WaterDoubts, water_doubts
from chemcheck.readings.problems import with_problems
from chemcheck.readings.questions import join_questions
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import (
    BLANK_SAMPLE,
    CHECK_STANDARD,
    DUPLICATE,
    SPIKE,
    types_present,
)


@dataclass(frozen=True, slots=True)
class Trust:
    """Readings with what is known of how far they can be relied on.

    Parameters
    ----------
    readings : Readings
        With all questions, with a line for each standard or spike that could not be used,
        and with readings no higher than their blank widened down to zero.
    own : tuple of OwnRepeatability
        Of the laboratories.
    doubts : Doubts or None
        Samples and results that are not to be relied on; None where there are none.
    shared_causes : tuple of str
        Shifts that several units share, each with what to test.
    assumptions : tuple of str
        What was taken for granted, each in one line.
    """

    readings: Readings
    own: tuple[OwnRepeatability, ...]
    doubts: Doubts | None
    shared_causes: tuple[str, ...]
    assumptions: tuple[str, ...]


def weigh_trust(
    readings: Readings, events: Events | None = None, today: date | None = None
) -> Trust:
    """Say how far readings can be relied on, and ask about what contradicts itself.

    Parameters
    ----------
    readings : Readings
        As read.
    events : Events, optional
        The log of changes and top-ups.
    today : date, optional
        What lies in the future is dated after this; by default the day of the call.

    Returns
    -------
    Trust
        Nothing is corrected. Files without samples of quality control, and without columns
        that say how a sample was taken, cost a look at their sample types and titles.
    """
    found = _Found([readings.questions])
    standards_cells = _control(readings, found)
    judged = _blanks(readings, found)
    log = all_events(readings, events)
    validity = _validity(readings, log, found)
    found.questions += [
        date_questions(readings.samples, today or date.today()),
        freezing_point_questions(readings),
        cross_check(readings, water_checks()),
        charge_balance_questions(readings),
        conductivity_questions(readings),
    ]
    contradictions = water_doubts(readings)
    if contradictions is not None:
        found.questions.append(contradictions.questions)
    histories = check_histories(readings, log)
    found.questions.append(histories.questions)
    found.assumptions += [histories.note] if histories.note else []
    whole = with_problems(judged, found.problems)
    return Trust(
        readings=replace(whole, questions=join_questions(found.questions)),
        own=tuple(found.own),
        doubts=_doubts(len(readings.samples), validity, standards_cells, contradictions),
        shared_causes=tuple(shared_cause_words(cause) for cause in histories.causes),
        assumptions=tuple(found.assumptions),
    )


@dataclass(slots=True)
class _Found:
    """What is collected on the way."""

    questions: list[pd.DataFrame]
    assumptions: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    own: list[OwnRepeatability] = field(default_factory=list)


# Reasons, and which of them each cell has.
_OfCells = tuple[tuple[Doubt, ...], npt.NDArray[np.int16]]


def _control(readings: Readings, found: _Found) -> _OfCells | None:
    """Look at duplicates, spikes and check standards; return what failed standards doubt."""
    present = types_present(readings.samples)
    if DUPLICATE in present:
        found.own += own_repeatability(readings)
        found.assumptions += about_repeatability(readings, tuple(found.own))
        found.questions.append(duplicate_questions(readings))
    if SPIKE in present:
        spikes = spike_recoveries(readings)
        if spikes is not None:
            found.questions.append(spikes.questions)
            found.problems += spikes.problems
    if CHECK_STANDARD not in present:
        return None
    standards = check_standards(readings)
    if standards is None:
        return None
    found.problems += standards.problems
    found.questions.append(control_questions(readings, standards))
    bracketed = bracketed_cells(readings, standards)
    return None if bracketed is None else control_doubts(readings, standards, bracketed)


def _blanks(readings: Readings, found: _Found) -> Readings:
    """Widen readings that are no higher than their blank."""
    if BLANK_SAMPLE not in types_present(readings.samples):
        return readings
    levels = raise_by_blanks(readings)
    if levels is None:
        return readings
    found.questions.append(levels.questions)
    found.assumptions += levels.assumptions
    return levels.readings


def _validity(readings: Readings, log: pd.DataFrame | None, found: _Found) -> Validity | None:
    """Say which samples do not show their circuit."""
    since = None
    if log is not None:
        since = hours_since_top_up(readings.samples, number_fills(readings.samples, log), log)
    validity = sample_validity(readings.samples, since)
    if validity is not None:
        found.questions.append(validity.questions)
    return validity


def _doubts(
    n: int,
    validity: Validity | None,
    of_cells: _OfCells | None,
    contradictions: WaterDoubts | None,
) -> Doubts | None:
    """Put the reasons to doubt samples and results together; the first of each counts."""
    kinds: list[Doubt] = []
    of_sample = np.full(n, -1, dtype=np.int16)
    of_cell = None
    if validity is not None and (validity.broken >= 0).any():
        kinds += _of_samples(validity)
        of_sample = validity.broken
    if of_cells is not None:
        failures, place = of_cells
        of_cell = _moved(place, len(kinds))
        kinds += failures
    if contradictions is not None:
        first = len(kinds)
        of_sample = np.where(of_sample < 0, _moved(contradictions.of_sample, first), of_sample)
        if contradictions.of_cell is not None:
            more = _moved(contradictions.of_cell, first)
            of_cell = more if of_cell is None else np.where(of_cell < 0, more, of_cell)
        kinds += contradictions.kinds
    return Doubts(tuple(kinds), of_sample, of_cell) if kinds else None


def _moved(place: Codes, first: int) -> Codes:
    """Count positions from another first reason."""
    return np.where(place < 0, np.int16(-1), place + np.int16(first))


def _of_samples(validity: Validity) -> Sequence[Doubt]:
    return [
        Doubt(f"sample not representative: {rule.says}", rule.source, rule.evidence)
        for rule in validity.rules
    ]
