"""When to change and when to sample: lifetimes, intervals by risk and by cost."""

from chemcheck.planning.choose_family import FamilyChoice, choose_family
from chemcheck.planning.few_failures import FewFailures, bound_from_few_failures
from chemcheck.planning.fit_lifetime import fit_lifetime
from chemcheck.planning.fit_plot import FitPlot, fit_plot
from chemcheck.planning.lifetime import Lifetime
from chemcheck.planning.turnbull import TurnbullEstimate, turnbull

__all__ = [
    "FamilyChoice",
    "FewFailures",
    "FitPlot",
    "Lifetime",
    "TurnbullEstimate",
    "bound_from_few_failures",
    "choose_family",
    "fit_lifetime",
    "fit_plot",
    "turnbull",
]
