"""Time of a whole check of a batch, against ``pandas.read_csv(dtype=str)`` on the same file.

    python tests/benchmarks/check_batch.py [ROWS ...]

Each run of ``python -m chemcheck check FILE --out DIR`` is a process of its own, timed from
its start to its end with every file it writes. Runs of pandas (in this process, after one
run to warm up, without the import) and of chemcheck take turns; the best times, the medians
and their ratios are printed for 100,000, 300,000 and 1,000,000 samples of 16 analytes, with
the peak memory of the largest process and the size of what it wrote.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import pandas as pd
from batch_file import write_batch

PROJECT = Path(__file__).parents[2]
TURNS = 3
ROWS = (100_000, 300_000, 1_000_000)


def check(path: Path, out: Path) -> int:
    """Check a file in a process of its own; return its peak memory [KiB]."""
    shutil.rmtree(out, ignore_errors=True)
    command = [sys.executable, "-m", "chemcheck", "check", str(path), "--out", str(out)]
    with subprocess.Popen(
        command, cwd=PROJECT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        said = process.stderr.read().decode() if process.stderr else ""
    if process.returncode not in (0, 1):
        raise SystemExit(said)
    return used.ru_maxrss


def timed(job: Callable[[], object]) -> float:
    """Return how long a job takes [s]."""
    start = time.perf_counter()
    job()
    return time.perf_counter() - start


def compare(rows: int, folder: Path) -> None:
    """Print the figures for so many samples."""
    path, out = folder / f"batch_{rows}.csv", folder / "out"
    write_batch(path, rows)
    plain, ours, peak = [], [], []
    for turn in range(TURNS + 1):
        reading = timed(lambda: pd.read_csv(path, dtype=str))
        checking = timed(lambda: peak.append(check(path, out)))
        if turn:
            plain.append(reading)
            ours.append(checking)
    written = sum(each.stat().st_size for each in out.iterdir())
    sys.stdout.write(
        f"{rows:>9,} rows  read_csv best {min(plain):.3f} s, median {median(plain):.3f} s;"
        f"  check best {min(ours):.3f} s, median {median(ours):.3f} s\n"
        f"{'':>9}       ratio {min(ours) / min(plain):.2f} of the best,"
        f" {median(ours) / median(plain):.2f} of the medians;"
        f"  peak {max(peak) / 1024:,.0f} MiB, written {written / 1e6:,.0f} MB\n"
    )
    path.unlink()


def main(sizes: list[int]) -> None:
    """Compare batches of these sizes."""
    with tempfile.TemporaryDirectory() as folder:
        for rows in sizes:
            compare(rows, Path(folder))


if __name__ == "__main__":
    main([int(argument) for argument in sys.argv[1:]] or list(ROWS))
