"""Time and memory of `water` on a batch of waters, beside `check` on the same file.

    python tests/benchmarks/water_batch.py [ROWS ...]

Each run is a process of its own that reads one CSV file and writes its folder of files; the
waters are invented, with a fixed seed. Two kinds of file: exact (a temperature stands in it), and
without temperatures, so that every figure is an interval. `check` shows what the table itself
takes. Beyond it `water` keeps the numbers of every water's blend; the figures are reckoned and
written a stretch at a time, and add nothing that grows with the rows.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.csv as pc

PROJECT = Path(__file__).parents[2]
ROWS = (100_000, 1_000_000)
SEED = 20250611


@dataclass(frozen=True)
class Run:
    """Wall and processor time [s], and the peak memory [MiB] of a process of its own."""

    wall: float
    processor: float
    peak: float


def write_waters(path: Path, rows: int, temperatures: bool) -> None:
    """Write invented waters whose charges balance: sodium takes up the difference."""
    rng = np.random.default_rng(SEED)
    calcium, magnesium = rng.uniform(10, 120, rows), rng.uniform(1, 25, rows)
    potassium, sulfate = rng.uniform(0.5, 6, rows), rng.uniform(5, 60, rows)
    alkalinity = 50.0 * (calcium / 20.04 + magnesium / 12.15) * rng.uniform(0.5, 0.8, rows)
    cations = calcium / 20.04 + magnesium / 12.15 + potassium / 39.1
    chloride = 35.45 * np.maximum(cations - alkalinity / 50.04 - sulfate / 48.03, 0.0)
    chloride += rng.uniform(5, 40, rows)
    sodium = 22.99 * (chloride / 35.45 + sulfate / 48.03 + alkalinity / 50.04 - cations)
    columns = {
        "Sample No": np.char.add("W", np.arange(rows).astype(str)),
        "pH": rng.uniform(6.8, 8.2, rows).round(2),
        "Total hardness (mg/L as CaCO3)": (2.4973 * calcium + 4.1179 * magnesium).round(1),
        "Total alkalinity (mg/L as CaCO3)": alkalinity.round(1),
        "Calcium (mg/L)": calcium.round(1),
        "Magnesium (mg/L)": magnesium.round(2),
        "Sodium (mg/L)": np.maximum(sodium, 0.1).round(1),
        "Potassium (mg/L)": potassium.round(2),
        "Chloride (mg/L)": chloride.round(1),
        "Sulfate (mg/L)": sulfate.round(1),
    }
    if temperatures:
        columns["Water temperature (C)"] = rng.uniform(5, 25, rows).round(1)
    pc.write_csv(pa.table(columns), path)


def run(command: str, path: Path, out: Path) -> Run:
    """Run a command in a process of its own."""
    shutil.rmtree(out, ignore_errors=True)
    arguments = [sys.executable, "-m", "chemcheck", command, str(path), "--out", str(out)]
    if command == "check":
        arguments += ["--material", "water"]
    start = time.perf_counter()
    with subprocess.Popen(
        arguments, cwd=PROJECT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        said = process.stderr.read().decode() if process.stderr else ""
    if process.returncode not in (0, 1):
        raise SystemExit(said)
    wall = time.perf_counter() - start
    return Run(wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def main(sizes: list[int]) -> None:
    """Print the figures of batches of these sizes."""
    with tempfile.TemporaryDirectory() as folder:
        path, out = Path(folder) / "waters.csv", Path(folder) / "out"
        for temperatures in (True, False):
            kind = "exact" if temperatures else "without temperatures"
            for rows in sizes:
                write_waters(path, rows, temperatures)
                plain, whole = run("check", path, out), run("water", path, out)
                written = sum(each.stat().st_size for each in out.iterdir())
                sys.stdout.write(
                    f"{rows:9,} waters, {kind:20}  water {whole.wall:6.1f} s "
                    f"({1e6 * whole.wall / rows:5.1f} us each), processor "
                    f"{whole.processor:6.1f} s, peak {whole.peak:6,.0f} MiB, "
                    f"{written / 1e6:6,.0f} MB written; check {plain.wall:5.1f} s, peak "
                    f"{plain.peak:6,.0f} MiB; beyond the table {whole.peak - plain.peak:+5,.0f} "
                    "MiB\n"
                )
                sys.stdout.flush()


if __name__ == "__main__":
    main([int(argument) for argument in sys.argv[1:]] or list(ROWS))
