"""The choices that turn a forecast into dates, read from the library."""

from dataclasses import dataclass
from typing import Self

from chemcheck.errors import LimitFileError
from chemcheck.limit_library import limit_folder
from chemcheck.units import read_yaml

FILE = "forecast.yaml"


@dataclass(frozen=True, slots=True)
class ForecastSettings:
    """What a fleet has decided about risk and sampling.

    Parameters
    ----------
    risk : float
        Chance, by the change date, that the coolant has already passed a bound.
    lead_time : float
        From drawing a sample to work done on the unit [d].
    samples_before_change : float
        Samples between now and the change date.
    longest_gap : float
        No unit goes longer than this without a sample [d].
    horizon : float
        A crossing later than this after the last sample is not given a date [d].

    Raises
    ------
    ValueError
        If the risk is not between 0 and 1, or another choice is negative or zero.
    """

    risk: float
    lead_time: float
    samples_before_change: float
    longest_gap: float
    horizon: float

    def __post_init__(self) -> None:
        """Refuse what cannot be meant."""
        if not 0 < self.risk < 1:
            problem = f"risk: {self.risk:g}: expected a probability between 0 and 1"
            raise ValueError(problem)
        for name in ("samples_before_change", "longest_gap", "horizon"):
            if not getattr(self, name) > 0:
                problem = f"{name}: {getattr(self, name):g}: expected a number above 0"
                raise ValueError(problem)
        if not self.lead_time >= 0:
            problem = f"lead_time: {self.lead_time:g}: expected days, 0 or more"
            raise ValueError(problem)

    @classmethod
    def from_library(cls, **chosen: float | None) -> Self:
        """Take what the user has not chosen from the library.

        Parameters
        ----------
        **chosen : float or None
            Any of the parameters; None means not chosen.

        Examples
        --------
        >>> ForecastSettings.from_library(risk=0.05).risk
        0.05
        """
        path = limit_folder() / FILE
        settings = read_yaml(path)["settings"]
        unknown = set(settings) - set(cls.__dataclass_fields__)
        if unknown:
            raise LimitFileError(str(path), None, min(unknown), "no setting of a forecast")
        values = {name: float(entry["value"]) for name, entry in settings.items()}
        values |= {name: value for name, value in chosen.items() if value is not None}
        return cls(**values)
