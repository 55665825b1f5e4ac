"""Write the answers of other libraries on lifetimes that the ordinary suite compares with.

Run from the project's root, with CHEMCHECK_REFERENCE_PYTHON naming an interpreter that has
requirements-lifetimes.txt: ``python -m tests.reference.make_lifetime_answers``.
"""

import tempfile
from pathlib import Path

from tests.planning.published import ANSWERS, INTERVALS, read_intervals
from tests.reference.lifetimes import run, simulated, write_intervals


def main() -> None:
    """Write the data sets and the answers."""
    with tempfile.TemporaryDirectory() as folder:
        shipped = Path(folder) / "shipped.csv"
        run("data", shipped)
        write_intervals(INTERVALS, read_intervals(shipped) | simulated())
    run("fit", INTERVALS, ANSWERS)


if __name__ == "__main__":
    main()
