"""What waters do in a system: softened, as scale, and as the water held back by a rinse."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.water_ends import reading_ends
from chemcheck.judging import Judged
from chemcheck.judging.water_cross_checks import Interval, hardness_from_metals, reading_of
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import Readings
from chemcheck.remedies.deionised_water import deionised_up_to, deionised_water
from chemcheck.remedies.deposit import Deposit, deposit
from chemcheck.remedies.finished_fill import FinishedFill, HeldBack, finished_fill, held_back
from chemcheck.remedies.softening import Softening, soften
from chemcheck.remedies.system_in_use import SystemInUse
from chemcheck.remedies.water_blend import linear_bounds


@dataclass(frozen=True, slots=True)
class SetInUse:
    """What becomes of the waters that one limit set judges.

    Parameters
    ----------
    limit_set : LimitSet
        The set.
    rows : ndarray of int, shape (m,)
        Position of the waters among the samples.
    softening : Softening
        What a softener would do.
    finished : FinishedFill or None
        The water of the finished fill; None where nobody said what drains.
    """

    limit_set: LimitSet
    rows: npt.NDArray[np.intp]
    softening: Softening
    finished: FinishedFill | None


@dataclass(frozen=True, slots=True)
class WaterInUse:
    """What becomes of waters.

    Parameters
    ----------
    sets : tuple of SetInUse
        One for each limit set in use; every water stands in one at most.
    system : SystemInUse or None
        Where they go; None where nothing was said of it.
    deposit : Deposit or None
        The scale they can leave there, for all samples; NaN for samples that are no water.
    held_back : HeldBack or None
        Volumes of the finished fill.
    pure : ndarray of bool, shape (n_samples,)
        Whether its conductivity says that a water is as good as deionised.
    """

    sets: tuple[SetInUse, ...]
    system: SystemInUse | None
    deposit: Deposit | None
    held_back: HeldBack | None
    pure: npt.NDArray[np.bool_]


def water_in_use(
    readings: Readings, judged: Judged, estimated: Interval, system: SystemInUse | None
) -> WaterInUse:
    """Reckon what becomes of waters.

    Parameters
    ----------
    readings : Readings
        All samples.
    judged : Judged
        By the sets of the headline.
    estimated : Interval
        Dissolved solids by conductivity where none were read.
    system : SystemInUse or None
        Where they go.

    Returns
    -------
    WaterInUse
        Whole columns.
    """
    volumes = None if system is None else held_back(system)
    values = deionised_water()
    parts = []
    for position, limit_set in enumerate(judged.sets):
        rows = np.flatnonzero(judged.set_of_sample == position)
        if limit_set.material != "water" or not rows.size:
            continue
        ends = reading_ends(judged, estimated, rows, widened=0.0)
        bounds, _ = linear_bounds(limit_set, values)
        finished = None
        if volumes is not None:
            finished = finished_fill(bounds, values, ends, volumes, rows.size)
        parts.append(SetInUse(limit_set, rows, soften(bounds, ends, rows.size), finished))
    scale = None
    if system is not None:
        scale = _deposit(readings, [part.rows for part in parts], system)
    water = np.zeros(len(readings.samples), dtype=np.bool_)
    for part in parts:
        water[part.rows] = True
    pure = water & (reading_of(readings, "conductivity").upper <= deionised_up_to())
    return WaterInUse(tuple(parts), system, scale, volumes, pure)


def _deposit(
    readings: Readings, rows: Sequence[npt.NDArray[np.intp]], system: SystemInUse
) -> Deposit:
    """Reckon the scale of the waters among all samples."""
    read, of_metals = reading_of(readings, "total_hardness"), hardness_from_metals(readings)
    water = np.zeros(len(readings.samples), dtype=np.bool_)
    for part in rows:
        water[part] = True
    hardness = (
        np.where(water, np.where(np.isnan(read.lower), of_metals.lower, read.lower), np.nan),
        np.where(water, np.where(np.isnan(read.upper), of_metals.upper, read.upper), np.nan),
    )
    alkalinity = reading_of(readings, "total_alkalinity")
    return deposit(hardness, (alkalinity.lower, alkalinity.upper), system)
