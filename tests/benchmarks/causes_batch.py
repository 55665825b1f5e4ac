"""Time of the causes of a batch, against reading it.

    python tests/benchmarks/causes_batch.py [ROWS ...]

Reading the file (``chemcheck.read_results``), plain ``pandas.read_csv(dtype=str)`` of it, and
finding and ranking the causes of every sample take turns in this process; the best times and
their ratios are printed, with the share of samples that have a raised cause. No prose is made:
that is made for samples that are printed only.
"""

import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

PROJECT = Path(__file__).parents[2]
sys.path[:0] = [str(PROJECT), str(Path(__file__).parent)]

from batch_file import write_batch  # noqa: E402 - needs the path above

from chemcheck import read_results  # noqa: E402
from chemcheck.causes import find_causes  # noqa: E402
from chemcheck.readings.record import Readings  # noqa: E402

TURNS = 3
ROWS = (100_000, 1_000_000)


def causes(readings: Readings) -> float:
    """Rank the causes of every sample; return the share of samples with a raised one."""
    found = find_causes(readings)
    assert found is not None
    raised = sum(int(np.count_nonzero(each.raised)) for _, each in found.rankings())
    return raised / len(readings.samples)


def compare(rows: int, folder: Path) -> None:
    """Print the figures for so many samples."""
    path = folder / f"batch_{rows}.csv"
    write_batch(path, rows)
    times: dict[str, list[float]] = {"read_csv": [], "read_results": [], "causes": []}
    share = 0.0
    for _ in range(TURNS):
        start = time.perf_counter()
        pd.read_csv(path, dtype=str)
        times["read_csv"].append(time.perf_counter() - start)
        start = time.perf_counter()
        readings = read_results([path])
        times["read_results"].append(time.perf_counter() - start)
        start = time.perf_counter()
        share = causes(readings)
        times["causes"].append(time.perf_counter() - start)
    best = {name: min(each) for name, each in times.items()}
    sys.stdout.write(
        f"{rows:9,} samples: read_csv {best['read_csv']:6.3f} s, read_results"
        f" {best['read_results']:6.3f} s, causes {best['causes']:6.3f} s:"
        f" {best['causes'] / best['read_results']:.2f} of read_results,"
        f" {best['causes'] / best['read_csv']:.2f} of read_csv;"
        f" {100 * share:.1f} % with a raised cause\n"
    )


def main() -> None:
    """Compare for each number of rows."""
    rows = [int(each) for each in sys.argv[1:]] or ROWS
    with tempfile.TemporaryDirectory() as folder:
        for each in rows:
            compare(each, Path(folder))


if __name__ == "__main__":
    main()
