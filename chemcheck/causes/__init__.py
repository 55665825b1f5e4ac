"""What went wrong: causes weighed by evidence, and where what is found came from.

Fault signatures are weighed against the readings; balances of mass say how much of what is
found top-ups and other coolants explain, and what they leave over.
"""

from chemcheck.causes.contaminant_balance import ContaminantBalance, contaminant_balances
from chemcheck.causes.find import find_causes
from chemcheck.causes.mixed_technologies import MixedTechnology, mixed_technologies
from chemcheck.causes.record import CauseFindings, Causes, Hypothesis, TechnologyCheck
from chemcheck.causes.reserve_balance import ReserveBalance, reserve_balance
from chemcheck.causes.top_up_fluids import TopUpFluids
from chemcheck.causes.top_up_log import TopUps, top_ups_before

__all__ = [
    "CauseFindings",
    "Causes",
    "ContaminantBalance",
    "Hypothesis",
    "MixedTechnology",
    "ReserveBalance",
    "TechnologyCheck",
    "TopUpFluids",
    "TopUps",
    "contaminant_balances",
    "find_causes",
    "mixed_technologies",
    "reserve_balance",
    "top_ups_before",
]
