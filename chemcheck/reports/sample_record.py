"""What is on record of a sample, and what a job card should hold besides."""

from collections.abc import Iterator

import pandas as pd

from chemcheck.readings.record import Coded, Readings
from chemcheck.reports.event_words import event_lines
from chemcheck.reports.numbers import number
from chemcheck.reports.unit_document import Item

# Of what was logged so many entries are shown, the latest last.
LOGGED = 8
# The steps of a job that a file of readings does not hold.
TO_FILL_IN = tuple(
    Item(label, "")
    for label in (
        "Level, colour, smell and oil film before the sample was drawn",
        "Cap: rating and pressure at which it opened; vacuum valve",
        "Pressure test: pressure, minutes held",
        "Combustion leak test: method, result",
        "Voltage of the coolant against battery negative: all off, cranking, all loads on",
        "Rinses: litres in and out, reading of each",
        "Refill: litres of concentrate and of water, percent measured after mixing",
        "Done by, date",
    )
)
_FACTS = (
    ("sample_id", "Sample number"),
    ("taken_on", "Taken on"),
    ("hours", "Hour meter [h]"),
    ("distance", "Odometer [km]"),
    ("sampling_point", "Sampling point"),
    ("sample_type", "Kind of sample"),
    ("technology", "Coolant technology"),
    ("glycol_type", "Glycol"),
)
_OF_READINGS = (
    ("method", "Methods"),
    ("laboratory", "Laboratory"),
    ("lot", "Lot of strips or reagents"),
)


def record_of(readings: Readings, row: int, log: pd.DataFrame | None) -> tuple[Item, ...]:
    """Return what is on record of a sample; what is not is an item without a value.

    Parameters
    ----------
    readings : Readings
        All samples.
    row : int
        Position of the sample.
    log : DataFrame or None
        What was logged of its unit.
    """
    return tuple(_items(readings, row, log))


def _items(readings: Readings, row: int, log: pd.DataFrame | None) -> Iterator[Item]:
    sample = readings.samples.iloc[row]
    for key, label in _FACTS:
        yield Item(label, _text(sample[key]))
    for key, label in _OF_READINGS:
        yield Item(label, ", ".join(_names(getattr(readings, key), row)))
    logged = [] if log is None else event_lines(log)
    more = len(logged) - LOGGED
    told = ([f"{more} earlier"] if more > 0 else []) + logged[-LOGGED:]
    yield Item("Changes, top-ups, doses and repairs", "; ".join(told))
    yield Item("File and row", f"{sample['file']}, row {sample['row']}")


def _text(value: object) -> str:
    if pd.isna(value):  # type: ignore[call-overload]  # a cell of any kind
        return ""
    if isinstance(value, pd.Timestamp):
        return f"{value:%Y-%m-%d}"
    return number(value) if isinstance(value, float) else str(value).replace("_", " ")


def _names(coded: Coded, row: int) -> tuple[str, ...]:
    """Return the distinct texts of a sample's readings."""
    codes = dict.fromkeys(coded.codes[row].tolist())
    return tuple(coded.names[code] for code in codes if code >= 0)
