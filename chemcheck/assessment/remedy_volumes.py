"""Litres of a remedy, or percent of a system whose volume nobody said."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from chemcheck.analytes import analyte as analyte_of
from chemcheck.remedies.estimate import Column, Estimate, between, exact, hull
from chemcheck.remedies.part_replaced import passes_and_last
from chemcheck.remedies.refill import last_pass, percent_after
from chemcheck.remedies.refill_plan import change
from chemcheck.remedies.rinse import plan_rinses, residue_after
from chemcheck.units.number_text import number

_DIGITS = 3
# A ready mix that ends up so far below its label is warned of [%].
_TOLD_TRAP = 0.5


@dataclass(frozen=True, slots=True)
class Volumes:
    """The volumes of one system.

    Parameters
    ----------
    system, drains : Estimate or None
        Its volume, and how much drains [L]; None where not known.
    """

    system: Estimate | None
    drains: Estimate | None

    @property
    def needs(self) -> tuple[str, ...]:
        """What is not known of them."""
        told = list(self.needs_to_dose)
        if self.drains is None:
            told.append("how much drains (--drains, or a column): all of it is taken to")
        return tuple(told)

    @property
    def needs_to_dose(self) -> tuple[str, ...]:
        """What a dose needs to know of them, and is not known."""
        if self.system is not None:
            return ()
        return ("the system's volume (--system, or a column): amounts are shares of it",)

    def said(self, share: float) -> str:
        """Say a share of the system."""
        if self.system is None:
            return f"{_number(100.0 * share)} % of the system's volume"
        return f"{_number(share * float(self.system.value))} L"

    def share(self, planned: float) -> Estimate:
        """Return the share that is replaced when what was planned is drained.

        Litres are measured out; how much of the system they are is as uncertain as its
        volume.
        """
        if self.system is None or not np.isfinite(planned):
            return exact(planned)
        litres = planned * float(self.system.value)
        ends = litres / float(self.system.upper), min(litres / float(self.system.lower), 1.0)
        return between(*ends, value=planned)

    def drainable(self) -> float:
        """Return the share of the system that drains [1]."""
        if self.system is None or self.drains is None:
            return 1.0
        return min(float(self.drains.value) / float(self.system.value), 1.0)

    def replace_steps(self, share: float, concentrate: float) -> Iterator[str]:
        """Say how a share is replaced by so much concentrate and water."""
        passes, last = passes_and_last(share, self.drainable())
        first = self.said(last if passes == 1 else self.drainable())
        yield f"On the cold engine drain {first}, and measure what comes out."
        yield f"Fill {self._mix(last if passes == 1 else self.drainable(), concentrate)}."
        if passes > 1:
            more = "once more" if passes == 2 else f"{passes - 1} times more"
            yield (
                f"No more drains at once: do the same {more}, warmed up and mixed between, the "
                f"last time with {self.said(last)}; or open the block's drain."
            )

    def rinses(self, residue: float, fillings: float = 1.0) -> tuple[float, Estimate]:
        """Return how many rinses, and what is left of the old fill after draining the last.

        Parameters
        ----------
        residue : float
            Share that may be left [1].
        fillings : float
            How often concentrate is filled then.
        """
        if self.system is None or self.drains is None:
            return 3.0, between(0.0, residue)
        volumes = self.system, self.drains
        plan = plan_rinses(*volumes, residue, exact(1.0))
        count = float(np.nan_to_num(plan.fills.value, nan=3.0))
        # The fill itself dilutes what is left once more; further ones take out a part at most.
        once, often = (
            hull(lambda v, d, n=n: residue_after(n, v, np.minimum(d, v), 1.0), *volumes)
            for n in (count + 1.0, count + fillings)
        )
        return count * self.drainable(), between(often.lower, once.upper, once.value)

    def change_steps(self, percent: float, concentrate: float, residue: float) -> Iterator[str]:
        """Say how the whole system is drained, rinsed to a residue, and refilled."""
        if self.system is None or self.drains is None:
            yield "On the cold engine drain all that drains, the block's drain too."
            yield (
                f"Rinse with water, warmed up each time, until no more than {100 * residue:g} % of "
                "the old fill is left, the last time with deionised water ('rinse' says how often)."
            )
            yield (
                f"Fill concentrate first, then deionised water, to {_number(percent)} % of glycol: "
                "what stays inside is water ('refill' says how much of each)."
            )
            return
        plan = plan_rinses(self.system, self.drains, residue, exact(1.0))
        yield f"On the cold engine drain all that drains: {_litres(self.drains)}."
        if float(plan.fills.value) > 0.0:
            times = int(plan.fills.value)
            often = "once" if times == 1 else f"{times} times"
            yield (
                f"Rinse {often} with {_litres(self.drains)} of water, warmed up each time "
                f"({_litres(plan.water)} in all); the last with deionised water. 'rinse' proves by "
                "readings that it was enough."
            )
        yield from self._refill_steps(percent, percent / concentrate)

    def _refill_steps(self, percent: float, strength: float) -> Iterator[str]:
        """Say what is filled onto the rinse water that stays inside."""
        assert self.system is not None  # asked for where both are known
        assert self.drains is not None
        fill = change(self.system, self.drains, exact(0.0), exact(percent), exact(strength))
        if bool(fill.feasible):
            weak = hull(percent_after, self.system, self.drains, exact(0.0), exact(percent))
            trap = ""
            if percent - float(weak.value) > _TOLD_TRAP:
                trap = (
                    f" No ready mix of {_number(percent)} %: it would end up at "
                    f"{_number(float(weak.value))} %."
                )
            yield (
                f"Fill {_litres(fill.concentrate)} of concentrate first, then "
                f"{_litres(fill.water)} of deionised water; the rinse water that stays inside "
                f"makes up the rest.{trap}"
            )
            return
        again = int(fill.passes) - 1
        out, last = _litres(self.drains), self._last_of_several(percent, strength)
        often = f"{_number(last)} L"
        if again > 1:
            often = f"{out}, {again} times in all, the last time {often}"
        yield (
            f"Fill {out} of concentrate: that comes to {_number(float(fill.reachable.value))} % of "
            "glycol at the most, because too much water stays inside. Warm up and mix, drain "
            f"{often}, and fill as much concentrate; or open the block's drain."
        )

    def _last_of_several(self, percent: float, strength: float) -> float:
        assert self.system is not None  # asked for where both are known
        assert self.drains is not None
        return float(last_pass(self.system.value, self.drains.value, 0.0, percent, strength))

    def fillings(self, percent: float, strength: float) -> float:
        """Return how often concentrate is filled until a rinsed system is at a percent."""
        if self.system is None or self.drains is None:
            return 1.0
        fill = change(self.system, self.drains, exact(0.0), exact(percent), exact(strength))
        return float(fill.passes)

    def refilled(self, percent: float, strength: float) -> Estimate:
        """Return what a refill of a rinsed system ends up at, as uncertain as its volumes are.

        Parameters
        ----------
        percent, strength : float
            Of glycol wanted, and in the concentrate [vol%].
        """
        if self.system is None or self.drains is None:
            return exact(percent)
        fill = change(self.system, self.drains, exact(0.0), exact(percent), exact(strength))
        if bool(fill.feasible):
            return fill.finished
        before, last = float(fill.passes) - 1.0, self._last_of_several(percent, strength)

        def several(system: Column, drains: Column) -> Column:
            left = (1.0 - np.minimum(drains / system, 1.0)) ** before
            return percent_after(system, last, strength * (1.0 - left), strength)

        return hull(several, self.system, self.drains)

    @property
    def needs_of_rinse_water(self) -> tuple[str, ...]:
        """What is not known of the rinse water that becomes part of the fill."""
        kept = 1.0 - self.drainable()
        if self.drains is not None and kept <= 0.0:
            return ()
        share = "part" if self.drains is None else f"{_number(100.0 * kept)} %"
        return (
            f"the rinse water: {share} of its salts stays in what is inside after one deionised "
            "rinse ('rinse --tap' says how many it takes)",
        )

    def dose_step(self, analyte: str, now: float, target: float) -> str:
        """Say how much of an inhibitor is missing."""
        known = analyte_of(analyte)
        missing = target - now
        levels = f"from {_number(now)} to {_number(target)} {known.unit}"
        if self.system is None:
            amount = f"{_number(missing / 1000.0)} g in each litre of the system"
        else:
            litres = float(self.system.value)
            amount = f"{_number(missing * litres / 1000.0)} g in {_number(litres)} L"
        return (
            f"Dose {known.title} {levels}: {amount}. 'dose' turns that into litres by the "
            "additive's label, and keeps every other component within its bound."
        )

    def _mix(self, share: float, concentrate: float) -> str:
        if concentrate >= 0.99:
            return f"{self.said(share)} of concentrate"
        if concentrate <= 0.01:
            return f"{self.said(share)} of deionised water"
        strong, water = share * concentrate, share * (1.0 - concentrate)
        return (
            f"{self.said(strong)} of concentrate first, then {self.said(water)} of deionised water"
        )


def _litres(volume: Estimate) -> str:
    return f"{_number(float(volume.value))} L"


def _number(value: float) -> str:
    return number(value, _DIGITS)
