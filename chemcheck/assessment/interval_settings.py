"""The costs and choices behind a change interval."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from chemcheck.errors import LimitFileError
from chemcheck.limit_library import limit_folder
from chemcheck.planning.best_interval import demand_cost
from chemcheck.units import read_yaml

FILE = "interval.yaml"
COSTS = ("planned_cost", "failure_cost", "correction_cost", "sample_cost")
CHANCES = ("risk", "detection_chance", "significance")


@dataclass(frozen=True, slots=True)
class IntervalSettings:
    """What a fleet has decided about risk, and what its changes and failures cost.

    Parameters
    ----------
    risk : float
        Chance of a crossing by the interval and the lead time.
    lead_time : float
        From the decision to work done [d].
    delay_shape : float
        Weibull shape of the time from crossing to damage.
    detection_chance : float
        Chance that one sample shows a crossing that is there.
    significance : float
        Groups get intervals of their own below this adjusted p-value.
    planned_cost, failure_cost, correction_cost, sample_cost : float or None
        Planned change, damage, crossing that a sample caught, one sample [money].
    delay : float or None
        Mean time from crossing to damage [h, km or d].

    Raises
    ------
    ValueError
        If a cost or the delay is not above 0, or another choice is not possible.
    """

    risk: float
    lead_time: float
    delay_shape: float
    detection_chance: float
    significance: float
    planned_cost: float | None = None
    failure_cost: float | None = None
    correction_cost: float | None = None
    sample_cost: float | None = None
    delay: float | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be meant."""
        for name in COSTS:
            cost = getattr(self, name)
            if cost is not None:
                demand_cost(name.replace("_", " "), cost)
        for name in CHANCES:
            if not 0 < getattr(self, name) < 1:
                said = name.replace("_", " ")
                problem = f"{said}: {getattr(self, name):g}: expected a probability between 0 and 1"
                raise ValueError(problem)
        if not (np.isfinite(self.lead_time) and self.lead_time >= 0):
            problem = f"lead time: {self.lead_time:g}: expected days, 0 or more"
            raise ValueError(problem)
        if self.delay is not None and not (np.isfinite(self.delay) and self.delay > 0):
            problem = f"delay: {self.delay:g}: expected a finite number above 0"
            raise ValueError(problem)

    @classmethod
    def from_library(cls, **chosen: float | None) -> Self:
        """Take what the user has not chosen from the library; costs and delay it does not know.

        Parameters
        ----------
        **chosen : float or None
            Any of the parameters; None means not chosen.

        Examples
        --------
        >>> IntervalSettings.from_library(planned_cost=300).planned_cost
        300
        >>> IntervalSettings.from_library(planned_cost=0)
        Traceback (most recent call last):
        ...
        ValueError: planned cost: 0: expected a finite number above 0
        """
        path = limit_folder() / FILE
        settings = read_yaml(path)["settings"]
        unknown = set(settings) - set(cls.__dataclass_fields__)
        if unknown:
            raise LimitFileError(str(path), None, min(unknown), "no setting of an interval")
        values = {name: float(entry["value"]) for name, entry in settings.items()}
        values |= {name: value for name, value in chosen.items() if value is not None}
        return cls(**values)
