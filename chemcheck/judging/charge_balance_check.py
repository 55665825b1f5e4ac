"""Charge balance of waters: asked where a complete analysis does not balance."""

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.chemistry.ions import (
    IONS,
    alkalinity_equivalents,
    charge_balance_percent,
    equivalents,
)
from chemcheck.judging.water_cross_checks import Interval
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.questions import ask, no_questions
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]
# An analysis without one of these is not complete: what is missing is no error of it.
NEEDED = ("calcium", "magnesium", "sodium", "chloride", "sulfate")
_ALSO = ("potassium", "ammonium", "nitrate", "nitrite", "fluoride")
_CARBONATES = ("bicarbonate", "carbonate")


def charge_balance_questions(readings: Readings) -> pd.DataFrame:
    """Ask about waters whose cations and anions do not balance.

    Parameters
    ----------
    readings : Readings
        Waters with calcium, magnesium, sodium, chloride, sulfate, and alkalinity or
        bicarbonate; other samples and incomplete analyses are left alone.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``.

    Notes
    -----
    100 (C - A) / (C + A) with the ends of all readings: asked where it is beyond
    ``charge_balance`` whatever the readings may be, and the sums are at least
    ``least_charge`` apart (``limits/checks/cross_checks.yaml``). Ions not measured count as
    none. See `chemcheck.chemistry.ions.charge_balance_percent`.
    """
    sums = charge_sums(readings, slice(None))
    if sums is None:
        return no_questions()
    rows = np.flatnonzero(_unbalanced(sums))
    if not rows.size:
        return no_questions()
    _, (cation_low, cation_high), (anion_low, anion_high) = sums
    middle = [
        (low[rows] + high[rows]) / 2
        for low, high in ((cation_low, cation_high), (anion_low, anion_high))
    ]
    balance = 100 * (middle[0] - middle[1]) / (middle[0] + middle[1])
    said = [
        f"cations {c:.3g} and anions {a:.3g} meq/L do not balance: is one of the ions wrong, its "
        "unit or its form, or is an ion missing?"
        for c, a in zip(*middle, strict=True)
    ]
    return ask(readings.samples, rows, "charge balance", [f"{x:+.1f} %" for x in balance], said)


def unbalanced(readings: Readings) -> npt.NDArray[np.bool_]:
    """Return which waters' cations and anions do not balance.

    Parameters
    ----------
    readings : Readings
        All samples.

    Returns
    -------
    ndarray of bool, shape (n_samples,)
        As `charge_balance_questions` asks; False where an analysis is not complete.
    """
    sums = charge_sums(readings, slice(None))
    return np.zeros(len(readings.samples), dtype=np.bool_) if sums is None else _unbalanced(sums)


def charge_balance(readings: Readings, rows: npt.NDArray[np.intp]) -> Interval:
    """Return the charge balance of some waters.

    Parameters
    ----------
    readings : Readings
        All samples.
    rows : ndarray of int, shape (n,)
        Positions of the samples in question.

    Returns
    -------
    Interval
        100 (C - A) / (C + A) [%]; NaN where the analysis is not complete.

    Notes
    -----
    See `chemcheck.chemistry.ions.charge_balance_percent`. Complete is an analysis with calcium,
    magnesium, sodium, chloride, sulfate, and alkalinity or bicarbonate; other ions count where
    they were read.
    """
    sums = charge_sums(readings, rows)
    if sums is None:
        nothing = np.full(rows.size, np.nan)
        return Interval(nothing, nothing)
    complete, (cation_low, cation_high), (anion_low, anion_high) = sums
    open_ended = np.isinf(cation_high) | np.isinf(anion_high)
    known = complete & ~open_ended
    lower, upper = (
        charge_balance_percent(np.where(known, cations, np.nan), np.where(known, anions, np.nan))
        for cations, anions in ((cation_low, anion_high), (cation_high, anion_low))
    )
    return Interval(lower, upper)


Sums = tuple[npt.NDArray[np.bool_], tuple[Floats, Floats], tuple[Floats, Floats]]


def _unbalanced(sums: Sums) -> npt.NDArray[np.bool_]:
    complete, (cation_low, cation_high), (anion_low, anion_high) = sums
    settings = check_settings("cross_checks")
    apart, share = settings["least_charge"].value, settings["charge_balance"].value / 100.0
    with np.errstate(invalid="ignore"):  # open ends
        gap = np.maximum(cation_low - anion_high, anion_low - cation_high)
        total = np.where(cation_low > anion_high, cation_low + anion_high, cation_high + anion_low)
        return np.asarray(complete & (gap > apart) & (gap > share * total))


def charge_sums(readings: Readings, rows: npt.NDArray[np.intp] | slice) -> Sums | None:
    """Return the charges of waters.

    Parameters
    ----------
    readings : Readings
        All samples.
    rows : ndarray of int or slice
        Which of them.

    Returns
    -------
    (complete, (lower, upper) of the cations, (lower, upper) of the anions), or None
        Which are waters with a complete analysis, and their sums [meq/L]; None where the files
        have no such analysis.
    """
    columns = {key: readings.position(key) for key in (*NEEDED, *_ALSO, *_CARBONATES)}
    alkalinity = readings.position("total_alkalinity")
    if any(columns[key] is None for key in NEEDED):
        return None
    if alkalinity is None and columns["bicarbonate"] is None:
        return None
    material = readings.samples["material"].iloc[rows]
    complete = (material == "water").to_numpy(dtype=np.bool_, copy=True)
    if not complete.any():
        return None
    n = complete.size
    sums = {+1: [np.zeros(n), np.zeros(n)], -1: [np.zeros(n), np.zeros(n)]}
    for key in (*NEEDED, *_ALSO):
        low, high = _ends(readings, columns[key], rows, n)
        if key in NEEDED:
            complete &= ~np.isnan(low)
        ion = IONS[key]
        _add(
            sums[1 if ion.charge > 0 else -1],
            equivalents(np.array([low, high]), ion.molar_mass, ion.charge),
        )
    carbonates, known = _carbonates(readings, alkalinity, columns, rows, n)
    complete &= known
    _add(sums[-1], carbonates)
    return complete, (sums[1][0], sums[1][1]), (sums[-1][0], sums[-1][1])


def _ends(
    readings: Readings, place: int | None, rows: npt.NDArray[np.intp] | slice, n: int
) -> tuple[Floats, Floats]:
    if place is None:
        return np.full(n, np.nan), np.full(n, np.nan)
    return readings.lower[rows, place], readings.upper[rows, place]


def _carbonates(
    readings: Readings,
    alkalinity: int | None,
    columns: dict[str, int | None],
    rows: npt.NDArray[np.intp] | slice,
    n: int,
) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Return the equivalents of carbonates, and where they are known: alkalinity comes first."""
    by_alkalinity = alkalinity_equivalents(np.array(_ends(readings, alkalinity, rows, n)))
    by_ions = np.zeros((2, n))
    for key in _CARBONATES:
        ends = np.array(_ends(readings, columns[key], rows, n))
        charges = equivalents(ends, IONS[key].molar_mass, IONS[key].charge)
        by_ions = by_ions + (np.nan_to_num(charges) if key == "carbonate" else charges)
    chosen = np.where(np.isnan(by_alkalinity), by_ions, by_alkalinity)
    return chosen, ~np.isnan(chosen[0])


def _add(sums: list[Floats], ends: Floats) -> None:
    """Add the two ends of an ion; one that was not read counts as none."""
    for k in range(2):
        sums[k] = sums[k] + np.where(np.isnan(ends[0]), 0.0, ends[k])
