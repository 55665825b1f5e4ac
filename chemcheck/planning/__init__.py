"""When to change and when to sample: lifetimes, intervals by risk and by cost."""

from chemcheck.planning.best_interval import (
    BestInterval,
    best_interval,
    best_interval_before_damage,
)
from chemcheck.planning.choose_family import FamilyChoice, choose_family
from chemcheck.planning.cost_of_sampling import CostOfSampling, Costs, cost_of_sampling
from chemcheck.planning.damage_lifetime import DamageLifetime
from chemcheck.planning.few_failures import FewFailures, bound_from_few_failures
from chemcheck.planning.fit_lifetime import fit_lifetime
from chemcheck.planning.fit_plot import FitPlot, fit_plot
from chemcheck.planning.group_differences import GroupDifference, compare_groupings, holm
from chemcheck.planning.interval_by_risk import RiskInterval, interval_by_risk
from chemcheck.planning.lifetime import Lifetime
from chemcheck.planning.lifetimes_from_samples import (
    KINDS,
    PROBLEMS,
    FillLifetimes,
    lifetimes_from_samples,
)
from chemcheck.planning.release_rate import ReleaseComparison, ReleaseRate, compare_release
from chemcheck.planning.release_threshold import Threshold
from chemcheck.planning.sampled_cycle import SampledCycle, sampled_cycle
from chemcheck.planning.sampling_interval import SamplingInterval, sampling_interval
from chemcheck.planning.turnbull import TurnbullEstimate, turnbull

__all__ = [
    "KINDS",
    "PROBLEMS",
    "BestInterval",
    "CostOfSampling",
    "Costs",
    "DamageLifetime",
    "FamilyChoice",
    "FewFailures",
    "FillLifetimes",
    "FitPlot",
    "GroupDifference",
    "Lifetime",
    "ReleaseComparison",
    "ReleaseRate",
    "RiskInterval",
    "SampledCycle",
    "SamplingInterval",
    "Threshold",
    "TurnbullEstimate",
    "best_interval",
    "best_interval_before_damage",
    "bound_from_few_failures",
    "choose_family",
    "compare_groupings",
    "compare_release",
    "cost_of_sampling",
    "fit_lifetime",
    "fit_plot",
    "holm",
    "interval_by_risk",
    "lifetimes_from_samples",
    "sampled_cycle",
    "sampling_interval",
    "turnbull",
]
