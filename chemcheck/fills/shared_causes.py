"""The same shift in several units that share something: said once, with what to test."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.chemistry.normal import quantile
from chemcheck.fills.fill_numbers import Fills
from chemcheck.fills.steps import SampleOrder, Steps, sample_order, steps_of
from chemcheck.intake.sample_facts import fact_texts
from chemcheck.limit_library.settings import check_file_node, check_settings
from chemcheck.readings.record import Readings

Codes = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SharedCause:
    """One shift that several units share.

    Parameters
    ----------
    kind : str
        What they share: a key of the file's ``shared``; or ``change of laboratory`` and
        ``change of method``, where the reading changed hands.
    level : str
        Which: the depot's name, ``A to B``.
    since : str
        The month in which it began, ``2031-04``; empty for a change of laboratory or method.
    analytes : tuple of str
        What shifted, the surest first.
    shift : tuple of float
        By what ratio each shifted, or by what difference on scales without a zero.
    units : int
        In how many units.
    certainty : float
        Standard deviations by which the surest shift differs from what chance and the rest
        of the fleet do.
    also : tuple of (str, str)
        What else these units share, so that it explains the same.
    holders : str
        ``units``, or ``sources`` where all of them are of water.
    """

    kind: str
    level: str
    since: str
    analytes: tuple[str, ...]
    shift: tuple[float, ...]
    units: int
    certainty: float
    also: tuple[tuple[str, str], ...] = ()
    holders: str = "units"


@dataclass(frozen=True, slots=True)
class _Shift:
    """One analyte's shift in one group of units."""

    kind: str
    level: str
    month: int
    steps: Steps
    units: frozenset[int]
    mean: float
    certainty: float


def shared_causes(readings: Readings, fills: Fills) -> tuple[SharedCause, ...]:
    """Find shifts that several units share.

    Parameters
    ----------
    readings : Readings
        With free columns such as depot, water source, bulk tank or concentrate lot.
    fills : Fills
        Of the same samples.

    Returns
    -------
    tuple of SharedCause
        The surest first.

    Notes
    -----
    For each analyte and month the steps that lead over the beginning of the month, one a
    unit, are averaged over the units that share something, and compared with those of all
    other units by their standard error. Everything tested counts: the chance of any false
    finding is ``false_alarm`` in all (Bonferroni), and the shift must be large and mostly
    one way (``limits/checks/shared_causes.yaml``). A step that goes with a change of the
    laboratory or method of the unit's reading is tested as that, and not counted elsewhere.
    Where two things that units share explain the same shift, the surer is named, and the
    other beside it where the units are the same.
    """
    order = sample_order(readings.samples, fills)
    if order.row.size < 2:
        return ()
    tested = [j for j, c in enumerate(readings.columns) if c.analyte not in _moved_by_the_weather()]
    found = [s for s in (steps_of(readings, order, j) for j in tested) if s is not None]
    if not found:
        return ()
    handed: list[_Shift] = []
    tests = 0
    kept = []
    for steps in found:
        changed = np.zeros(steps.size.shape, dtype=np.bool_)
        for name in ("laboratory", "method"):
            shifts, count, moved = _changes_of_hand(readings, fills, steps, name)
            handed += shifts
            tests += count
            changed |= moved
        kept.append(steps.only(~changed))
    shared: list[_Shift] = []
    for kind in what_to_test():
        for steps in kept:
            levels = _levels(readings, kind, steps)
            if levels is not None and steps.size.size:
                shifts, count = _shared_shifts(readings, fills, order, steps, kind, *levels)
                shared += shifts
                tests += count
    limit = -float(
        quantile(check_settings("shared_causes")["false_alarm"].value / 2 / max(tests, 1))
    )
    sure = [shift for shift in (*handed, *shared) if shift.certainty >= limit]
    return _told_once(readings, sure)


@cache
def what_to_test() -> Mapping[str, str]:
    """Return what units can share, and what to test where it shows.

    Examples
    --------
    >>> what_to_test()["bulk_tank"]
    'sample the tank, top and bottom'
    """
    node = check_file_node("shared_causes").mapping()["shared"]
    return MappingProxyType({key: entry.text() for key, entry in node.mapping().items()})


@cache
def _moved_by_the_weather() -> frozenset[str]:
    node = check_file_node("shared_causes").mapping()["not_tested"]
    return frozenset(entry.one_of(vocabulary(), "analyte") for entry in node.entries())


def _levels(readings: Readings, kind: str, steps: Steps) -> tuple[Codes, tuple[str, ...]] | None:
    """Return which of its levels each step's later sample has, -1 where unknown."""
    if kind == "date":
        return np.zeros(steps.after.size, dtype=np.int64), ("all units",)
    if kind in ("laboratory", "lot"):
        coded = readings.laboratory if kind == "laboratory" else readings.lot
        return coded.codes[steps.after, steps.column].astype(np.int64), coded.names
    stated = fact_texts(readings.samples, kind)
    return None if stated is None else (stated[0][steps.after], stated[1])


def _changes_of_hand(
    readings: Readings, fills: Fills, steps: Steps, name: str
) -> tuple[list[_Shift], int, npt.NDArray[np.bool_]]:
    """Test the steps that go with a change of laboratory or method."""
    coded = readings.laboratory if name == "laboratory" else readings.method
    before, after = (
        coded.codes[rows, steps.column].astype(np.int64) for rows in (steps.before, steps.after)
    )
    moved = (before != after) & (before >= 0) & (after >= 0)
    if not moved.any():
        return [], 0, moved
    width = len(coded.names)
    pair = np.where(moved, before * width + after, -1)
    shifts = []
    present = np.unique(pair[moved]).tolist()
    for each in present:
        here = pair == each
        shift = _test(steps, here, ~moved, fills)
        if shift is not None:
            level = f"{coded.names[each // width]} to {coded.names[each % width]}"
            shifts.append(replace(shift, kind=f"change of {name}", level=level))
    return shifts, len(present), moved


def _test(
    steps: Steps, here: npt.NDArray[np.bool_], rest: npt.NDArray[np.bool_], fills: Fills
) -> _Shift | None:
    """Compare the mean step of some pairs with that of others."""
    settings = check_settings("shared_causes")
    count, others = int(here.sum()), int(rest.sum())
    if count < settings["least_units"].value:
        return None
    most = settings["most_scatters"].value
    clipped = np.clip(steps.size / steps.scatter, -most, most)
    error = float(np.sqrt(np.mean(clipped**2) * (1 / count + (1 / others if others else 0.0))))
    gap = float(clipped[here].mean() - (clipped[rest].mean() if others else 0.0))
    # A unit has shifted if its step goes at least half as far as the mean.
    same = np.mean(clipped[here] * np.sign(gap) >= abs(gap) / 2)
    if same < settings["same_way"].value or not _large(
        steps, gap, float(np.median(steps.size[here]))
    ):
        return None
    units = frozenset(fills.unit[steps.after[here]].tolist())
    if len(units) < settings["least_units"].value:
        return None
    return _Shift("", "", -1, steps, units, float(np.median(steps.size[here])), abs(gap) / error)


def _large(steps: Steps, gap: float, middle: float) -> bool:
    settings = check_settings("shared_causes")
    if abs(gap) < settings["least_scatters"].value:
        return False
    return not steps.logarithm or abs(middle) >= settings["least_shift"].value


def _shared_shifts(
    readings: Readings,
    fills: Fills,
    order: SampleOrder,
    steps: Steps,
    kind: str,
    code: Codes,
    names: tuple[str, ...],
) -> tuple[list[_Shift], int]:
    """Test every level and month of one thing that units share; return the surest of each."""
    settings = check_settings("shared_causes")
    most = settings["most_scatters"].value
    clipped = np.clip(steps.size / steps.scatter, -most, most)
    begins, ends = order.month[steps.before] + 1, order.month[steps.after]
    first = int(begins.min())
    shape = (len(names) + 1, int(ends.max()) - first + 2)
    crosses = ends >= begins
    at = (code[crosses], begins[crosses] - first), (code[crosses], ends[crosses] - first + 1)
    total, count = np.zeros(shape), np.zeros(shape)
    for sums, weight in ((total, clipped[crosses]), (count, np.ones(int(crosses.sum())))):
        np.add.at(sums, at[0], weight)
        np.subtract.at(sums, at[1], weight)
        np.cumsum(sums, axis=1, out=sums)
    # The last row holds the steps of which nothing is known: they belong to the rest.
    rest, others = total.sum(axis=0) - total, count.sum(axis=0) - count
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = total / count
        beside = np.where(others > 0, rest / others, 0.0)
        error = np.sqrt(np.mean(clipped**2) * (1 / count + np.where(others > 0, 1 / others, 0.0)))
        certainty = np.abs(mean - beside) / error
    tested = count[:-1] >= settings["least_units"].value
    shifts = []
    best = np.where(tested, certainty[:-1], 0.0)
    for level in np.flatnonzero(tested.any(axis=1)).tolist():
        month = int(best[level].argmax()) + first
        over = (begins <= month) & (ends >= month)
        shift = _test(steps, over & (code == level), over & (code != level), fills)
        if shift is not None:
            shifts.append(replace(shift, kind=kind, level=names[level], month=month))
    return shifts, int(tested.sum())


def _told_once(readings: Readings, shifts: Sequence[_Shift]) -> tuple[SharedCause, ...]:
    """Join what shifted together, and name the surest of what explains the same."""
    causes: list[SharedCause] = []
    left = sorted(shifts, key=lambda shift: -shift.certainty)
    while left:
        chief = left[0]
        mine = [
            s for s in left if (s.kind, s.level) == (chief.kind, chief.level) and _near(s, chief)
        ]
        columns = {s.steps.column for s in mine}
        explained = [
            s
            for s in left
            if s.steps.column in columns and s.units & chief.units and _near(s, chief)
        ]
        also = dict.fromkeys(
            (s.kind, s.level)
            for s in explained
            if s.kind not in (chief.kind, "date") and s.units == chief.units
        )
        first = {s.steps.column: s for s in reversed(mine)}
        together = sorted(first.values(), key=lambda s: -s.certainty)
        causes.append(
            SharedCause(
                kind=chief.kind,
                level=chief.level,
                since="" if chief.month < 0 else str(np.datetime64(chief.month, "M")),
                analytes=tuple(readings.columns[s.steps.column].analyte for s in together),
                shift=tuple(
                    float(np.exp(s.mean)) if s.steps.logarithm else s.mean for s in together
                ),
                units=len(frozenset().union(*(s.units for s in together))),
                certainty=chief.certainty,
                also=tuple(also),
                holders=_holders(readings, together),
            )
        )
        left = [s for s in left if s not in mine and s not in explained]
    return tuple(causes)


def _holders(readings: Readings, together: Sequence[_Shift]) -> str:
    """Say whether a shift was seen in units of coolant or in sources of water."""
    material = readings.samples["material"].to_numpy()
    rows = np.concatenate([shift.steps.after for shift in together])
    return "sources" if (material[rows] == "water").all() else "units"


def _near(one: _Shift, other: _Shift) -> bool:
    """Return whether two shifts began within three months of each other."""
    return one.month < 0 or other.month < 0 or abs(one.month - other.month) <= 3
