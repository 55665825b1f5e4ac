"""The depot, its towns and its coolants: all invented, none of it measured.

Skarnholm harbour depot keeps two car ferries, a quarry's haul trucks and loaders, the
town buses and whatever else has a radiator. Three towns send it water: Brinmouth by the
sea, Upper Quell on limestone, Stannick from a moorland reservoir.
"""

from dataclasses import dataclass

# Molar masses [g/mol] (IUPAC abridged atomic weights 2021) and charges of a water's ions.
IONS = {
    "Ca": (40.078, 2),
    "Mg": (24.305, 2),
    "Na": (22.990, 1),
    "K": (39.098, 1),
    "HCO3": (61.016, -1),
    "Cl": (35.45, -1),
    "SO4": (96.056, -2),
    "NO3": (62.004, -1),
}
# Hardness as CaCO3 of 1 mg/L of the ion, and alkalinity of 1 mg/L of bicarbonate.
CACO3 = {"Ca": 100.086 / 40.078, "Mg": 100.086 / 24.305, "HCO3": 50.043 / 61.016}


@dataclass(frozen=True)
class Water:
    """A town's tap water [mg/L]; sodium closes the charge balance."""

    name: str
    ph: float
    ions: dict[str, float]  # without Na
    silica: float
    iron: float
    manganese: float
    swing: float  # how far the seasons carry it, as a fraction


TOWNS = {
    town.name: town
    for town in (
        Water(
            "Brinmouth",
            7.6,
            {"Ca": 24.0, "Mg": 6.5, "K": 3.1, "HCO3": 71.0, "Cl": 62.0, "SO4": 27.0, "NO3": 5.0},
            6.2,
            0.03,
            0.012,
            0.16,
        ),
        Water(
            "Upper Quell",
            7.4,
            {
                "Ca": 112.0,
                "Mg": 17.0,
                "K": 1.9,
                "HCO3": 328.0,
                "Cl": 27.0,
                "SO4": 66.0,
                "NO3": 19.0,
            },
            11.5,
            0.02,
            0.005,
            0.07,
        ),
        Water(
            "Stannick",
            7.1,
            {"Ca": 7.6, "Mg": 1.6, "K": 0.6, "HCO3": 21.0, "Cl": 10.5, "SO4": 7.5, "NO3": 1.4},
            2.9,
            0.08,
            0.03,
            0.12,
        ),
    )
}


@dataclass(frozen=True)
class Coolant:
    """A coolant as mixed with half water: glycol [vol%], the rest [mg/L], pH and reserve.

    `decay` is the share of each inhibitor lost in 1,000 h of the usual duty.
    """

    technology: str
    ph: float
    reserve: float  # mL of 0.1 N acid for 10 mL
    contents: dict[str, float]
    decay: dict[str, float]
    glycol: float = 48.0


COOLANTS = {
    "conventional": Coolant(
        "conventional",
        10.0,
        8.2,
        {"NO3": 310, "Si": 125, "PO4": 2250, "B": 330, "azoles": 820, "Na": 2950, "K": 880},
        {"Si": 0.14, "PO4": 0.03, "azoles": 0.04},
    ),
    "heavy duty": Coolant(
        "heavy duty with supplemental additive",
        10.2,
        6.8,
        {
            "NO2": 1750,
            "NO3": 690,
            "Si": 95,
            "PO4": 880,
            "B": 440,
            "azoles": 640,
            "Na": 3350,
            "K": 420,
        },
        {"NO2": 0.085, "Si": 0.10, "PO4": 0.02, "azoles": 0.03},
    ),
    "hybrid": Coolant(
        "hybrid",
        8.3,
        5.1,
        {
            "NO3": 140,
            "Si": 190,
            "carboxylates": 13800,
            "azoles": 900,
            "B": 120,
            "Na": 3650,
            "K": 260,
        },
        {"Si": 0.11, "carboxylates": 0.012, "azoles": 0.03},
    ),
    "organic acid": Coolant(
        "organic acid",
        8.5,
        4.2,
        {"carboxylates": 17200, "azoles": 1080, "Na": 140, "K": 4150},
        {"carboxylates": 0.012, "azoles": 0.025},
    ),
    "nitrited organic acid": Coolant(
        "nitrited organic acid",
        8.5,
        4.4,
        {
            "NO2": 490,
            "NO3": 90,
            "carboxylates": 15900,
            "azoles": 1050,
            "Mo": 160,
            "Na": 4050,
            "K": 130,
        },
        {"NO2": 0.12, "carboxylates": 0.012, "azoles": 0.025},
    ),
    "phosphated organic acid": Coolant(
        "phosphated organic acid",
        7.8,
        3.9,
        {"PO4": 1640, "carboxylates": 10900, "azoles": 870, "Na": 290, "K": 4500},
        {"PO4": 0.03, "carboxylates": 0.012, "azoles": 0.025},
    ),
}
# What every fresh half-and-half mix with deionised water brings besides.
TRACES = {"Cl": 6.0, "SO4": 14.0, "Ca": 0.6, "Mg": 0.2, "acetate": 8.0}
