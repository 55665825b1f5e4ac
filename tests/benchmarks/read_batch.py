"""Time from a batch file to readings, against ``pandas.read_csv(dtype=str)`` on the same file.

    python tests/benchmarks/read_batch.py [ROWS] [REPEATS]

Both are read in turn in one process, after one run of each to warm up; the best times, the
medians and their ratios are printed, then the peak memory of a process that only reads the
batch.
"""

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import pandas as pd
from batch_file import write_batch

sys.path.insert(0, str(Path(__file__).parents[2]))
from chemcheck.intake.read import read_results

_PEAK = """
import resource, sys
sys.path.insert(0, {project!r})
from chemcheck.intake.read import read_results
readings = read_results({path!r})
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


def timed(job: Callable[[], object]) -> float:
    """Return how long a job takes [s]."""
    start = time.perf_counter()
    job()
    return time.perf_counter() - start


def main(rows: int, repeats: int) -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "batch.csv")
        write_batch(path, rows)
        jobs = {
            "pandas.read_csv(dtype=str)": lambda: pd.read_csv(path, dtype=str),
            "read_results": lambda: read_results(path),
        }
        taken: dict[str, list[float]] = {name: [] for name in jobs}
        for turn in range(repeats + 1):
            for name, job in jobs.items():
                seconds = timed(job)
                if turn:
                    taken[name].append(seconds)
        program = _PEAK.format(project=str(Path(__file__).parents[2]), path=str(path))
        peak = subprocess.run(
            [sys.executable, "-c", program], capture_output=True, text=True, check=True
        )
    for name, seconds in taken.items():
        line = f"{name:28} best {min(seconds):6.3f} s  median {median(seconds):6.3f} s"
        sys.stdout.write(f"{rows:,} rows  {line}\n")
    plain, ours = taken.values()
    best, middle = min(ours) / min(plain), median(ours) / median(plain)
    ratios = f"ratio {best:.2f} of the best, {middle:.2f} of the medians"
    sys.stdout.write(f"{rows:,} rows  {ratios}; peak {int(peak.stdout):,} MiB\n")


if __name__ == "__main__":
    arguments = [int(argument) for argument in sys.argv[1:]]
    main(*(arguments + [1_000_000, 5][len(arguments) :]))
