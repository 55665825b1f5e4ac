"""Count the slips found among a thousand clean rows, and the clean rows asked about.

Run by hand: ``python tests/benchmarks/slips.py [FLEETS]``. Each fleet is a thousand invented rows
of 80 units and 10 waters with four slips of every kind at known places: each factor of the
library, Fahrenheit read as Celsius, two columns exchanged, the cells of a row moved on by one
column, three rows moved down by one, day and month exchanged, a wrong year. A slip counts as
found if anything is asked about its row. The last table is the same with fewer samples a unit.
"""

import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from chemcheck.fills.history_checks import check_histories
from tests.fills.injected_slips import inject
from tests.fills.invented_fleet import clean_fleet


def count(fleets: int, **sizes: int) -> tuple[Counter, Counter, int, int, float]:
    """Return slips by kind, those found, clean rows, those asked about, and seconds a fleet."""
    there, found = Counter(), Counter()
    clean = asked = 0
    seconds = 0.0
    for seed in range(fleets):
        fleet = clean_fleet(seed, **sizes)
        slipped = inject(fleet, 1000 + seed)
        readings = fleet.readings()
        start = time.perf_counter()
        questions = check_histories(readings).questions
        seconds += time.perf_counter() - start
        rows = set((questions["row"].dropna().astype(int) - 2).tolist())
        there.update(slipped.values())
        found.update(kind for row, kind in slipped.items() if row in rows)
        clean += len(readings.samples) - len(slipped)
        asked += len(rows - set(slipped))
    return there, found, clean, asked, seconds / fleets


def main(fleets: int) -> None:
    """Print the figures."""
    there, found, clean, asked, seconds = count(fleets)
    lines = [
        f"{kind:26} {found[kind]:5} of {there[kind]:5}  {found[kind] / there[kind]:.3f}"
        for kind in there
    ]
    share = found.total() / there.total()
    lines += [
        f"{'all slips':26} {found.total():5} of {there.total():5}  {share:.3f}",
        f"{'clean rows asked about':26} {asked:5} of {clean:5}  {asked / clean:.4f}",
        f"{seconds:.2f} s for 1,000 rows",
        "",
        "samples a unit   slips found   clean rows asked about",
    ]
    for units, each in ((200, 4), (130, 6), (50, 16)):
        there, found, clean, asked, _ = count(max(1, fleets // 2), units=units, each=each)
        lines.append(f"{each:14} {found.total() / there.total():13.3f} {asked / clean:24.4f}")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10)
