"""What was done to a unit between its samples."""

from dataclasses import dataclass

import pandas as pd

EVENT_KINDS = (
    "change",
    "partial change",
    "top-up",
    "dose",
    "repair",
    "meter reset",
)
EVENT_COLUMNS = (
    "file",
    "row",
    "unit_id",
    "date",
    "hours",
    "distance",
    "event",
    "litres",
    "fluid",
    "note",
)


@dataclass(frozen=True, slots=True)
class Events:
    """Logged events.

    Parameters
    ----------
    table : DataFrame
        ``EVENT_COLUMNS``: ``date`` is datetime64 (NaT unknown), ``hours`` [h],
        ``distance`` [km] and ``litres`` [L] are NaN where unknown, ``event`` is one of
        ``EVENT_KINDS``. A further column ``share`` may say what share of the system an event
        exchanged, where that is known without litres.
    rejected : DataFrame
        Rows that could not be used, with the columns of a reading's rejected table.
    """

    table: pd.DataFrame
    rejected: pd.DataFrame
