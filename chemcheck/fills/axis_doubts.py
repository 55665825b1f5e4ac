"""Samples that meter and date place differently: what a trend cannot rely on, and why."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.axis import AXES, running_meter
from chemcheck.fills.event_order import as_number
from chemcheck.fills.fill_numbers import number_fills
from chemcheck.fills.meter_order import culprits
from chemcheck.fills.slip_factors import slip_library
from chemcheck.fills.wrong_dates import METER, WrongDates, wrong_dates

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class AxisDoubts:
    """What cannot be placed in time, or on a meter, without a choice of the user's.

    Parameters
    ----------
    set_aside : ndarray of bool, shape (n_samples,)
        Samples that no trend should use.
    undated : ndarray of bool, shape (n_samples,)
        Samples whose date alone is wrong.
    says : tuple of (str, str)
        What, and why with what settles it, a line each.
    """

    set_aside: Bools
    undated: Bools
    says: tuple[tuple[str, str], ...]

    def believed(self, samples: pd.DataFrame) -> pd.DataFrame:
        """Return the samples without dates and meters that nothing should be reckoned from."""
        dates, meters = self.undated | self.set_aside, self.set_aside
        if not dates.any():
            return samples
        return samples.assign(
            taken_on=samples["taken_on"].mask(dates),
            **{name: samples[name].mask(meters) for name in ("hours", "distance", "days")},
        )


def axis_doubts(samples: pd.DataFrame, events: pd.DataFrame | None, axis: str) -> AxisDoubts:
    """Find meters that ran backwards, and dates that contradict the meter.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With the columns of `readings`.
    events : DataFrame or None
        The log: a ``meter reset`` explains a meter that fell.
    axis : {"hours", "distance", "days"}
        What a trend counts in.

    Returns
    -------
    AxisDoubts
        A single reading without which the meter runs forwards is set aside alone. Where the meter
        goes on from the lower reading it was reset, or not: without a log the unit is set aside.
        A date off its line by a usual slip is left out; off it without one, the sample is.
    """
    fills = number_fills(samples, events)
    nothing = np.zeros(len(samples), dtype=bool)
    lines: list[tuple[str, str]] = []
    day, unit = as_number(samples["taken_on"]), fills.unit
    of = axis if axis != "days" else _meter_read(samples)
    meter = running_meter(samples, events, fills, of)[0] if of else np.full(len(samples), np.nan)
    aside = _backwards(samples, day, meter, unit, of, lines) if of else nothing.copy()
    if axis == "days":
        aside = nothing.copy()
    undated = nothing.copy()
    if len(samples) <= slip_library().settings["most_samples"].value:
        sure = np.where(aside, np.nan, meter)
        found = wrong_dates(samples, fills, sure)
        _dates(samples, found, axis, aside, undated, lines)
    return AxisDoubts(aside, undated, tuple(lines))


def _meter_read(samples: pd.DataFrame) -> str:
    """Return the meter that samples on the axis of days have, empty for none."""
    return next((name for name in ("hours", "distance") if samples[name].notna().any()), "")


def _backwards(
    samples: pd.DataFrame,
    day: Floats,
    meter: Floats,
    unit: npt.NDArray[np.int64],
    axis: str,
    lines: list[tuple[str, str]],
) -> Bools:
    """Set aside readings that run backwards, or the unit where no single reading explains it."""
    aside = np.zeros(len(meter), dtype=bool)
    wrong, against = culprits(day, meter, unit)
    if not wrong.size:
        return aside
    left = meter.copy()
    left[wrong] = np.nan
    again, _ = culprits(day, left, unit)
    refused = np.unique(unit[again])
    for row, other in zip(wrong.tolist(), against.tolist(), strict=True):
        if unit[row] in refused:
            continue
        aside[row] = True
        lines.append(
            (
                _named(samples, row),
                f"its {axis} of {meter[row]:g} {AXES[axis]} contradict the {meter[other]:g} "
                f"{AXES[axis]} of {_date(samples, other)}: left out; mend the reading, or log a "
                "meter reset",
            )
        )
    for code in refused.tolist():
        aside[unit == code] = True
        first = int(wrong[unit[wrong] == code][0])
        lines.append(
            (
                f"unit {samples['unit_id'].iloc[first]}",
                f"its meter falls to {meter[first]:g} {AXES[axis]} on {_date(samples, first)} and "
                "goes on from there: left out until a log of events says meter reset, or the "
                "readings are mended",
            )
        )
    return aside


def _dates(
    samples: pd.DataFrame,
    found: WrongDates,
    axis: str,
    aside: Bools,
    undated: Bools,
    lines: list[tuple[str, str]],
) -> None:
    """Leave wrong dates out; the sample as well where date or meter may be the wrong one."""
    for row, says, likely, expected, by in zip(
        found.row.tolist(), found.says, found.likely, found.expected, found.by, strict=True
    ):
        # Files are often not in the order of time: only the unit's own meter counts here.
        if aside[row] or by != METER:
            continue
        slip = f"; {says}, {likely}" if says else ""
        disagree = f"its date disagrees with {by}, which puts it about {expected}{slip}"
        if says and axis != "days":
            undated[row] = True
            lines.append((_named(samples, row), f"{disagree}: its date is not used"))
        else:
            aside[row] = True
            lines.append(
                (_named(samples, row), f"{disagree}: left out; mend the date or the meter")
            )


def _named(samples: pd.DataFrame, row: int) -> str:
    one = samples.iloc[row]
    return f"unit {one['unit_id']}, sample of {_date(samples, row)} (row {one['row']})"


def _date(samples: pd.DataFrame, row: int) -> str:
    date = samples["taken_on"].iloc[row]
    return "unknown date" if pd.isna(date) else f"{date:%Y-%m-%d}"
