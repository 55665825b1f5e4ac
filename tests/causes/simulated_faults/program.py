"""What the program says of cases, in the order of the generator's patterns."""

import numpy as np
import numpy.typing as npt

from chemcheck.causes import find_causes
from chemcheck.causes.evidence import evidence
from chemcheck.causes.plan import make_plan
from chemcheck.causes.ranking import rank
from chemcheck.causes.references import find_references
from chemcheck.limit_library.causes import signatures
from tests.causes.simulated_faults.as_readings import as_readings, tap_water
from tests.causes.simulated_faults.draw import Cases
from tests.causes.simulated_faults.ranges import Floats, ranges

# Signatures by another name than the pattern's.
SIGNATURE = {
    "aluminium_at_high_ph": "aluminium_corrosion_high_ph",
    "under_treated_nitrite": "under_treated",
    "dilution": "dilution_with_water",
    "hard_water": "hard_water_top_up",
    "unlogged_change": "unlogged_coolant_change",
    "sulfate_from_fuel": "sulfate_from_fuel_or_blow_by",
    "brazing_flux": "brazing_flux_residue",
    "nitrite_on_aluminium": "nitrite_aluminium_reaction",
    "wrong_refractometer_scale": "wrong_glycol_or_scale",
    "lubricating_oil": "lube_oil",
    "fuel": "fuel_in_coolant",
    "liner_pitting": "liner_pitting_risk",
    "acid_cleaner": "residual_acid_cleaner",
    "alkaline_cleaner": "residual_alkaline_cleaner",
    "stop_leak": "stop_leak_residue",
    "chromate": "chromate_in_glycol",
}


def program(cases: Cases) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Score each cause by its place, and tell which are raised.

    Parameters
    ----------
    cases : Cases
        Samples.

    Returns
    -------
    score : ndarray, shape (samples, patterns)
        Minus the place among the causes that the program tells of; minus infinity for those it
        does not.
    raised : ndarray of bool, shape (samples, patterns)
        Whether a cause is raised. One that no pattern stands for is left out.
    """
    readings, rows = as_readings(cases)
    found = find_causes(readings)
    assert found is not None
    plan = make_plan(
        readings,
        find_references(readings, None),
        found.uncertainty,
        tuple(signatures().values()),
        tap_water(cases),
    )
    ranking = rank(plan, evidence(plan, rows), rows)
    keys = list(signatures())
    own = np.array([keys.index(SIGNATURE.get(p.name, p.name)) for p in ranges().patterns])
    n = len(rows)
    score = np.full((n, len(keys)), -np.inf)
    raised = np.zeros((n, len(keys)), dtype=bool)
    each = np.arange(n)
    for place, order in enumerate(ranking.order):
        told = order >= 0
        score[each[told], order[told]] = -place
        raised[each[told], order[told]] = place < ranking.raised[told]
    return score[:, own], raised[:, own]
