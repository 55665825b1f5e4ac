"""The dissolved species: what each is made of, its charge and its size in solution.

Sizes and linear terms of the extended Debye-Hueckel equation: Truesdell and Jones 1974 (J. Res.
US Geol. Survey 2, 233-248) for calcium, magnesium, potassium, sulfate, carbonate and bicarbonate;
the rest as in phreeqc.dat of phreeqpython 1.6.2 (library), which writes 4.08 and 0.082 for sodium
where Truesdell and Jones have 4.0 and 0.075. An ion without a size takes the Davies equation, an
uncharged species 0.1 times the ionic strength (Harned's rule, as in that database).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from chemcheck.chemistry import constants
from chemcheck.chemistry.constants import LogK

UNIT = LogK("an identity", 0.0, source="definition")


@dataclass(frozen=True, slots=True)
class Species:
    """One dissolved species, written as a product of master species.

    Parameters
    ----------
    name : str
        Formula with charge, as in ``CaHCO3+``.
    charge : int
        Signed charge number.
    size : float or None
        Ion-size parameter [Angstrom]; None for the Davies equation.
    linear : float
        Coefficient of the ionic strength [kg/mol]; not used with the Davies equation.
    constant : LogK
        Formation from the master species.
    hydrogen, carbonate, sulfate, water : int
        How many H+, CO3-2, SO4-2 and H2O the formation takes up.
    partner : str
        Key of the metal or acid in it; '' where there is none.
    """

    name: str
    charge: int
    size: float | None
    linear: float
    constant: LogK = UNIT
    hydrogen: int = 0
    carbonate: int = 0
    sulfate: int = 0
    water: int = 0
    partner: str = ""


PARTNERS: tuple[Species, ...] = (
    Species("Ca+2", 2, 5.0, 0.165, UNIT, partner="calcium"),
    Species("Mg+2", 2, 5.5, 0.20, UNIT, partner="magnesium"),
    Species("Na+", 1, 4.08, 0.082, UNIT, partner="sodium"),
    Species("K+", 1, 3.5, 0.015, UNIT, partner="potassium"),
    Species("H4SiO4", 0, 0.0, 0.1, UNIT, partner="silica"),
)

FREE: tuple[Species, ...] = (
    Species("H+", 1, 9.0, 0.0, UNIT, hydrogen=1),
    Species("OH-", -1, 3.5, 0.0, constants.WATER, hydrogen=-1, water=1),
    Species("CO2", 0, 0.0, 0.1, constants.CARBON_DIOXIDE, hydrogen=2, carbonate=1, water=-1),
    Species("HCO3-", -1, 5.4, 0.0, constants.BICARBONATE, hydrogen=1, carbonate=1),
    Species("CO3-2", -2, 5.4, 0.0, UNIT, carbonate=1),
    Species("HSO4-", -1, None, 0.0, constants.BISULFATE, hydrogen=1, sulfate=1),
    Species("SO4-2", -2, 5.0, -0.04, UNIT, sulfate=1),
)


def _pair(
    name: str, charge: int, size: float | None, linear: float, partner: str, **taken: int
) -> Species:
    """Write an ion pair whose constant stands in `constants.ION_PAIRS`."""
    constant = constants.ION_PAIRS[name]
    return Species(name, charge, size, linear, constant, partner=partner, **taken)


PAIRS: tuple[Species, ...] = (
    _pair("CaOH+", 1, None, 0.0, "calcium", hydrogen=-1, water=1),
    _pair("CaHCO3+", 1, 6.0, 0.0, "calcium", hydrogen=1, carbonate=1),
    _pair("CaCO3", 0, 0.0, 0.1, "calcium", carbonate=1),
    _pair("CaSO4", 0, 0.0, 0.1, "calcium", sulfate=1),
    _pair("MgOH+", 1, 6.5, 0.0, "magnesium", hydrogen=-1, water=1),
    _pair("MgHCO3+", 1, 4.0, 0.0, "magnesium", hydrogen=1, carbonate=1),
    _pair("MgCO3", 0, 0.0, 0.1, "magnesium", carbonate=1),
    _pair("MgSO4", 0, 0.0, 0.1, "magnesium", sulfate=1),
    _pair("NaHCO3", 0, 0.0, 0.1, "sodium", hydrogen=1, carbonate=1),
    _pair("NaCO3-", -1, None, 0.0, "sodium", carbonate=1),
    _pair("NaSO4-", -1, 5.4, 0.0, "sodium", sulfate=1),
    _pair("KSO4-", -1, 5.4, 0.0, "potassium", sulfate=1),
    Species("H3SiO4-", -1, 4.0, 0.0, constants.SILICATE, hydrogen=-1, partner="silica"),
)

BY_NAME: Mapping[str, Species] = MappingProxyType(
    {species.name: species for species in FREE + PARTNERS + PAIRS}
)
