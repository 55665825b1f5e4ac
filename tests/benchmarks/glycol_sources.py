"""How far sources of glycol data lie apart, each with its basis; run by hand.

python tests/benchmarks/glycol_sources.py
"""

import sys
from pathlib import Path

import CoolProp.CoolProp as coolprop
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from chemcheck.chemistry.glycol_density import density
from chemcheck.chemistry.glycol_freezing import freezing_point
from chemcheck.chemistry.glycol_percent import mass_percent, volume_percent
from chemcheck.chemistry.glycol_tables import read_table
from chemcheck.chemistry.vapour_pressure import boiling_point, water_boiling_point
from chemcheck.limit_library.glycol_properties import glycol_properties

FLUIDS = {"ethylene_glycol": ("AEG", "MEG"), "propylene_glycol": ("APG", "MPG")}


def library(fluid: str, percent: float, what: str) -> float:
    return float(coolprop.PropsSI(what, "T", 293.15, "P", 2e5, f"INCOMP::{fluid}[{percent / 100}]"))


def row(*cells: object) -> None:
    shown = (f"{cell:10.2f}" if isinstance(cell, float) else f"{cell:>10}" for cell in cells)
    sys.stdout.write(" ".join(shown) + "\n")


def main() -> None:
    for key, (inhibited, pure) in FLUIDS.items():
        glycol = glycol_properties(key)
        tables = {basis: glycol.of("freezing_point", basis)[0] for basis in ("inhibited", "pure")}
        heavy = {basis: glycol.of("density", basis)[0] for basis in ("inhibited", "pure")}
        sys.stdout.write(f"\n{glycol.pure.title}: freezing [C], density at 20 C [kg/m3]\n")
        row("basis", "percent", "ours", "library", "other", "rho ours", "rho lib")
        for percent in np.arange(12.5, 60.0, 10.0):
            ours, _ = freezing_point(tables["inhibited"], percent)
            as_mass = float(mass_percent(percent, glycol.pure))
            other = library(pure, as_mass, "T_FREEZE") - 273.15 if as_mass <= 60 else np.nan
            theirs = library(inhibited, percent, "T_FREEZE") - 273.15
            row("vol", float(percent), float(ours), theirs, other,
                float(density(heavy["inhibited"], percent, 20.0)),
                library(inhibited, percent, "D"))  # fmt: skip
        for percent in np.arange(12.5, 60.0, 10.0):
            by_volume = volume_percent(percent, glycol.pure)
            ours, _ = freezing_point(tables["pure"], by_volume)
            other, _ = freezing_point(tables["inhibited"], by_volume)
            row("mass", float(percent), float(ours), library(pure, percent, "T_FREEZE") - 273.15,
                float(other), float(density(heavy["pure"], by_volume, 20.0)),
                library(pure, percent, "D"))  # fmt: skip
        sys.stdout.write(f"\n{glycol.pure.title}: boiling at 100.7 kPa [C]\n")
        rises = glycol.of("boiling_rise")
        row("vol", "Raoult", *(f"{one.basis}" for one in rises))
        for percent in (0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0):
            water = float(water_boiling_point(100.7))
            row(percent, float(boiling_point(100.7, percent, glycol.pure)),
                *(water + float(read_table(one, percent)) for one in rises))  # fmt: skip


if __name__ == "__main__":
    main()
