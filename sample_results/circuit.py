"""What time, use and top-ups do to a coolant: invented rates, kept mass balance.

A circuit holds litres of glycol and milligrams of everything else, so every loss, top-up
and dose is a sum; readings come out by dividing by the volume.
"""

from __future__ import annotations

import math
from itertools import pairwise
from random import Random

from depot import COOLANTS, IONS, TOWNS, TRACES, Coolant, Water
from fleet import Unit

# Freezing point of ethylene glycol in water by vol% (inhibited fluid; library: egasp 0.1.9,
# the same numbers as the handbook table of ASHRAE, memory).
FREEZING = (
    (0.0, 0.0), (4.4, -1.4), (8.9, -3.2), (13.6, -5.4), (18.1, -7.8), (22.9, -10.7),
    (27.7, -14.1), (32.6, -17.9), (37.5, -22.3), (42.5, -27.5), (47.6, -33.8), (49.6, -36.4),
    (52.7, -41.1), (57.8, -48.3),
)  # fmt: skip
# Milligrams of an acid in one milliequivalent: its reserve is used up acid by acid.
ACIDS = {"glycolate": 75.04, "formate": 45.02, "acetate": 59.04, "lactate": 89.07}
METALS = {"Fe": 0.9, "Cu": 0.14, "Al": 0.35, "Pb": 0.12, "Zn": 0.10, "Sn": 0.03}
# Standard sea water [mg/L] (memory).
SEA = {"Cl": 19400, "Na": 10800, "SO4": 2710, "Mg": 1290, "Ca": 412, "K": 400}


def gauss(dice: Random) -> float:
    """Return a nearly normal number by sums alone, so that it is the same on every machine."""
    return sum(dice.random() for _ in range(12)) - 6.0


def freezing_point(glycol: float) -> float:
    """Interpolate the table [deg C] at a glycol share [vol%]."""
    for (low, above), (high, below) in pairwise(FREEZING):
        if glycol <= high:
            return above + (below - above) * (glycol - low) / (high - low)
    return FREEZING[-1][1]


def tap(water: Water) -> dict[str, float]:
    """Return a town's ions [mg/L] with the sodium that balances their charges."""
    ions = dict(water.ions)
    missing = -sum(ions[ion] / IONS[ion][0] * IONS[ion][1] for ion in ions)
    return ions | {"Na": missing * IONS["Na"][0]}


class Circuit:
    """One unit's coolant."""

    def __init__(self, unit: Unit, dice: Random) -> None:
        self.unit, self.dice = unit, dice
        self.coolant: Coolant = COOLANTS[unit.coolant]
        # How fast this unit uses its coolant up against the usual.
        self.pace = math.exp(0.28 * gauss(dice))
        self.heat = math.exp(0.35 * gauss(dice))
        self.fill()
        self.run(unit.fill_age, faults=())

    def fill(self, share: float = 1.0) -> None:
        """Drain a share of the circuit and fill up with fresh half-and-half mix."""
        if share == 1.0:
            self.litres, self.glycol, self.load = 0.0, 0.0, {}
        else:
            self.drain(share * self.litres)
        self.add_premix(self.unit.litres - self.litres)

    def drain(self, litres: float) -> None:
        """Lose coolant as it is."""
        kept = 1 - litres / self.litres
        self.litres -= litres
        self.glycol *= kept
        self.load = {name: amount * kept for name, amount in self.load.items()}

    def add(self, litres: float, contents: dict[str, float], glycol: float = 0.0) -> None:
        """Add a fluid: contents in mg/L, glycol in vol%; volumes are additive."""
        self.litres += litres
        self.glycol += litres * glycol / 100
        for name, value in contents.items():
            self.load[name] = self.load.get(name, 0.0) + litres * value

    def add_premix(self, litres: float) -> None:
        fresh = {**self.coolant.contents, **TRACES, "reserve": self.coolant.reserve}
        self.add(litres, fresh, self.coolant.glycol)

    def add_water(self, litres: float, town: str) -> None:
        """Add tap water; of its hardness a fifth settles out with phosphate and silicate."""
        ions = tap(TOWNS[town])
        dissolved = {name: ions[name] for name in ("Na", "K", "Cl", "SO4", "NO3")}
        settled = 0.0
        for name in ("Ca", "Mg"):
            dissolved[name] = 0.8 * ions[name]
            settled += litres * 0.2 * ions[name]
        self.add(litres, dissolved | {"reserve": ions["HCO3"] / IONS["HCO3"][0] / 10})
        self.take("PO4", 1.2 * settled)
        self.take("Si", 0.10 * settled)

    def take(self, name: str, amount: float) -> None:
        self.load[name] = max(0.0, self.load.get(name, 0.0) - amount)

    def top_up(self) -> float:
        """Fill up to the mark with what this unit gets; return the litres."""
        litres = self.unit.litres - self.litres
        if self.unit.top_up == "premix":
            self.add_premix(litres)
        elif self.unit.top_up == "deionised water":
            self.add(litres, {})
        else:
            self.add_water(litres, self.unit.top_up)
        return litres

    def dose(self, name: str, target: float) -> float:
        """Raise an inhibitor to a target [mg/L] with an additive of 60 g/L; return the litres."""
        litres = self.litres * max(0.0, target - self.reading(name)) / (60_000 - target)
        self.add(litres, {name: 60_000.0, "Na": 30_000.0})
        return litres

    def run(self, hours: float, faults: tuple[str, ...]) -> None:
        """Let the unit run in steps of at most 60 h."""
        while hours > 0:
            step = min(hours, 60.0)
            self._run_step(step, faults)
            hours -= step

    def _run_step(self, hours: float, faults: tuple[str, ...]) -> None:
        thousand = hours / 1000
        # Loss without faults, then what the faults add. Duty varies from week to week, which
        # makes the path a walk about its trend.
        worn = thousand * self.pace * max(0.05, 1 + 0.9 * gauss(self.dice))
        for name, share in self.coolant.decay.items():
            faster = 2.5 if name == "NO2" and "gas leak" in faults else 1.0
            before = self.load.get(name, 0.0)
            self.load[name] = before * math.exp(-share * faster * worn)
            if name == "NO2":
                self._gain("NO3", 0.6 * (before - self.load[name]) * 62.004 / 46.005)
        self._oxidise(worn, faults)
        self._corrode(worn, faults)
        if "gas leak" in faults:
            self._acid("SO4", 48.03, 260 * thousand)
            self.take("reserve", 2.2 * thousand * self.litres)
        if "sea water" in faults:
            litres = 1.2 * thousand
            self.drain(litres)
            self.add(litres, {name: float(value) for name, value in SEA.items()})
        lost, steam = self.unit.leak * thousand, self.unit.boil_off * thousand
        self.drain(min(lost, 0.2 * self.litres))
        self.litres -= min(steam, 0.1 * self.litres)

    def _gain(self, name: str, amount: float) -> None:
        self.load[name] = self.load.get(name, 0.0) + amount

    def _acid(self, name: str, equivalent: float, rise: float) -> None:
        """Add an acid [mg/L] and take the reserve it uses: 10 meq/L are one unit."""
        self._gain(name, rise * self.litres)
        self.take("reserve", rise / equivalent / 10 * self.litres)

    def _oxidise(self, worn: float, faults: tuple[str, ...]) -> None:
        heat = self.heat * (25.0 if "overheating" in faults else 1.0)
        self._acid("glycolate", ACIDS["glycolate"], 34 * worn * heat)
        self._acid("formate", ACIDS["formate"], 9 * worn * heat)
        self._acid("acetate", ACIDS["acetate"], 4 * worn * heat)
        self.take("reserve", 0.14 * worn * self.litres)

    def _corrode(self, worn: float, faults: tuple[str, ...]) -> None:
        """Release metals, faster where protection is thin or the coolant turns acid."""
        bare = 1.0
        if "NO2" in self.coolant.contents:
            bare += 3.0 * max(0.0, 1 - self.reading("NO2") / (0.4 * self.coolant.contents["NO2"]))
        bare += 6.0 * max(0.0, 7.6 - self.ph())
        bare += 0.02 * max(0.0, self.reading("Cl") - 60)
        for name, rate in METALS.items():
            self._gain(name, rate * worn * bare * self.litres)
        if "new radiator" in faults:
            self._gain("Al", 6.0 * worn * self.litres)

    def flux(self) -> None:
        """Wash the brazing flux of a new radiator into the coolant."""
        self.add(0.0, {})
        for name, rise in (("K", 160.0), ("F", 62.0), ("Al", 9.0)):
            self._gain(name, rise * self.litres)
        self._gain("reserve", 0.5 * self.litres)

    def mix_in(self, other: str, share: float) -> float:
        """Replace a share by another technology's mix; return the litres."""
        litres = share * self.unit.litres
        self.drain(litres - (self.unit.litres - self.litres))
        fluid = COOLANTS[other]
        self.add(litres, {**fluid.contents, **TRACES, "reserve": fluid.reserve}, fluid.glycol)
        return litres

    def reading(self, name: str) -> float:
        """Return a concentration [mg/L]; reserve in mL."""
        return self.load.get(name, 0.0) / self.litres

    def glycol_percent(self) -> float:
        return 100 * self.glycol / self.litres

    def ph(self) -> float:
        """Buffered while there is reserve, then falling."""
        left = self.reading("reserve") / self.coolant.reserve
        flux = 0.011 * self.reading("F")
        drop = 0.9 * max(0.0, 1 - left) + 2.6 * max(0.0, 0.38 - left) ** 1.5 / 0.38
        return self.coolant.ph - drop + flux

    def conductivity(self) -> float:
        """Roughly, from the alkali metals and chloride [uS/cm]; glycol slows ions down."""
        meq = self.reading("Na") / 22.99 + self.reading("K") / 39.098
        return meq * 19.5 * (1 + (48 - self.glycol_percent()) * 0.02)
