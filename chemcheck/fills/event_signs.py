"""What unlogged events do to the readings of a fill, read from the library."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from chemcheck.limit_library import limit_folder
from chemcheck.units import read_yaml

FILE = "unlogged_events.yaml"
NOTHING, DOSE = "nothing", "dose"
# Water comes in or goes; fresh coolant comes in.
BY_WATER = ("water top-up", "boil-off")
BY_COOLANT = ("premix top-up", "partial change", "change")


@dataclass(frozen=True, slots=True)
class EventSigns:
    """How to tell unlogged events.

    Parameters
    ----------
    initial, worn, dosed : frozenset of str
        Analytes that a fresh fill has, that only use brings, and that a dose raises.
    settings : mapping of str to float
        As in the file.
    prior : mapping of str to float
        Chance of each event between two samples before looking.
    shares : mapping of str to (float, float)
        Least and greatest share of the system that an event exchanges.
    most_dosed : float
        Greatest logarithm by which a dose raises a component.
    """

    initial: frozenset[str]
    worn: frozenset[str]
    dosed: frozenset[str]
    settings: Mapping[str, float]
    prior: Mapping[str, float]
    shares: Mapping[str, tuple[float, float]]
    most_dosed: float


@cache
def event_signs() -> EventSigns:
    """Read the signs of events, once.

    Examples
    --------
    >>> sorted(event_signs().shares)
    ['boil-off', 'change', 'partial change', 'premix top-up', 'water top-up']
    """
    page = read_yaml(limit_folder() / FILE)
    events = page["events"]
    return EventSigns(
        initial=frozenset(page["in_the_fill_from_the_start"]["analytes"]),
        worn=frozenset(page["new_only_in_use"]["analytes"]),
        dosed=frozenset(page["raised_by_a_dose"]["analytes"]),
        settings={name: float(entry["value"]) for name, entry in page["settings"].items()},
        prior={name: float(entry["prior"]) for name, entry in events.items()},
        shares={
            name: (float(entry["shares"][0]), float(entry["shares"][1]))
            for name, entry in events.items()
            if "shares" in entry
        },
        most_dosed=float(events[DOSE]["most"]),
    )
