"""Time of the causes of a batch, against reading it.

    python tests/benchmarks/causes_batch.py [ROWS ...]

Reading the file (``chemcheck.read_results``), plain ``pandas.read_csv(dtype=str)`` of it, and
finding and ranking the causes of every sample take turns in this process; the best times and
their ratios are printed, with the share of samples that have a raised cause and the peak memory.
The processor time of all threads is printed beside: on a machine that does other work too, its
ratio wavers less. No prose is made: that is made for samples that are printed only.

Readings of the batch move without rhyme or reason, so that nearly every sample has causes: a
fleet, in which few have, costs less.
"""

import resource
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeVar

import numpy as np
import pandas as pd

PROJECT = Path(__file__).parents[2]
sys.path[:0] = [str(PROJECT), str(Path(__file__).parent)]

from batch_file import write_batch  # noqa: E402 - needs the path above

from chemcheck import read_results  # noqa: E402
from chemcheck.causes import find_causes  # noqa: E402
from chemcheck.readings.record import Readings  # noqa: E402

T = TypeVar("T")
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
    runs: dict[str, list[tuple[float, float]]] = {}
    share = 0.0

    def timed(name: str, work: Callable[[], T]) -> T:
        start, used = time.perf_counter(), time.process_time()
        answer = work()
        took = time.perf_counter() - start, time.process_time() - used
        runs.setdefault(name, []).append(took)
        return answer

    for _ in range(TURNS):
        timed("read_csv", lambda: len(pd.read_csv(path, dtype=str)))
        readings = timed("read_results", lambda: read_results([path]))
        share = timed("causes", partial(causes, readings))
    path.unlink()
    sys.stdout.write(f"{rows:,} samples, {100 * share:.1f} % with a raised cause\n")
    best = {name: [min(each) for each in zip(*took, strict=True)] for name, took in runs.items()}
    for name, (wall, processor) in best.items():
        sys.stdout.write(f"  {name:13} {wall:7.3f} s   processor {processor:7.3f} s\n")
    for name in ("read_results", "read_csv"):
        wall, processor = (mine / its for mine, its in zip(best["causes"], best[name], strict=True))
        sys.stdout.write(f"  of {name:13} {wall:5.2f}       processor   {processor:5.2f}\n")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(f"  peak of all three {peak:,.0f} MiB\n")


def main() -> None:
    """Compare for each number of rows."""
    rows = [int(each) for each in sys.argv[1:]] or ROWS
    with tempfile.TemporaryDirectory() as folder:
        for each in rows:
            compare(each, Path(folder))


if __name__ == "__main__":
    main()
