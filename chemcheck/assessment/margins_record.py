"""Where a coolant works, and the margins it has there."""

from dataclasses import dataclass

from chemcheck.assessment.glycol_share import GlycolShare
from chemcheck.remedies.cold_margin import ColdMargin
from chemcheck.remedies.estimate import Estimate
from chemcheck.remedies.margins import CapMargins, Circuit
from chemcheck.remedies.refill_plan import RefillPlan


@dataclass(frozen=True, slots=True)
class Setting:
    """Where a coolant works; None where nothing was said.

    Parameters
    ----------
    cap, cap_opens : Estimate or None
        Rating of the cap, and where a test found it to open [kPa gauge].
    altitude : Estimate or None
        [m].
    ambient : Estimate or None
        Pressure of the air, in place of the altitude [kPa].
    suction_loss : Estimate or None
        From the cap's place to the pump's inlet [kPa].
    inlet_temperature : Estimate or None
        Of the coolant that enters the pump [deg C].
    needed_head : Estimate or None
        What the pump needs, with the margin wanted [m].
    impeller : Estimate or None
        Diameter [m].
    speed : Estimate or None
        Of the pump [1/min].
    pump_side : {"radiator", "engine"} or None
        What the pump draws from.
    coldest, safety : Estimate or None
        Coldest temperature expected, and how much below it the coolant should still not
        freeze [deg C].
    coldest_has_unit : bool
        Whether whoever said the coldest temperature said its unit too.
    burst : tuple of (Estimate, Estimate)
        Lines of the maker's table of burst protection: percent [vol%] and temperature
        [deg C].
    system, strength : Estimate or None
        Volume of the system [L], and percent of the concentrate [%].
    """

    cap: Estimate | None = None
    cap_opens: Estimate | None = None
    altitude: Estimate | None = None
    ambient: Estimate | None = None
    suction_loss: Estimate | None = None
    inlet_temperature: Estimate | None = None
    needed_head: Estimate | None = None
    impeller: Estimate | None = None
    speed: Estimate | None = None
    pump_side: str | None = None
    coldest: Estimate | None = None
    coldest_has_unit: bool = True
    safety: Estimate | None = None
    burst: tuple[tuple[Estimate, Estimate], ...] = ()
    system: Estimate | None = None
    strength: Estimate | None = None


@dataclass(frozen=True, slots=True)
class MarginsAnswer:
    """The margins of one coolant.

    Parameters
    ----------
    share : GlycolShare
        What the coolant is.
    setting : Setting
        Where it works.
    circuit : Circuit
        The same with what was assumed.
    freezes : Estimate
        [deg C].
    uncertain : bool
        Whether the freezing point is beyond what measurements agree on.
    caps : tuple of CapMargins
        By the state of the cap: ``rated``, ``weak``, ``dead``; the last alone where no
        rating was said.
    vapour : Estimate
        Vapour pressure at the pump's inlet [kPa].
    by_rule : Estimate
        Boiling point by the trade's rule for caps [deg C]; NaN where no rating was said.
    cold : ColdMargin or None
        Against the coldest temperature.
    swap : RefillPlan or None
        What to drain and fill for it.
    bursts : Estimate or None
        Temperature down to which nothing bursts by the maker's table [deg C]; None where
        none was entered, NaN outside it.
    assumptions, questions, cautions : tuple of str
        What was assumed, what has to be settled, and keys of cautions.
    """

    share: GlycolShare
    setting: Setting
    circuit: Circuit
    freezes: Estimate
    uncertain: bool
    caps: tuple[CapMargins, ...]
    vapour: Estimate
    by_rule: Estimate
    cold: ColdMargin | None
    swap: RefillPlan | None
    bursts: Estimate | None
    assumptions: tuple[str, ...]
    questions: tuple[str, ...]
    cautions: tuple[str, ...]
