"""What a laboratory makes of a bottle: noise, rounding, detection limits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from random import Random

from circuit import freezing_point, gauss


@dataclass(frozen=True)
class Column:
    """One column of a laboratory's sheet."""

    title: str
    of: str  # the name in a bottle's state
    noise: float = 0.025  # relative, standard deviation
    step: float = 0.0  # absolute, standard deviation
    digits: int = 3  # significant
    decimals: int | None = None
    limit: float | None = None  # of detection
    factor: float = 1.0
    every: int = 1  # asked for in every n-th bottle


def coolant_columns(unit: str, factor: float = 1.0) -> tuple[Column, ...]:
    """Return the panel for coolant; 1 mg/L is `factor` in the unit of the titles."""

    def ion(title: str, of: str, limit: float, every: int = 1) -> Column:
        return Column(f"{title} ({unit})", of, limit=limit, every=every, factor=factor)

    return (
        Column("pH", "pH", noise=0.0, step=0.04, decimals=2),
        Column("RA (mL)", "reserve", noise=0.01, step=0.05, decimals=1, limit=0.1),
        Column("Glycol (vol%)", "glycol", noise=0.008, decimals=1),
        Column("Freeze Pt (°C)", "freezing", noise=0.0, step=0.2, decimals=1),
        Column("Conductivity (µS/cm)", "conductivity", noise=0.01),
        ion("Nitrite NO2", "NO2", 5),
        ion("Nitrate NO3", "NO3", 5),
        ion("Molybdenum", "Mo", 1),
        ion("Silicon", "Si", 1),
        ion("Phosphate PO4", "PO4", 5),
        ion("Boron", "B", 2),
        ion("Carboxylates", "carboxylates", 50),
        ion("Azoles", "azoles", 10),
        ion("Chloride", "Cl", 1),
        ion("Sulfate", "SO4", 2),
        ion("Fluoride", "F", 2, every=2),
        ion("Glycolate", "glycolate", 10),
        ion("Formate", "formate", 5),
        ion("Acetate", "acetate", 5, every=2),
        ion("Sodium", "Na", 1),
        ion("Potassium", "K", 1),
        ion("Calcium", "Ca", 0.5),
        ion("Magnesium", "Mg", 0.2),
        ion("Iron", "Fe", 0.5),
        ion("Copper", "Cu", 0.2),
        ion("Aluminium", "Al", 0.5),
        ion("Lead", "Pb", 1),
        ion("Zinc", "Zn", 0.5),
        ion("Tin", "Sn", 1),
        ion("Ammonium NH4", "NH4", 1, every=3),
    )


def significant(value: float, digits: int) -> str:
    """Write a number with so many significant digits and no exponent."""
    shown = f"{value:.{digits}g}"
    if "e" in shown:
        return f"{float(shown):.0f}"
    return shown


def measure(column: Column, state: dict[str, float], dice: Random) -> str:
    """Return the cell a laboratory writes for a column."""
    true = state.get(column.of, 0.0)
    if column.of == "freezing":
        true = freezing_point(state["glycol"])
    value = (true * (1 + column.noise * gauss(dice)) + column.step * gauss(dice)) * column.factor
    if column.limit is not None and value < column.limit:
        return f"<{column.limit:g}"
    if column.decimals is not None:
        return f"{value:.{column.decimals}f}"
    return significant(value, column.digits)


def panel(
    columns: Iterable[Column], state: dict[str, float], number: int, dice: Random
) -> dict[str, str]:
    """Return a bottle's cells; what was not asked for stays blank."""
    return {
        column.title: measure(column, state, dice) if number % column.every == 0 else ""
        for column in columns
    }
