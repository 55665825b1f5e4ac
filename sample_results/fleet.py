"""The depot's forty machines, where they work and what befalls them: all invented."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Unit:
    """A machine: where it works, what is in it, how it is used and what befalls it."""

    name: str
    coolant: str
    litres: float
    hours_a_week: float
    samples: int
    km_an_hour: float = 0.0  # 0: it has no odometer
    hours_known: bool = True
    leak: float = 0.25  # litres lost as coolant in 1,000 h
    boil_off: float = 0.10  # litres lost as steam in 1,000 h
    top_up: str = "premix"  # premix, deionised water, or a town
    start_hours: float = 0.0
    fill_age: float = 0.0  # hours the fill had run when the record begins
    stated: bool = True  # whether the technology is on record
    faults: tuple[str, ...] = ()


def _fleet() -> tuple[Unit, ...]:
    units: list[Unit] = []
    for ferry, start in (("F1", 21400.0), ("F2", 9800.0)):
        for engine in ("ME1", "ME2"):
            name = f"{ferry}-{engine}"
            faults = ("sea water",) if name == "F2-ME1" else ("doses",)
            units.append(
                Unit(
                    name,
                    "heavy duty",
                    620,
                    92,
                    12,
                    leak=6.0,
                    boil_off=3.0,
                    top_up="premix",
                    start_hours=start,
                    fill_age=1900,
                    faults=faults,
                )
            )
        units.append(
            Unit(
                f"{ferry}-GEN",
                "heavy duty",
                95,
                70,
                10,
                leak=1.0,
                boil_off=0.6,
                start_hours=start * 0.8,
                fill_age=900,
                faults=("doses",),
            )
        )
    trucks = {2: ("meter",), 4: ("gas leak",), 6: ("change",), 9: ("change",), 7: ("mixed",)}
    for number in range(1, 10):
        units.append(
            Unit(
                f"HT-{number:02}",
                "nitrited organic acid",
                140,
                58 + 2 * (number % 4),
                6 + number % 4,
                leak=1.5,
                boil_off=0.8,
                start_hours=3100.0 + 870 * number,
                fill_age=350.0 * number,
                top_up="premix" if number % 3 else "deionised water",
                faults=trucks.get(number, ()),
            )
        )
    for number, coolant in (
        (1, "nitrited organic acid"),
        (2, "heavy duty"),
        (3, "hybrid"),
        (4, "hybrid"),
    ):
        hard = number == 2
        units.append(
            Unit(
                f"WL-{number:02}",
                coolant,
                62,
                38,
                5 + number % 3,
                leak=6.5 if hard else 0.8,
                boil_off=1.2 if hard else 0.4,
                top_up="Upper Quell" if hard else "premix",
                start_hours=5200.0 + 640 * number,
                fill_age=420.0 * number,
                stated=number != 4,
            )
        )
    for number in (1, 2, 3):
        units.append(
            Unit(
                f"EX-{number:02}",
                "organic acid",
                48,
                34,
                5 + number % 2,
                leak=0.6,
                boil_off=0.4,
                start_hours=2500.0 * number,
                fill_age=800.0 * number,
                faults=("overheating",) if number == 2 else (),
            )
        )
    units.append(
        Unit(
            "CG-1",
            "heavy duty",
            88,
            52,
            8,
            leak=1.1,
            boil_off=0.7,
            start_hours=7700.0,
            fill_age=600,
            faults=("overdose",),
        )
    )
    units.append(
        Unit(
            "CG-2",
            "heavy duty",
            88,
            50,
            8,
            leak=1.1,
            boil_off=0.7,
            start_hours=6900.0,
            fill_age=2500,
            faults=("change",),
        )
    )
    for number in range(11, 17):
        units.append(
            Unit(
                f"BUS-{number}",
                "organic acid",
                42,
                66,
                4 + number % 3,
                km_an_hour=24.0 + number % 4,
                leak=0.9,
                boil_off=0.4,
                start_hours=1450.0 * (number - 9),
                fill_age=700.0 * (number - 10),
                faults=("new radiator",) if number == 14 else (),
                top_up="Stannick" if number % 2 else "deionised water",
            )
        )
    for number in range(1, 5):
        units.append(
            Unit(
                f"VAN-{number}",
                "hybrid",
                8.6,
                21,
                3 + number % 2,
                km_an_hour=38.0,
                hours_known=False,
                leak=0.8,
                boil_off=0.2,
                start_hours=900.0 * number,
                fill_age=300.0 * number,
                top_up="Brinmouth",
            )
        )
    for number in range(1, 5):
        units.append(
            Unit(
                f"TT-{number}",
                "phosphated organic acid",
                36,
                44,
                4 + number % 2,
                leak=0.7,
                boil_off=0.3,
                start_hours=1900.0 * number,
                fill_age=500.0 * number,
                top_up="deionised water",
                faults=("change",) if number == 4 else (),
            )
        )
    for number in (1, 2):
        units.append(
            Unit(
                f"SG-{number}",
                "conventional",
                55,
                3,
                3,
                leak=0.4,
                boil_off=0.2,
                start_hours=140.0 * number,
                fill_age=30.0,
            )
        )
    return tuple(units)


FLEET = _fleet()
