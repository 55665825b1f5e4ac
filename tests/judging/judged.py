"""Short ways to judge what a test builds."""

import numpy as np

from chemcheck.judging import Judged, judge
from chemcheck.judging.record import STATE_NAMES, VERDICT_NAMES
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import Readings


def by_one(read: Readings, limit_set: LimitSet, rule: str = "overlap", **more: object) -> Judged:
    """Judge all samples by one set."""
    place = np.zeros(len(read.samples), dtype=np.int16)
    return judge(read, [limit_set], place, rule=rule, name=limit_set.id, **more)


def states(judged: Judged, quantity: str) -> list[str]:
    """Return the states of one quantity in words."""
    place = [each.key for each in judged.quantities].index(quantity)
    return [(*STATE_NAMES, "no result")[code] for code in judged.state[:, place]]


def verdicts(judged: Judged) -> list[str]:
    """Return the verdicts in words."""
    return [VERDICT_NAMES[code] for code in judged.verdict]


def decisive(judged: Judged, quantity: str) -> list[tuple[str | None, str, float] | None]:
    """Return side, kind and value of what decided each result of a quantity."""
    place = [each.key for each in judged.quantities].index(quantity)
    found = [judged.bounds[code] if code >= 0 else None for code in judged.decisive[:, place]]
    return [None if each is None else (each.side, each.kind, each.value) for each in found]
