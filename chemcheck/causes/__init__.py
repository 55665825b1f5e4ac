"""Where what is found in a coolant came from: balances of mass, and what they leave over."""

from chemcheck.causes.contaminant_balance import ContaminantBalance, contaminant_balances
from chemcheck.causes.mixed_technologies import MixedTechnology, mixed_technologies
from chemcheck.causes.reserve_balance import ReserveBalance, reserve_balance
from chemcheck.causes.top_up_fluids import TopUpFluids
from chemcheck.causes.top_up_log import TopUps, top_ups_before

__all__ = [
    "ContaminantBalance",
    "MixedTechnology",
    "ReserveBalance",
    "TopUpFluids",
    "TopUps",
    "contaminant_balances",
    "mixed_technologies",
    "reserve_balance",
    "top_ups_before",
]
