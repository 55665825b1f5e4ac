"""Two years at the depot, week by week: samples and the log of what was done."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from random import Random

from circuit import Circuit, gauss
from fleet import FLEET, Unit

START = dt.date(2024, 1, 8)
WEEKS = 102


@dataclass
class Sample:
    """One bottle: when, from what, and the coolant's true state."""

    unit: Unit
    day: dt.date
    hours: float | None
    distance: float | None
    kind: str
    state: dict[str, float]


@dataclass
class Event:
    """One line of the depot's log."""

    unit: Unit
    day: dt.date
    hours: float | None
    kind: str
    litres: float | None
    fluid: str
    note: str = ""


@dataclass
class Story:
    """Everything that happened."""

    samples: list[Sample] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)


def state(circuit: Circuit) -> dict[str, float]:
    """Return what a perfect laboratory would find."""
    found = {name: circuit.reading(name) for name in circuit.load}
    found |= {
        "pH": circuit.ph(),
        "glycol": circuit.glycol_percent(),
        "conductivity": circuit.conductivity(),
    }
    return found


class Life:
    """One unit's two years."""

    def __init__(self, unit: Unit, seed: int, story: Story) -> None:
        self.unit, self.story = unit, story
        self.dice = Random(f"{seed} {unit.name}")
        self.circuit = Circuit(unit, self.dice)
        self.total = unit.start_hours
        self.meter_offset = 0.0
        self.active: tuple[str, ...] = ()
        gap = (WEEKS - 2) / (unit.samples - 1)
        self.sample_weeks = {round(1 + number * gap) for number in range(unit.samples)}

    def hours(self) -> float | None:
        return round(self.total - self.meter_offset) if self.unit.hours_known else None

    def distance(self) -> float | None:
        return round(self.total * self.unit.km_an_hour) if self.unit.km_an_hour else None

    def log(
        self, day: dt.date, kind: str, litres: float | None, fluid: str, note: str = ""
    ) -> None:
        self.story.events.append(Event(self.unit, day, self.hours(), kind, litres, fluid, note))

    def sample(self, day: dt.date, kind: str = "routine") -> None:
        taken = Sample(self.unit, day, self.hours(), self.distance(), kind, state(self.circuit))
        self.story.samples.append(taken)

    def live(self) -> None:
        for week in range(WEEKS):
            day = START + dt.timedelta(days=7 * week + self.dice.randrange(5))
            busy = max(0.2, 1 + 0.15 * gauss(self.dice))
            hours = self.unit.hours_a_week * busy
            self.circuit.run(hours, self.active)
            self.total += hours
            # The bottle is drawn before anything is done to the unit that day.
            if week in self.sample_weeks:
                self.sample(day)
            self.befall(week, day)
            self.tend(day)

    def tend(self, day: dt.date) -> None:
        """Top up when a twelfth is missing, and dose what has a dosing plan."""
        if self.circuit.litres < self.unit.litres * 11 / 12:
            litres = self.circuit.top_up()
            fluid = self.unit.top_up
            named = "premix 50/50" if fluid == "premix" else fluid
            self.log(
                day,
                "top-up",
                litres,
                named if "water" in named or "mix" in named else f"tap water {fluid}",
            )
        if "doses" in self.unit.faults and self.circuit.reading("NO2") < 1150:
            litres = self.circuit.dose("NO2", 1800)
            self.log(day, "dose", litres, "supplemental additive", "nitrite back to 1800 mg/L")

    def befall(self, week: int, day: dt.date) -> None:
        """Let the unit's own troubles happen when their week comes."""
        for fault in self.unit.faults:
            happens = getattr(self, "_" + fault.replace(" ", "_"), None)
            if happens is not None:
                happens(week, day)

    def _change(self, week: int, day: dt.date) -> None:
        if week == 47:
            self.circuit.fill()
            self.log(day, "change", self.unit.litres, "premix 50/50", "planned change")
            self.sample(day + dt.timedelta(days=1), "fresh fill")

    def _meter(self, week: int, day: dt.date) -> None:
        if week == 60:
            self.meter_offset = self.total - 12
            self.log(
                day,
                "meter reset",
                None,
                "",
                f"hour meter replaced, old one read {round(self.total)} h",
            )

    def _gas_leak(self, week: int, day: dt.date) -> None:
        if week == 62:
            self.active = ("gas leak",)
        if week == 98:
            self.log(day, "repair", None, "", "head gasket replaced, coolant kept")
            self.active = ()

    def _sea_water(self, week: int, day: dt.date) -> None:
        if week == 70:
            self.active = ("sea water",)
        if week == 40:
            litres = self.circuit.dose("NO2", 1800)
            self.log(day, "dose", litres, "supplemental additive", "nitrite back to 1800 mg/L")

    def _overheating(self, week: int, day: dt.date) -> None:
        if week == 55:
            self.active = ("overheating",)
            self.log(day, "repair", None, "", "ran hot, fan belt replaced")

    def _overdose(self, week: int, day: dt.date) -> None:
        if week in (30, 34):
            litres = self.circuit.dose("NO2", 2300 if week == 30 else 3500)
            self.log(day, "dose", litres, "supplemental additive", "")

    def _new_radiator(self, week: int, day: dt.date) -> None:
        if week == 50:
            self.circuit.fill(share=0.6)
            self.circuit.flux()
            self.active = ("new radiator",)
            self.log(day, "repair", None, "", "new radiator fitted")
            self.log(day, "partial change", 0.6 * self.unit.litres, "premix 50/50", "")

    def _mixed(self, week: int, day: dt.date) -> None:
        if week == 44:
            litres = self.circuit.mix_in("heavy duty", 0.22)
            self.log(day, "top-up", litres, "heavy duty premix", "hose burst, filled up on site")


def tell(seed: int) -> Story:
    """Let all units live their two years."""
    story = Story()
    for unit in FLEET:
        Life(unit, seed, story).live()
    story.samples.sort(key=lambda sample: (sample.day, sample.unit.name))
    story.events.sort(key=lambda event: (event.day, event.unit.name))
    return story
