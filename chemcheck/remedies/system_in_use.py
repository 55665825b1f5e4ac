"""The system that a water is meant for: volumes, top-ups, and the hot faces that scale covers."""

from dataclasses import dataclass, field
from typing import Literal

from chemcheck.chemistry.scale_deposit import CALCITE_CONDUCTIVITY
from chemcheck.remedies.estimate import Estimate, between, exact, refuse_where
from chemcheck.remedies.refill_plan import check_volumes

Loss = Literal["leak", "evaporation"]
LOSSES: tuple[Loss, ...] = ("leak", "evaporation")


@dataclass(frozen=True, slots=True)
class SystemInUse:
    """A system and what becomes of its coolant.

    Parameters
    ----------
    system : Estimate
        Volume [L].
    drains : Estimate or None
        What comes out when it is drained [L]; the rest is held back and becomes mix water.
    fill : Estimate
        Percent of concentrate in the finished fill [%].
    strength : Estimate
        Percent of the concentrate [%].
    efficiency : Estimate
        Of mixing in a rinse [1].
    top_ups : Estimate
        Water topped up in small steps, all together [L].
    loss : {"leak", "evaporation"} or None
        What was topped up; None where nobody knows.
    hot_area : Estimate or None
        Of the hot faces [cm2].
    heat_flux : Estimate or None
        Through them [kW/m2].
    conductivity : Estimate
        Of the scale [W/(m K)].

    Raises
    ------
    QuantityError
        For volumes and areas that cannot be.
    """

    system: Estimate
    drains: Estimate | None = None
    fill: Estimate = field(default_factory=lambda: exact(50.0))
    strength: Estimate = field(default_factory=lambda: exact(100.0))
    efficiency: Estimate = field(default_factory=lambda: exact(1.0))
    top_ups: Estimate = field(default_factory=lambda: exact(0.0))
    loss: Loss | None = None
    hot_area: Estimate | None = None
    heat_flux: Estimate | None = None
    conductivity: Estimate = field(default_factory=lambda: between(*CALCITE_CONDUCTIVITY))

    def __post_init__(self) -> None:
        check_volumes(self.system, self.drains if self.drains is not None else self.system)
        refuse_where(self.strength.lower <= 0.0, "the concentrate's strength must be above 0 %")
        refuse_where(
            self.fill.upper > self.strength.lower,
            "the finished fill cannot have more than its concentrate",
        )
        refuse_where(
            (self.efficiency.lower <= 0.0) | (self.efficiency.upper > 1.0),
            "the mixing efficiency must be above 0 and at most 100 %",
        )
        for one, said in (
            (self.hot_area, "the hot area must be above 0"),
            (self.conductivity, "the conductivity of scale must be above 0"),
        ):
            if one is not None:
                refuse_where(one.lower <= 0.0, said)

    @property
    def water(self) -> tuple[float, float]:
        """Least and most water in the finished fill [L]."""
        parts = [
            1.0 - float(fill) / float(strength)
            for fill, strength in (
                (self.fill.upper, self.strength.lower),
                (self.fill.lower, self.strength.upper),
            )
        ]
        return float(self.system.lower) * parts[0], float(self.system.upper) * parts[1]
