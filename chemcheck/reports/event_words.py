"""What was logged of a unit, in words."""

from collections.abc import Hashable, Mapping
from typing import Any

import pandas as pd

from chemcheck.reports.numbers import number

_PLACES = (("date", "taken_on"), ("hours", "hours"), ("distance", "distance"))


def event_lines(log: pd.DataFrame) -> list[str]:
    """Return a log in words, an entry each.

    Parameters
    ----------
    log : DataFrame
        In the columns of a log.

    Examples
    --------
    >>> log = pd.DataFrame({
    ...     "date": pd.to_datetime(["2031-05-02"]), "hours": 410.0, "distance": float("nan"),
    ...     "event": "top-up", "litres": 3.7, "fluid": "deionised water", "note": None,
    ... })
    >>> event_lines(log)
    ['top-up, 3.7 L deionised water (2031-05-02, 410 h)']
    """
    return [_words(line) for line in log.to_dict("records")]


def events_between(log: pd.DataFrame, before: pd.Series, after: pd.Series) -> list[str]:
    """Return in words what was logged between two samples.

    Parameters
    ----------
    log : DataFrame
        Of their unit.
    before, after : Series
        Rows of the samples' table.

    Returns
    -------
    list of str
        Entries that the date, else the meter, places after the first sample and not after
        the second.
    """
    for of_log, of_sample in _PLACES:
        if pd.notna(before[of_sample]) and pd.notna(after[of_sample]):
            place = log[of_log]
            return event_lines(log[(place >= before[of_sample]) & (place <= after[of_sample])])
    return []


def _words(line: Mapping[Hashable, Any]) -> str:
    amount = f"{number(line['litres'])} L" if pd.notna(line["litres"]) else ""
    fluid = str(line["fluid"]) if pd.notna(line["fluid"]) else ""
    what = ", ".join(filter(None, (str(line["event"]), " ".join(filter(None, (amount, fluid))))))
    places = [f"{line['date']:%Y-%m-%d}"] if pd.notna(line["date"]) else []
    for name, unit in (("hours", "h"), ("distance", "km")):
        if pd.notna(line[name]):
            places.append(f"{number(line[name])} {unit}")
    note = f": {line['note']}" if pd.notna(line["note"]) and line["note"] else ""
    return f"{what} ({', '.join(places)}){note}" if places else f"{what}{note}"
