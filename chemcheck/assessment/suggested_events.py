"""Unlogged events as suggestions, and as a log once the user accepts them."""

import numpy as np
import pandas as pd

from chemcheck.fills import number_fills
from chemcheck.fills.event_order import all_events
from chemcheck.fills.unlogged_events import unlogged_events
from chemcheck.history.record import EVENT_COLUMNS, EVENT_KINDS, Events
from chemcheck.readings.record import PROBLEM_COLUMNS, Readings

# What a log calls the events that it does not know by the name they are found under.
LOGGED_AS = {"water top-up": "top-up", "premix top-up": "top-up"}
FLUIDS = {"water top-up": "water", "premix top-up": "premix"}
NOTE = "suggested by the readings"


def suggest_events(readings: Readings, events: Events | None) -> pd.DataFrame:
    """Find what may have happened without being logged.

    Parameters
    ----------
    readings : Readings
        Samples of units over time.
    events : Events or None
        The log.

    Returns
    -------
    DataFrame
        As `fills.unlogged_events.unlogged_events` gives it, with ``from`` and ``to``, the dates
        of the two samples, and the likeliest first.
    """
    log = all_events(readings, events)
    found = unlogged_events(readings, number_fills(readings.samples, log), log)
    taken = readings.samples["taken_on"].reset_index(drop=True)
    for name, row in (("from", "before"), ("to", "after")):
        found[name] = taken.loc[found[row].to_numpy(dtype=np.int64)].to_numpy()
    return found.sort_values("probability", ascending=False, kind="stable", ignore_index=True)


def accept_events(
    readings: Readings, events: Events | None, suggestions: pd.DataFrame
) -> Events | None:
    """Put suggestions into the log, half-way between their two samples.

    Parameters
    ----------
    readings : Readings
        Samples of units over time.
    events : Events or None
        The log.
    suggestions : DataFrame
        From `suggest_events`. Boil-off is nothing that is done to a unit and stays out.

    Returns
    -------
    Events or None
        The log with them; its column ``share`` says what share of the system they exchanged.
    """
    kind = suggestions["event"].map(lambda name: LOGGED_AS.get(name, name))
    taken = suggestions[kind.isin(EVENT_KINDS).to_numpy(dtype=bool)]
    if not len(taken):
        return events
    ends = [readings.samples.iloc[taken[name].to_numpy(np.int64)] for name in ("before", "after")]
    first, last = (end.reset_index(drop=True) for end in ends)
    middle = first["taken_on"] + ((last["taken_on"] - first["taken_on"]) / 2).dt.floor("D")
    table = pd.DataFrame(
        {
            "file": "",
            "row": 0,
            "unit_id": taken["unit_id"].to_numpy(dtype=object),
            "date": middle,
            "hours": (first["hours"] + last["hours"]) / 2,
            "distance": (first["distance"] + last["distance"]) / 2,
            "event": kind.loc[taken.index].to_numpy(dtype=object),
            "litres": np.nan,
            "fluid": [FLUIDS.get(name, "") for name in taken["event"]],
            "note": NOTE,
            "share": taken["share"].to_numpy(dtype=np.float64),
        },
        columns=[*EVENT_COLUMNS, "share"],
    )
    if events is None:
        return Events(table, pd.DataFrame(columns=list(PROBLEM_COLUMNS)))
    return Events(pd.concat([events.table, table], ignore_index=True), events.rejected)
