"""Time of a whole check of a batch, against ``pandas.read_csv(dtype=str)`` on the same file.

    python tests/benchmarks/check_batch.py [ROWS ...]

Each run of ``python -m chemcheck check FILE --out DIR`` is a process of its own, timed from
its start to its end with every file it writes. Runs of pandas (in this process, after one
run to warm up, without the import) and of chemcheck take turns; the best times, the medians
and their ratios are printed for 100,000, 300,000 and 1,000,000 samples of 16 analytes, with
the peak memory of the largest process and the size of what it wrote. The processor time of
all threads is printed beside: on a machine that does other work too, its ratio wavers less.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from statistics import median

import pandas as pd
from batch_file import write_batch

PROJECT = Path(__file__).parents[2]
TURNS = 5
ROWS = (100_000, 300_000, 1_000_000)


@dataclass(frozen=True)
class Run:
    """Wall and processor time [s], and the peak memory [MiB] of a process of its own."""

    wall: float
    processor: float
    peak: float = 0.0


def check(path: Path, out: Path) -> Run:
    """Check a file in a process of its own."""
    shutil.rmtree(out, ignore_errors=True)
    command = [sys.executable, "-m", "chemcheck", "check", str(path), "--out", str(out)]
    start = time.perf_counter()
    with subprocess.Popen(
        command, cwd=PROJECT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        said = process.stderr.read().decode() if process.stderr else ""
    if process.returncode not in (0, 1):
        raise SystemExit(said)
    wall = time.perf_counter() - start
    return Run(wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def read(path: Path) -> Run:
    """Read the same file as text."""
    start, used = time.perf_counter(), time.process_time()
    pd.read_csv(path, dtype=str)
    return Run(time.perf_counter() - start, time.process_time() - used)


def compare(rows: int, folder: Path) -> None:
    """Print the figures for so many samples."""
    path, out = folder / f"batch_{rows}.csv", folder / "out"
    write_batch(path, rows)
    plain, ours = [], []
    for turn in range(TURNS + 1):
        reading, checking = read(path), check(path, out)
        if turn:
            plain.append(reading)
            ours.append(checking)
    written = sum(each.stat().st_size for each in out.iterdir())
    sys.stdout.write(f"{rows:,} rows, {written / 1e6:,.0f} MB written\n")
    for name, runs in (("read_csv", plain), ("check", ours)):
        walls = [run.wall for run in runs]
        used = min(run.processor for run in runs)
        sys.stdout.write(
            f"  {name:9} best {min(walls):6.3f} s  median {median(walls):6.3f} s"
            f"  processor {used:6.3f} s\n"
        )
    best, middle, used = (
        pick(run.wall if k < 2 else run.processor for run in ours)
        / pick(run.wall if k < 2 else run.processor for run in plain)
        for k, pick in enumerate((min, median, min))
    )
    peak = max(run.peak for run in ours)
    sys.stdout.write(
        f"  ratio     best {best:6.2f}    median {middle:6.2f}    processor {used:6.2f}"
        f"    peak {peak:,.0f} MiB\n"
    )
    path.unlink()


def main(sizes: list[int]) -> None:
    """Compare batches of these sizes."""
    with tempfile.TemporaryDirectory() as folder:
        for rows in sizes:
            compare(rows, Path(folder))


if __name__ == "__main__":
    main([int(argument) for argument in sys.argv[1:]] or list(ROWS))
