"""Reports on the water of the three towns and of the depot's deionised tank."""

from __future__ import annotations

import datetime as dt
import math
from random import Random

from circuit import gauss, tap
from depot import CACO3, IONS, TOWNS, Water
from laboratory import significant

# Conductivity of an ion at infinite dilution, 25 C [S cm2/mol] (CRC Handbook, memory).
MOLAR_CONDUCTIVITY = {
    "Ca": 119.0, "Mg": 106.0, "Na": 50.1, "K": 73.5, "HCO3": 44.5, "Cl": 76.4, "SO4": 160.0,
    "NO3": 71.5,
}  # fmt: skip
TITLES = (
    "Sample No", "Source", "Date Sampled", "Sampling Point", "pH", "Conductivity (µS/cm at 25 °C)",
    "Total hardness (mg/L as CaCO3)", "Total alkalinity (mg/L as CaCO3)", "Calcium (mg/L)",
    "Magnesium (mg/L)", "Sodium (mg/L)", "Potassium (mg/L)", "Chloride (mg/L)", "Sulfate (mg/L)",
    "Nitrate (mg/L as NO3)", "Silica (mg/L as SiO2)", "TDS (mg/L)", "Iron (mg/L)",
    "Manganese (mg/L)", "Remarks",
)  # fmt: skip


def conductivity(ions: dict[str, float]) -> float:
    """Estimate conductivity at 25 C [uS/cm] from ions [mg/L], lowered by ionic strength."""
    moles = {ion: ions[ion] / IONS[ion][0] for ion in ions}
    strength = sum(moles[ion] * IONS[ion][1] ** 2 for ion in ions) / 2000
    return sum(moles[ion] * MOLAR_CONDUCTIVITY[ion] for ion in ions) * (
        1 - 0.9 * math.sqrt(strength)
    )


def solids(ions: dict[str, float], silica: float) -> float:
    """Return what drying leaves [mg/L]: half of the bicarbonate goes off as gas and steam."""
    return sum(ions.values()) - ions["HCO3"] * (1 - 0.4917) + silica


def town_report(water: Water, day: dt.date, number: int, dice: Random) -> dict[str, str]:
    """Return a row: all ions swing together with the season, then each a little alone."""
    season = 1 + water.swing * math.sin(2 * math.pi * day.timetuple().tm_yday / 365)
    swung = {ion: value * season * (1 + 0.02 * gauss(dice)) for ion, value in water.ions.items()}
    report = Water(water.name, water.ph, swung, water.silica, 0, 0, 0)
    true = tap(report)

    def cell(value: float, noise: float = 0.015) -> str:
        return significant(value * (1 + noise * gauss(dice)), 3)

    def trace(value: float, limit: float) -> str:
        found = value * (1 + 0.4 * gauss(dice))
        return f"<{limit:g}" if found < limit else significant(found, 2)

    hardness = true["Ca"] * CACO3["Ca"] + true["Mg"] * CACO3["Mg"]
    values = (
        f"W-{number:03}", f"{water.name} tap", day.isoformat(), "canteen tap",
        f"{water.ph + 0.08 * gauss(dice):.1f}", cell(conductivity(true), 0.01), cell(hardness),
        cell(true["HCO3"] * CACO3["HCO3"]), *(cell(true[ion]) for ion in ("Ca", "Mg", "Na", "K")),
        *(cell(true[ion]) for ion in ("Cl", "SO4", "NO3")), cell(water.silica),
        cell(solids(true, water.silica), 0.008), trace(water.iron, 0.02),
        trace(water.manganese, 0.005), "",
    )  # fmt: skip
    return dict(zip(TITLES, values, strict=True))


def tank_report(day: dt.date, number: int, dice: Random, worn: bool) -> dict[str, str]:
    """Return a row for the deionised tank; a worn resin lets everything through."""
    leaked = 0.045 if worn else 0.0012
    true = {ion: leaked * value for ion, value in tap(TOWNS["Brinmouth"]).items()}
    row = dict.fromkeys(TITLES, "")
    row |= {
        "Sample No": f"W-{number:03}",
        "Source": "Deionised tank",
        "Date Sampled": day.isoformat(),
        "Sampling Point": "tank outlet",
        "pH": f"{5.9 + 0.15 * gauss(dice):.1f}",
        "Conductivity (µS/cm at 25 °C)": significant(
            0.9 + conductivity(true) * (1 + 0.03 * gauss(dice)), 2
        ),
        "Total hardness (mg/L as CaCO3)": significant(
            true["Ca"] * CACO3["Ca"] + true["Mg"] * CACO3["Mg"], 2
        )
        if worn
        else "<1",
        "Chloride (mg/L)": significant(true["Cl"], 2) if worn else "<0.5",
        "Sulfate (mg/L)": significant(true["SO4"], 2) if worn else "<0.5",
        "TDS (mg/L)": significant(solids(true, 0.3), 2) if worn else "<5",
        "Remarks": "resin due" if worn else "",
    }
    return row


def reports(seed: int) -> list[dict[str, str]]:
    """Return two years of reports: each town every quarter, the tank every half year."""
    dice = Random(f"{seed} waters")
    rows = []
    number = 1
    for quarter in range(8):
        for place, water in enumerate(TOWNS.values()):
            day = dt.date(2024, 2, 5) + dt.timedelta(days=91 * quarter + 3 * place)
            rows.append(town_report(water, day, number, dice))
            number += 1
        if quarter % 2:
            day = dt.date(2024, 2, 20) + dt.timedelta(days=91 * quarter)
            rows.append(tank_report(day, number, dice, worn=quarter == 7))
            number += 1
    return rows
