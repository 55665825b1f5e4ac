"""Everything that is asked about samples because of their unit's own history."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from chemcheck.fills.axis import running_meter
from chemcheck.fills.event_order import as_number
from chemcheck.fills.fill_numbers import Fills, number_fills
from chemcheck.fills.meter_order import meter_questions
from chemcheck.fills.moved_readings import moved_questions, moved_readings
from chemcheck.fills.own_history import own_history
from chemcheck.fills.shared_cause_words import shared_cause_questions
from chemcheck.fills.shared_causes import SharedCause, shared_causes
from chemcheck.fills.slip_factors import slip_library
from chemcheck.fills.unit_slips import slip_questions, unit_slips
from chemcheck.fills.wrong_dates import wrong_date_questions, wrong_dates
from chemcheck.readings.questions import join_questions, no_questions
from chemcheck.readings.record import Readings


@dataclass(frozen=True, slots=True)
class HistoryChecks:
    """What the histories of units say.

    Parameters
    ----------
    questions : DataFrame
        ``QUESTION_COLUMNS``: shared causes first, then slips of unit, moved readings, wrong
        dates and meters that run backwards.
    of_readings : DataFrame
        Those of slips of unit and of moved readings: a reading breaks its unit's pattern.
    causes : tuple of SharedCause
        Shifts that several units share.
    note : str
        Why nothing was looked at; empty where it was.
    """

    questions: pd.DataFrame
    of_readings: pd.DataFrame
    causes: tuple[SharedCause, ...]
    note: str = ""


def check_histories(readings: Readings, events: pd.DataFrame | None = None) -> HistoryChecks:
    """Hold every sample against the others of its unit.

    Parameters
    ----------
    readings : Readings
        Samples of units over time.
    events : DataFrame, optional
        The log: a change begins a new history, a meter reset a new meter.

    Returns
    -------
    HistoryChecks
        Empty where no unit has two samples. Above ``most_samples`` nothing is looked at, and
        ``note`` says so. Of a row whose readings stand in another's place no single reading
        is asked about.
    """
    samples = readings.samples
    most = int(slip_library().settings["most_samples"].value)
    nothing = HistoryChecks(no_questions(), no_questions(), ())
    if len(samples) > most:
        note = (
            f"above {most:,} samples readings are not held against their units' histories: check "
            "files of single units or of the last months for slips of unit and shared causes"
        )
        return HistoryChecks(no_questions(), no_questions(), (), note)
    fills = number_fills(samples, events)
    if not _has_history(fills):
        return nothing
    history = own_history(readings, fills)
    moved = moved_readings(readings, history)
    slips = unit_slips(readings, history).but(moved.row)
    dates = wrong_dates(samples, fills, _meter(samples, events, fills))
    causes = shared_causes(readings, fills)
    of_readings = join_questions(
        [moved_questions(readings, moved), slip_questions(readings, history, slips)]
    )
    return HistoryChecks(
        join_questions(
            [
                shared_cause_questions(readings, causes),
                of_readings,
                wrong_date_questions(samples, dates),
                meter_questions(samples, fills, events),
            ]
        ),
        of_readings,
        causes,
    )


def _has_history(fills: Fills) -> bool:
    """Return whether any unit has two samples."""
    unit = fills.unit[fills.unit >= 0]
    return bool(unit.size > len(np.unique(unit)))


def _meter(samples: pd.DataFrame, events: pd.DataFrame | None, fills: Fills) -> np.ndarray:
    """Return the hours as if never reset, or the distance of files without."""
    axis = "distance" if np.isnan(as_number(samples["hours"])).all() else "hours"
    return running_meter(samples, events, fills, axis)[0]
