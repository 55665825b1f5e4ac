"""Write the answers of statsmodels on fleets that the ordinary suite compares with.

Run from the project's root in the reference environment:
``python -m tests.reference.make_mixed_model_answers``.
"""

import csv

from tests.reference import mixed_model_laboratories
from tests.reference.mixed_model import ANSWERS, READINGS, answers, generate, write_readings


def main() -> None:
    """Write the fleets and the answers."""
    fleet = generate()
    write_readings(READINGS, fleet)
    with ANSWERS.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["quantity", "value"])
        writer.writerows((name, repr(value)) for name, value in answers(fleet).items())
    mixed_model_laboratories.write_readings()
    mixed_model_laboratories.write_answers()


if __name__ == "__main__":
    main()
