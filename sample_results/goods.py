"""What the depot was delivered, and what stands in its tanks: invented, as all else here."""

from __future__ import annotations

from random import Random

from depot import COOLANTS, TOWNS
from laboratory import coolant_columns, panel

State = dict[str, float]


def fresh_state(key: str) -> State:
    """Return what a technology's fresh mix holds."""
    fluid = COOLANTS[key]
    meq = fluid.contents["Na"] / 22.99 + fluid.contents["K"] / 39.098
    return fluid.contents | {
        "pH": fluid.ph,
        "reserve": fluid.reserve,
        "glycol": fluid.glycol,
        "conductivity": 19.5 * meq,
        "Cl": 6.0,
        "SO4": 14.0,
    }


def thinned(state: State, town: str, share: float) -> State:
    """Return a mix of which a share was replaced by a town's tap water."""
    water = {name: amount for name, amount in TOWNS[town].ions.items() if name != "HCO3"}
    mixed = {name: amount * (1 - share) for name, amount in state.items()}
    for name, amount in water.items():
        mixed[name] = mixed.get(name, 0.0) + share * amount
    return mixed | {"pH": state["pH"] - 0.1}


def received(seed: int) -> list[dict[str, str]]:
    """Return a reference, two tanks, and two deliveries of premix."""
    dice = Random(f"{seed} goods")
    columns = coolant_columns("mg/L")
    organic, hybrid = fresh_state("organic acid"), fresh_state("hybrid")
    rows = []
    for name, kind, where, said, state in (
        ("R-001", "fresh fill", "", "organic acid", organic),
        ("R-002", "bulk tank", "Quay tank", "organic acid", organic),
        ("R-003", "bulk tank", "Bus tank", "organic acid", thinned(organic, "Upper Quell", 0.3)),
        ("R-004", "premix", "", "organic acid", hybrid | {"glycol": 51.0}),
        ("R-005", "premix", "", "hybrid", hybrid | {"glycol": 51.0}),
    ):
        known = {
            "Sample No": name,
            "Unit ID": where,
            "Date Sampled": "2025-12-09",
            "Sample Type": kind,
            "Technology": COOLANTS[said].technology,
            "Glycol Type": "ethylene glycol",
        }
        rows.append(known | panel(columns, state, len(rows), dice))
    return rows
