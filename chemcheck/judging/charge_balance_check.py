"""Charge balance of waters: asked where a complete analysis does not balance."""

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.chemistry.ions import IONS, alkalinity_equivalents, equivalents
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
    columns = {key: readings.position(key) for key in (*NEEDED, *_ALSO, *_CARBONATES)}
    alkalinity = readings.position("total_alkalinity")
    if any(columns[key] is None for key in NEEDED):
        return no_questions()
    if alkalinity is None and columns["bicarbonate"] is None:
        return no_questions()
    n = len(readings.samples)
    complete = (readings.samples["material"] == "water").to_numpy(dtype=np.bool_, copy=True)
    sums = {+1: [np.zeros(n), np.zeros(n)], -1: [np.zeros(n), np.zeros(n)]}
    for key in (*NEEDED, *_ALSO):
        low, high = _ends(readings, columns[key], n)
        if key in NEEDED:
            complete &= ~np.isnan(low)
        ion = IONS[key]
        _add(
            sums[1 if ion.charge > 0 else -1],
            equivalents(np.array([low, high]), ion.molar_mass, ion.charge),
        )
    carbonates, known = _carbonates(readings, alkalinity, columns, n)
    complete &= known
    _add(sums[-1], carbonates)
    (cation_low, cation_high), (anion_low, anion_high) = sums[1], sums[-1]
    settings = check_settings("cross_checks")
    apart, share = settings["least_charge"].value, settings["charge_balance"].value / 100.0
    gap = np.maximum(cation_low - anion_high, anion_low - cation_high)
    total = np.where(cation_low > anion_high, cation_low + anion_high, cation_high + anion_low)
    with np.errstate(invalid="ignore"):  # open ends
        rows = np.flatnonzero(complete & (gap > apart) & (gap > share * total))
    if not rows.size:
        return no_questions()
    middle = [(sums[sign][0][rows] + sums[sign][1][rows]) / 2 for sign in (1, -1)]
    balance = 100 * (middle[0] - middle[1]) / (middle[0] + middle[1])
    said = [
        f"cations {c:.3g} and anions {a:.3g} meq/L do not balance: is one of the ions wrong, its "
        "unit or its form, or is an ion missing?"
        for c, a in zip(*middle, strict=True)
    ]
    return ask(readings.samples, rows, "charge balance", [f"{x:+.1f} %" for x in balance], said)


def _ends(readings: Readings, place: int | None, n: int) -> tuple[Floats, Floats]:
    if place is None:
        return np.full(n, np.nan), np.full(n, np.nan)
    return readings.lower[:, place], readings.upper[:, place]


def _carbonates(
    readings: Readings, alkalinity: int | None, columns: dict[str, int | None], n: int
) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Return the equivalents of carbonates, and where they are known: alkalinity comes first."""
    by_alkalinity = alkalinity_equivalents(np.array(_ends(readings, alkalinity, n)))
    by_ions = np.zeros((2, n))
    for key in _CARBONATES:
        ends = np.array(_ends(readings, columns[key], n))
        charges = equivalents(ends, IONS[key].molar_mass, IONS[key].charge)
        by_ions = by_ions + (np.nan_to_num(charges) if key == "carbonate" else charges)
    chosen = np.where(np.isnan(by_alkalinity), by_ions, by_alkalinity)
    return chosen, ~np.isnan(chosen[0])


def _add(sums: list[Floats], ends: Floats) -> None:
    """Add the two ends of an ion; one that was not read counts as none."""
    for k in range(2):
        sums[k] = sums[k] + np.where(np.isnan(ends[0]), 0.0, ends[k])
