"""The finished fill of a refill, analyte by analyte: a reference until a sample shows it."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.check import check
from chemcheck.assessment.reckoned_levels import judge_levels
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.refill import RefillAnswer
from chemcheck.assessment.sample_levels import MIXING
from chemcheck.causes.contaminant_balance import BALANCES
from chemcheck.causes.reading_ends import ends_in
from chemcheck.chemistry.acid_balance import reserve_of_alkalinity
from chemcheck.errors import QuantityError
from chemcheck.judging.glycol_of_concentrate import GLYCOLS, by_volume
from chemcheck.judging.record import Judged
from chemcheck.limit_library.assumed_values import coolant_concentrate
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.record import ReadingColumn, Readings
from chemcheck.readings.sample_types import FRESH_FILL, NEW_COOLANT, rows_of_type
from chemcheck.remedies.deionised_water import deionised_water
from chemcheck.remedies.estimate import Estimate, between, exact, hull
from chemcheck.remedies.filled_levels import FilledIn, finished_level, level_of_concentrate

GLYCOL, CONCENTRATE, RESERVE = "glycol", "coolant_concentrate", "reserve_alkalinity"
# What tap water holds, so that it has to be known of water that is filled or stays inside.
OF_WATER = frozenset(
    {
        "chloride", "sulfate", "nitrate", "fluoride", "silicon", "bicarbonate", "carbonate",
        "sodium", "potassium", "calcium", "magnesium", "total_hardness", "calcium_hardness",
        "magnesium_hardness", "total_alkalinity", "p_alkalinity", "total_dissolved_solids",
        "iron", "manganese",
    }
)  # fmt: skip
_NOTHING = exact(0.0)
_RINSED_WITH = "the rinse water that stays inside (--inside-water)"
_OLD_COOLANT = "the coolant that stays inside (--old)"


@dataclass(frozen=True, slots=True)
class ExpectedFill:
    """What a finished fill should hold.

    Parameters
    ----------
    technology, glycol_type : str or None
        Of the new coolant.
    levels : mapping of ReadingColumn to Estimate
        [canonical units].
    left_out : tuple of str
        Titles of what the new coolant was read for and cannot be foretold.
    assumptions, questions : tuple of str
        What was assumed, and what would let more be foretold.
    """

    technology: str | None
    glycol_type: str | None
    levels: Mapping[ReadingColumn, Estimate]
    left_out: tuple[str, ...]
    assumptions: tuple[str, ...]
    questions: tuple[str, ...] = ()


def expected_fill(
    answer: RefillAnswer,
    coolant: Readings,
    *,
    sample_id: str | None = None,
    water: Mapping[str, Estimate] | None = None,
    inside_water: Mapping[str, Estimate] | None = None,
    old: Readings | None = None,
) -> ExpectedFill:
    """Reckon what the finished fill holds.

    Parameters
    ----------
    answer : RefillAnswer
        The refill, as it is carried out.
    coolant : Readings
        Results of the new coolant, as concentrate or as a mix with its glycol read.
    sample_id : str, optional
        Which of its samples; only where it holds several.
    water, inside_water : mapping of str to Estimate, optional
        Of the water that is filled, deionised unless stated, and of the rinse water that
        stays inside, by analyte [canonical units].
    old : Readings, optional
        Results of the coolant that stays inside, where it was not rinsed out.

    Returns
    -------
    ExpectedFill
        With the uncertainty of volumes and of the results (95 %).

    Raises
    ------
    QuantityError
        If no sample or several could be the new coolant, or its glycol was not read.
    """
    judged, row = _sample(coolant, sample_id, "the new coolant")
    used = None if old is None else _sample(old, None, "the coolant that stays inside")
    percent, whole = _percents(judged, row, answer)
    strength, premix = answer.strength, answer.premix or _NOTHING
    plan = answer.plan
    filled = FilledIn(
        answer.system,
        plan.drain,
        float(plan.concentrate.value),
        float(plan.premix.value),
        float(plan.water.value),
    )
    rinsed = bool(answer.inside.upper <= 0.0)
    levels: dict[ReadingColumn, Estimate] = {}
    left_out, not_said = [], dict[str, list[str]]()
    for place, column in enumerate(judged.readings.columns):
        if np.isnan(judged.readings.lower[row, place]):
            continue
        if analyte_of(column.analyte).dimension not in MIXING or column.analyte == CONCENTRATE:
            left_out.append(analyte_of(column.analyte).title)
            continue
        found = _estimate(judged, row, place)
        tap = _of_water(column.analyte, water or {}, deionised=True)
        if rinsed:
            inside = _of_water(column.analyte, inside_water or {}, deionised=False)
        else:
            inside = None if used is None else _of_old(used, column)
        lacking = []
        if filled.water > 0.0 and tap is None:
            lacking.append("the water that is filled (--water)")
        if float(answer.held.upper) > 0.0 and inside is None:
            lacking.append(_RINSED_WITH if rinsed else _OLD_COOLANT)
        if lacking or not np.isfinite(found.upper):
            left_out.append(analyte_of(column.analyte).title)
            for what in lacking:
                not_said.setdefault(what, []).append(analyte_of(column.analyte).title)
            continue
        neat, mix = (
            level_of_concentrate(found, percent, one)
            for one in (strength, answer.premix or _NOTHING)
        )
        if column.analyte == GLYCOL:
            # Its own reading says how strong the sample is, and cancels out.
            neat, mix = (hull(lambda p, g: p * g / 100.0, one, whole) for one in (strength, premix))
        levels[column] = finished_level(
            filled,
            neat,
            mix,
            tap or _NOTHING,
            inside or _NOTHING,
        )
    samples = judged.readings.samples
    technology, kind = (samples[key].iloc[row] for key in ("technology", "glycol_type"))
    return ExpectedFill(
        technology=technology if isinstance(technology, str) else None,
        glycol_type=kind if isinstance(kind, str) else None,
        levels=levels,
        left_out=tuple(dict.fromkeys(left_out)),
        assumptions=tuple(_assumed(water, rinsed, float(answer.held.upper))),
        questions=tuple(
            f"What does {what} hold of {', '.join(dict.fromkeys(names))}? Said, it is reckoned."
            for what, names in not_said.items()
        ),
    )


def _assumed(water: Mapping[str, Estimate] | None, rinsed: bool, held: float) -> list[str]:
    told = ["Inhibitors, acids and metals are taken to be none in water."]
    if not water:
        told.append("The water that is filled is taken as deionised.")
    if rinsed and held > 0.0:
        told.append("Rinse water that stays inside holds none of the old fill.")
    return told


def _sample(readings: Readings, sample_id: str | None, name: str) -> tuple[Judged, int]:
    """Choose the one sample of coolant that is meant."""
    judged = check(readings).headline
    samples = judged.readings.samples
    coolant = (samples["material"] == "coolant").to_numpy()
    if sample_id is not None:
        rows = np.flatnonzero(coolant & (samples["sample_id"] == sample_id).to_numpy())
    else:
        new = rows_of_type(samples, (*NEW_COOLANT, FRESH_FILL))
        rows = new if new.size and coolant[new].all() else np.flatnonzero(coolant)
    if rows.size != 1:
        which = f"{rows.size} samples of coolant"
        if sample_id is not None:
            which = f"{rows.size} named {sample_id!r}"
        message = f"which sample is {name}? the file holds {which}: name one with --coolant-sample"
        raise QuantityError(message)
    return judged, int(rows[0])


def _estimate(judged: Judged, row: int, place: int) -> Estimate:
    ends = ends_in(judged, row, place)
    readings = judged.readings
    middle = 0.5 * float(readings.lower[row, place] + readings.upper[row, place])
    return between(ends.lower, ends.upper, value=middle)


def _percents(judged: Judged, row: int, answer: RefillAnswer) -> tuple[Estimate, Estimate]:
    """Return the sample's percent, counted as the target is, and the glycol of 100 such per cent.

    A concentrate of 100 % counts as labels do, one of less by its glycol.
    """
    read = {
        column.analyte: _estimate(judged, row, place)
        for place, column in enumerate(judged.readings.columns)
        if column.analyte in (GLYCOL, CONCENTRATE)
        and not np.isnan(judged.readings.lower[row, place])
    }
    by_label = bool(answer.strength.upper >= 100.0)
    share = coolant_concentrate()["glycol_by_mass"]
    kind = judged.readings.samples["glycol_type"].iloc[row]
    known = kind if kind in GLYCOLS else None
    low, high = (
        float(by_volume(np.array([end]), k, known)[0])
        for k, end in enumerate((share.lower, share.upper))
    )
    whole = between(low, high) if by_label else exact(100.0)
    if by_label and CONCENTRATE in read:
        return read[CONCENTRATE], whole
    if GLYCOL not in read or float(read[GLYCOL].lower) <= 0.0:
        message = "the glycol of the new coolant was not read: nobody knows how strong it is"
        raise QuantityError(message)
    return hull(lambda g, s: 100.0 * g / s, read[GLYCOL], whole), whole


def _of_water(analyte: str, stated: Mapping[str, Estimate], *, deionised: bool) -> Estimate | None:
    """Return what water holds; None where it may hold some and nobody said how much."""
    if analyte in stated:
        return stated[analyte]
    if analyte == RESERVE:
        return _NOTHING if deionised and not stated else between(0.0, _most_reserve_of_water())
    if analyte == GLYCOL or analyte not in OF_WATER:
        return _NOTHING
    if not deionised or stated:
        return None
    if analyte in deionised_water():
        return between(deionised_water()[analyte].lower, deionised_water()[analyte].upper)
    return _NOTHING


def _most_reserve_of_water() -> float:
    alkalinity = check_settings(BALANCES)["unknown_alkalinity"].value
    return float(reserve_of_alkalinity(alkalinity))


def _of_old(used: tuple[Judged, int], column: ReadingColumn) -> Estimate | None:
    judged, row = used
    for place, one in enumerate(judged.readings.columns):
        if one == column and not np.isnan(judged.readings.lower[row, place]):
            return _estimate(judged, row, place)
    return None


def judge_finished(answer: RefillAnswer, fill: ExpectedFill | None = None) -> Assessment:
    """Judge what a refill comes to, as `check` judges a sample.

    Parameters
    ----------
    answer : RefillAnswer
        The refill.
    fill : ExpectedFill, optional
        What it should hold; without it the percent alone is judged.

    Returns
    -------
    Assessment
        Of one sample.
    """
    if fill is not None:
        return judge_levels(fill.levels, fill.technology, fill.glycol_type)
    by_label = bool(answer.strength.upper >= 100.0)
    column = ReadingColumn(CONCENTRATE if by_label else GLYCOL, "by_volume")
    return judge_levels({column: answer.plan.finished})
