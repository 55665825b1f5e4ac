"""Which samples of a fleet can stand in a trend, and where on the axis."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.errors import NotEnoughDataError
from chemcheck.fills import (
    AXES,
    Fills,
    Usage,
    choose_axis,
    fresh_fill_rows,
    measure_usage,
    number_fills,
)
from chemcheck.fills.axis_doubts import axis_doubts
from chemcheck.fills.event_order import all_events
from chemcheck.fills.top_up_shares import TopUps, top_ups_before, volumes_by_changes
from chemcheck.history.record import Events
from chemcheck.intake.sample_facts import fact_numbers
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import FRESH_FILL, ROUTINE

TRENDED_SAMPLES = (ROUTINE, FRESH_FILL)


@dataclass(frozen=True, slots=True)
class TrendRows:
    """Samples placed in the fills of a fleet.

    Parameters
    ----------
    fills : Fills
        Of every sample.
    usage : Usage
        Of every sample.
    usable : ndarray of bool, shape (n_samples,)
        Samples that can stand in a trend.
    technology : ndarray of object, shape (n_groups,)
        Of each fill, None where nobody stated it.
    last_of_present_fill : ndarray of int64, shape (n_units,)
        Row of the last usable sample of each unit that has one of its present fill.
    dates : ndarray of datetime64[D], shape (n_samples,)
        When each sample was taken.
    fresh : ndarray of int64, shape (n_samples,)
        Row of each sample's fresh-fill reference, -1 where there is none.
    topped : TopUps
        What was logged as added to each sample's unit before it.
    volume : ndarray of float64, shape (n_units,)
        What each unit's system holds [L]; NaN where unknown.
    set_aside : tuple of (str, str)
        What cannot stand in a trend, and why.
    """

    fills: Fills
    usage: Usage
    usable: npt.NDArray[np.bool_]
    technology: npt.NDArray[np.object_]
    last_of_present_fill: npt.NDArray[np.int64]
    dates: npt.NDArray[np.datetime64]
    fresh: npt.NDArray[np.int64]
    topped: TopUps
    volume: npt.NDArray[np.float64]
    set_aside: tuple[tuple[str, str], ...]

    def of_technology(self, kind: str | None) -> npt.NDArray[np.bool_]:
        """Return the samples of the fills of one technology; None: of those that state none."""
        technology = np.append(self.technology, [None])[self.fills.group]
        same = pd.isna(technology) if pd.isna(kind) else technology == kind
        return np.asarray(same, dtype=bool)

    def has_two_in_a_fill(self) -> bool:
        """Say whether any fill has two usable samples apart on the axis."""
        fill, age = self.fills.group[self.usable], self.usage.age[self.usable]
        order = np.lexsort((age, fill))
        same = fill[order][1:] == fill[order][:-1]
        return bool((same & (np.diff(age[order]) > 0.0)).any())


def trend_rows(
    readings: Readings,
    events: Events | None,
    axis: str | None,
    technology: str | None,
    held_out: npt.NDArray[np.bool_] | None = None,
) -> TrendRows:
    """Place the samples of a fleet in its fills.

    Parameters
    ----------
    readings : Readings
        The samples.
    events : Events or None
        What was logged between them.
    axis : {"hours", "distance", "days"} or None
        What to count in.
    technology : str or None
        Of the fills that state none.
    held_out : ndarray of bool, shape (n_samples,), optional
        Samples that the user wants left out.

    Returns
    -------
    TrendRows
        With a line for whatever was left out.

    Raises
    ------
    NotEnoughDataError
        If no sample can be placed.
    """
    samples = readings.samples
    log = all_events(readings, events)
    axis = axis or choose_axis(samples)
    doubts = axis_doubts(samples, log, axis)
    samples = doubts.believed(samples)
    fills = number_fills(samples, log)
    usage = measure_usage(samples, log, fills, axis)
    coolant = (samples["material"] == "coolant").to_numpy()
    trended = samples["sample_type"].isin(TRENDED_SAMPLES).to_numpy()
    named = fills.unit >= 0
    aged = np.isfinite(usage.age) & (usage.age >= 0)
    asked = np.zeros(len(samples), dtype=bool) if held_out is None else held_out
    usable = coolant & trended & named & aged & ~doubts.set_aside & ~asked
    kept = coolant & trended & ~doubts.set_aside & ~asked
    reasons = (
        (asked, "held out as asked"),
        (~coolant, "water: a trend is of coolant in a unit"),
        (coolant & ~trended, "not a routine or fresh-fill sample"),
        (kept & ~named, "no unit is named"),
        (kept & named & ~np.isfinite(usage.age), f"no {axis} to place it by"),
        (kept & named & (usage.age < 0), "dated before its fill began"),
    )
    set_aside = [(_samples(mask), why) for mask, why in reasons if mask.any()]
    set_aside += doubts.says
    if not usable.any():
        why = "; ".join(f"{what}: {why}" for what, why in set_aside) or "no samples"
        problem = f"no sample can be placed on the axis of {axis} [{AXES[axis]}]: {why}"
        raise NotEnoughDataError(problem)
    last = _last_rows(fills, usage, usable)
    set_aside += [
        (f"unit {unit}", "no sample since its last logged change")
        for unit in fills.unit_ids.delete(fills.unit[last])
        if (fills.unit[usable] == fills.unit_ids.get_loc(unit)).any()
    ]
    volume = _volumes(samples, fills, log)
    return TrendRows(
        fills,
        usage,
        usable,
        _technologies(samples, fills, technology),
        last,
        samples["taken_on"].to_numpy("datetime64[D]"),
        fresh_fill_rows(samples, fills),
        top_ups_before(samples, fills, log, volume),
        volume,
        tuple(set_aside),
    )


def _samples(mask: npt.NDArray[np.bool_]) -> str:
    count = int(mask.sum())
    return f"{count:,} sample{'s' if count > 1 else ''}"


def _volumes(
    samples: pd.DataFrame, fills: Fills, log: pd.DataFrame | None
) -> npt.NDArray[np.float64]:
    """Return what each unit's system holds: as a column states it, else by its full changes."""
    volume = volumes_by_changes(fills, log)
    stated = fact_numbers(samples, "system_volume", "L")
    if stated is not None:
        told = (fills.unit >= 0) & (stated > 0.0)
        volume[fills.unit[told]] = stated[told]
    return volume


def _last_rows(fills: Fills, usage: Usage, usable: npt.NDArray[np.bool_]) -> npt.NDArray[np.int64]:
    """Return the last usable sample of every present fill, in the order of the units."""
    rows = np.flatnonzero(usable & fills.current())
    order = rows[np.lexsort((usage.age[rows], fills.unit[rows]))]
    ends = np.r_[np.diff(fills.unit[order]) != 0, True] if len(order) else []
    return np.asarray(order[ends], dtype=np.int64)


def _technologies(
    samples: pd.DataFrame, fills: Fills, stated: str | None
) -> npt.NDArray[np.object_]:
    """Return the technology of each fill: what its samples say last, else what the user says."""
    answer = np.full(fills.group.max(initial=-1) + 1, stated, dtype=object)
    known = (fills.group >= 0) & samples["technology"].notna().to_numpy()
    answer[fills.group[known]] = samples["technology"].to_numpy(dtype=object)[known]
    return answer
