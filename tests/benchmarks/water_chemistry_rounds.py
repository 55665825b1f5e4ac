"""The rounds of the benchmark of water chemistry; run by water_chemistry.py.

Each side works at its own best batch after a warm-up, the two take turns, and the best round of
each counts: a round that another program slowed down says nothing about either.
"""

import sys
import time
from collections.abc import Callable

import numpy as np

from chemcheck.chemistry.carbonate import heat, speciate_totals
from chemcheck.chemistry.precipitation import precipitation_potential
from chemcheck.chemistry.saturation import saturation_indices
from chemcheck.chemistry.waters import Totals
from tests.reference import phreeqc

PHASES = ("Calcite", "Aragonite", "Gypsum", "Anhydrite")
HOT = (60.0, 90.0)
REPEATS = 5
OWN_BATCHES = (8_192, 32_768, 131_072)
REFERENCE_BATCHES = (1, 24, 72)


def own_waters(size: int) -> tuple[Totals, np.ndarray]:
    """Return that many waters, each a few percent off one of the invented ones."""
    _, waters = phreeqc.generate()
    rng = np.random.default_rng(1)
    many = np.resize(waters, (size, waters.shape[1])) * rng.uniform(0.98, 1.02, (size, 8))
    many[:, 0] = np.resize(waters[:, 0], size)
    amounts = dict(zip(phreeqc.AMOUNTS, many[:, 2:].T * 1e-3, strict=True))
    totals = Totals(
        **amounts,
        alkalinity=many[:, 1] * 1e-3 * 1.03,
        carbonate=np.full(size, np.nan),
        silica=np.zeros(size),
    )
    return totals, many[:, 0]


def own_cold(totals: Totals, ph: np.ndarray) -> None:
    """Speciate at 25 deg C and take four saturation indices."""
    saturation_indices(speciate_totals(totals, ph))


def own_hot(totals: Totals, ph: np.ndarray) -> None:
    """Heat to 60 and 90 deg C as well, with the precipitation potential at all three."""
    sampled = speciate_totals(totals, ph)
    for water in (sampled, *(heat(sampled, temperature) for temperature in HOT)):
        saturation_indices(water)
        _ = precipitation_potential(water).potential


def block(number: int, water: np.ndarray) -> str:
    """Return one water as PHREEQC's input."""
    ph, alkalinity, *amounts = water.tolist()
    lines = [f"SOLUTION {number}", "units mmol/kgw", "temp 25", f"pH {ph}"]
    lines.append(f"Alkalinity {alkalinity}")
    names = ("Ca", "Mg", "Na", "K", "Cl", "S(6)")
    lines += [f"{name} {amount}" for name, amount in zip(names, amounts, strict=True)]
    return "\n".join(lines) + "\n"


def reference_cold(engine: object, waters: np.ndarray) -> None:
    """Do the same with PHREEQC, a batch of input at a time."""
    engine.run_string("".join(block(i, w) for i, w in enumerate(waters)) + "END\n")
    for number in range(len(waters)):
        for phase in PHASES:
            engine.get_si(number, phase)


def reference_hot(engine: object, waters: np.ndarray) -> None:
    """Do the same with PHREEQC, heated and brought to calcite saturation."""
    size = len(waters)
    text = ["".join(block(i, w) for i, w in enumerate(waters)) + "END\n"]
    for number in range(size):
        for place, temperature in enumerate(HOT, 1):
            text.append(
                f"USE SOLUTION {number}\nREACTION_TEMPERATURE 1\n{temperature}\n"
                f"SAVE SOLUTION {number + place * size}\nEND\n"
            )
        for place, temperature in enumerate((25.0, *HOT)):
            text.append(
                f"USE SOLUTION {number + place * size}\nREACTION_TEMPERATURE 1\n{temperature}\n"
                "EQUILIBRIUM_PHASES 1\nCalcite 0 10\n"
                f"SAVE SOLUTION {number + (place + 3) * size}\nEND\n"
            )
    engine.run_string("".join(text))
    for number in range(3 * size):
        engine.get_ph(number)
        for phase in PHASES:
            engine.get_si(number, phase)
        before = engine.get_total_element(number, "Ca")
        _ = before - engine.get_total_element(number + 3 * size, "Ca")


def rate(work: Callable[[], None], size: int) -> float:
    """Return waters per second of one round."""
    begun = time.perf_counter()
    work()
    return size / (time.perf_counter() - begun)


def main() -> None:
    """Print waters per second of both sides and their ratio."""
    _, waters = phreeqc.generate()
    engine = phreeqc.engine().ip
    columns = {size: own_waters(size) for size in OWN_BATCHES}

    def reference_batches(batch: int, work: Callable[[object, np.ndarray], None]) -> None:
        for first in range(0, len(waters), batch):
            work(engine, waters[first : first + batch])

    for title, own, reference, gate, aim in (
        ("25 deg C, four indices", own_cold, reference_cold, 60, 150),
        ("and 60, 90 deg C, potentials", own_hot, reference_hot, 40, 100),
    ):
        best_own: dict[int, float] = dict.fromkeys(OWN_BATCHES, 0.0)
        best_reference: dict[int, float] = dict.fromkeys(REFERENCE_BATCHES, 0.0)
        for round_number in range(REPEATS + 1):
            for size, (totals, ph) in columns.items():
                found = rate(lambda t=totals, p=ph, w=own: w(t, p), size)
                best_own[size] = max(best_own[size], found if round_number else 0.0)
            for batch in REFERENCE_BATCHES:
                found = rate(lambda b=batch, w=reference: reference_batches(b, w), len(waters))
                best_reference[batch] = max(best_reference[batch], found if round_number else 0.0)
        size, ours = max(best_own.items(), key=lambda item: item[1])
        batch, theirs = max(best_reference.items(), key=lambda item: item[1])
        sys.stdout.write(
            f"{title:30} chemcheck {ours:12,.0f}/s (batch {size:,}), "
            f"phreeqpython {theirs:8,.0f}/s (batch {batch}), "
            f"ratio {ours / theirs:5.0f} (gate {gate}, aim {aim})\n"
        )


if __name__ == "__main__":
    main()
