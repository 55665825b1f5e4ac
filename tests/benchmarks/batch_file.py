"""Write an invented batch of results of in-service coolant, as wide CSV.

Every number is made up, with a fixed seed. Each of the 16 analytes has bounds in the
limits for heavy-duty coolant with supplemental additive (that of reserve alkalinity is a
fraction of the fresh fill), so that nearly every cell is judged. One cell in twenty is
blank, ions, metals and degradation acids hold non-detects, and about one result in ten lies
outside its bounds.

    python tests/benchmarks/batch_file.py 1000000 batch.csv
"""

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.csv as pc

SEED = 20250403
BLANK = 0.05
NOT_DETECTED = 0.2
OUTSIDE = 0.1


@dataclass(frozen=True)
class Made:
    """How one analyte is made up.

    ``low`` to ``high`` holds the results that are inside, ``beyond`` to ``far`` those
    outside; results have ``decimals`` decimals; ``detection`` is the reporting limit.
    """

    header: str
    low: float
    high: float
    beyond: float
    far: float
    decimals: int
    detection: float | None = None


ANALYTES = (
    Made("pH", 8.6, 10.4, 6.2, 7.4, 2),
    Made("Glycol (vol%)", 42, 58, 18, 29, 1),
    Made("Reserve alkalinity (mL)", 5, 10, 0.6, 2, 1),
    Made("Nitrite (mg/L)", 1000, 2300, 100, 480, 0),
    Made("Ammonium (mg/L)", 0.5, 9, 55, 90, 1, 0.5),
    Made("Silicon (mg/L)", 30, 120, 300, 480, 0),
    Made("Chloride (mg/L)", 2, 38, 120, 300, 1, 0.5),
    Made("Sulfate (mg/L)", 5, 90, 520, 900, 1, 1),
    Made("Total hardness (mg/L as CaCO3)", 3, 38, 180, 400, 1, 1),
    Made("Glycolate (mg/L)", 5, 400, 2100, 4000, 0, 5),
    Made("Iron (mg/L)", 0.5, 9, 32, 80, 1, 0.5),
    Made("Copper (mg/L)", 0.5, 4.5, 12, 40, 1, 0.5),
    Made("Aluminium (mg/L)", 0.5, 4.5, 16, 40, 1, 0.5),
    Made("Lead (mg/L)", 0.5, 9, 32, 80, 1, 0.5),
    Made("Zinc (mg/L)", 0.5, 4.5, 12, 40, 1, 0.5),
    Made("Tin (mg/L)", 0.5, 4.5, 12, 40, 1, 0.5),
)


def _cells(made: Made, rows: int, rng: np.random.Generator) -> pa.DictionaryArray:
    """Make one column: each distinct text once, and which of them each row has."""
    step = 10**made.decimals
    inside = rng.uniform(made.low, made.high, rows)
    outside = rng.uniform(made.beyond, made.far, rows)
    value = np.where(rng.random(rows) < OUTSIDE, outside, inside)
    whole = np.rint(value * step).astype(np.int32)
    distinct, codes = np.unique(whole, return_inverse=True)
    texts = [f"{number / step:.{made.decimals}f}" for number in distinct]
    texts += ["", f"<{made.detection:g}" if made.detection else ""]
    codes = codes.astype(np.int32)
    if made.detection:
        codes[rng.random(rows) < NOT_DETECTED] = len(texts) - 1
    codes[rng.random(rows) < BLANK] = len(texts) - 2
    return pa.DictionaryArray.from_arrays(codes, texts)


def _numbered(prefix: str, numbers: npt.NDArray[np.int64], width: int) -> pa.Array:
    """Write identifiers such as S0000042."""
    digits = pa.compute.utf8_lpad(pa.array(numbers).cast(pa.string()), width, "0")
    return pa.compute.binary_join_element_wise(prefix, digits, "")


def write_batch(path: Path, rows: int, seed: int = SEED) -> None:
    """Write ``rows`` samples to ``path``."""
    rng = np.random.default_rng(seed)
    units = rng.integers(0, max(rows // 8, 1), rows)
    days = np.datetime64("2023-01-01") + rng.integers(0, 730, rows)
    technology = pa.array(["heavy duty with supplemental additive"])
    columns = {
        "Sample No": _numbered("S", np.arange(rows), 7),
        "Unit ID": _numbered("U", units, 6),
        "Date Sampled": pa.array(days.astype("datetime64[D]")).cast(pa.string()),
        "Hours": pa.array(rng.integers(50, 20000, rows)).cast(pa.string()),
        "Technology": pa.DictionaryArray.from_arrays(np.zeros(rows, np.int32), technology),
    }
    columns |= {made.header: _cells(made, rows, rng) for made in ANALYTES}
    table = pa.table(
        {
            name: column.cast(pa.string()) if pa.types.is_dictionary(column.type) else column
            for name, column in columns.items()
        }
    )
    pc.write_csv(table, path, pc.WriteOptions(quoting_style="none", quoting_header="needed"))


if __name__ == "__main__":
    write_batch(Path(sys.argv[2]), int(sys.argv[1]))
