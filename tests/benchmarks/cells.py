"""Time the reading of a million distinct cell texts against pandas, in one run.

Run by hand: ``python tests/benchmarks/cells.py [ROUNDS]``. Plain numbers are compared with
``pandas.to_numeric`` on the same texts, dates with ``pandas.to_datetime`` (ISO), and a long
table of results with ``pandas.read_csv(dtype=str)`` of the same file. The least time of each
counts, and each round times every one of them once.
"""

import io
import sys
import time
from collections.abc import Callable

import numpy as np
import pandas as pd
import pyarrow as pa

from chemcheck.intake.cells import parse_cells
from chemcheck.intake.dates import parse_dates
from chemcheck.intake.decimal_mark import decimal_evidence
from chemcheck.intake.encoding import TextFile
from chemcheck.intake.format import find_format
from chemcheck.intake.table import read_table
from chemcheck.intake.wqx import read_wqx
from chemcheck.intake.wqx_columns import is_wqx_title

TEXTS = 1_000_000
ACTIVITIES = 40_000
CHARACTERISTICS = (
    ("pH", "None"),
    ("Chloride", "mg/l"),
    ("Sulfate", "mg/l"),
    ("Calcium", "mg/l"),
    ("Nitrate", "mg/l as N"),
    ("Nitrate", "mg/l asNO3"),
)


def long_table(random: np.random.Generator) -> bytes:
    """Return an invented table of the WQX result layout."""
    rows = ACTIVITIES * len(CHARACTERISTICS)
    place = np.arange(rows)
    names, units = (np.array(part) for part in zip(*CHARACTERISTICS, strict=True))
    below = random.random(rows) < 0.2
    table = pd.DataFrame(
        {
            "ActivityIdentifier": place // len(CHARACTERISTICS),
            "ActivityStartDate": "2031-04-01",
            "MonitoringLocationIdentifier": "S1",
            "ResultDetectionConditionText": np.where(below, "Not Detected", ""),
            "CharacteristicName": names[place % len(names)],
            "ResultMeasureValue": np.where(below, "", random.uniform(1, 9, rows).round(3)),
            "ResultMeasure/MeasureUnitCode": np.where(below, "", units[place % len(units)]),
            "DetectionQuantitationLimitMeasure/MeasureValue": np.where(below, "0.5", ""),
            "DetectionQuantitationLimitMeasure/MeasureUnitCode": np.where(
                below, units[place % len(units)], ""
            ),
        }
    )
    return table.to_csv(index=False).encode()


def read_long(data: bytes) -> None:
    """Read a table of the WQX result layout as intake does."""
    file = TextFile("long.csv", data, "UTF-8")
    read_wqx(read_table(file, find_format(file, is_wqx_title)))


def main(rounds: int) -> None:
    """Print each time, and its ratio to that of pandas."""
    random = np.random.default_rng(20310401)
    numbers = [f"{value:.6f}" for value in random.normal(100, 10, TEXTS)]
    start = np.datetime64("2000-01-01T00:00:00")
    moments = (start + np.arange(TEXTS) * np.timedelta64(777, "s")).astype(str)
    plain, comma, below, unit, dates = (
        pa.array(texts)
        for texts in (
            numbers,
            [text.replace(".", ",") for text in numbers],
            [f"<{text}" for text in numbers],
            [f"{text} ppm" for text in numbers],
            moments,
        )
    )
    series, moment_series = pd.Series(numbers), pd.Series(moments)
    long = long_table(random)
    to_numeric, to_datetime = "pandas.to_numeric", "pandas.to_datetime"
    read_csv = "pandas.read_csv(dtype=str)"
    runs: dict[str, tuple[Callable[[], object], str | None]] = {
        to_numeric: (lambda: pd.to_numeric(series), None),
        to_datetime: (lambda: pd.to_datetime(moment_series, format="ISO8601"), None),
        read_csv: (lambda: pd.read_csv(io.BytesIO(long), dtype=str), None),
        "decimal mark": (lambda: decimal_evidence({"x": plain}), to_numeric),
        "plain numbers": (lambda: parse_cells(plain, "."), to_numeric),
        "decimal comma": (lambda: parse_cells(comma, ","), to_numeric),
        "non-detects": (lambda: parse_cells(below, "."), to_numeric),
        "number and unit": (lambda: parse_cells(unit, "."), to_numeric),
        "dates": (lambda: parse_dates(dates), to_datetime),
        "WQX results": (lambda: read_long(long), read_csv),
    }
    least = dict.fromkeys(runs, float("inf"))
    for _ in range(rounds):
        for name, (run, _) in runs.items():
            begin = time.perf_counter()
            run()
            least[name] = min(least[name], time.perf_counter() - begin)
    lines = [f"{TEXTS:,} distinct texts; {long.count(10) - 1:,} WQX results"]
    for name, (_, against) in runs.items():
        ratio = f"  ratio {least[name] / least[against]:5.2f} to {against}" if against else ""
        lines.append(f"{name:27} {least[name]:6.3f} s{ratio}")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
