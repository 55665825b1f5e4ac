"""Write the answers of PHREEQC that the ordinary suite compares with.

Run from the project's root in the reference environment:
``python -m tests.reference.make_water_answers``.
"""

import csv

from tests.reference.phreeqc import (
    ANSWERS,
    FIGURES,
    INPUTS,
    TEMPERATURES,
    answers,
    engine,
    generate,
)


def main() -> None:
    """Write one row a water and temperature."""
    kinds, waters = generate()
    found = answers(engine(), waters)
    with ANSWERS.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(
            ["water", "kind", *(f"input_{name}" for name in INPUTS), "temperature", *FIGURES]
        )
        for number, (kind, water, rows) in enumerate(zip(kinds, waters, found, strict=True), 1):
            for temperature, figures in zip(TEMPERATURES, rows, strict=True):
                writer.writerow(
                    [number, kind, *water.tolist(), temperature, *(f"{x:.6f}" for x in figures)]
                )


if __name__ == "__main__":
    main()
