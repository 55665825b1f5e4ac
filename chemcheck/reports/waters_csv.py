"""Scale and corrosion figures of every water as a CSV file, written stretch by stretch."""

from collections.abc import Iterator
from threading import Lock
from typing import BinaryIO

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.csv

from chemcheck.assessment.water import WaterAssessment
from chemcheck.chemistry.intervals import Range
from chemcheck.judging.record import VERDICT_NAMES
from chemcheck.judging.water_cross_checks import Interval
from chemcheck.judging.water_figures import (
    INDEX_FIGURES,
    WaterFigures,
    water_figures,
)
from chemcheck.reports.check_rows import in_order
from chemcheck.reports.spreadsheet_safe import without_formulas
from chemcheck.reports.text_pieces import rounded

DIGITS = 6
# Of the water open to air, the other bound to the closed one.
VENTED = ("ph", "calcite_si", "ccpp_mg_per_kg")
_NAMES = ("file", "sample_id", "unit_id")


def write_waters_csv(water: WaterAssessment, file: BinaryIO) -> None:
    """Write a row for every water: its verdict, and both ends of its figures.

    Parameters
    ----------
    water : WaterAssessment
        What was found.
    file : binary file
        Open for writing.

    Notes
    -----
    ``calcite_si_60_lower`` is the lower end of the saturation index of calcite at 60 deg C;
    both ends are equal where the readings are exact, and an end is empty where it is open or
    there is no figure. ``why_empty`` says why a water has none. Memory does not grow with the
    number of waters.
    """
    assessment = water.assessment
    n = assessment.headline.verdict.size
    reckoning = Lock()  # the chemistry's filter of warnings is one for all threads

    def of(rows: slice) -> pa.Table:
        with reckoning:
            figures = water_figures(
                assessment.readings,
                np.arange(rows.start, rows.stop),
                water.temperatures,
                vented=True,
                search=water.searched,
            )
        return pa.table({**_samples(water, rows), **dict(_columns(figures))})

    with pyarrow.csv.CSVWriter(
        file,
        of(slice(0, 0)).schema,
        write_options=pyarrow.csv.WriteOptions(quoting_style="needed"),
    ) as writer:
        for table in in_order(of, slice(0, n)):
            writer.write_table(table)


def _samples(water: WaterAssessment, rows: slice) -> dict[str, pa.Array]:
    """Say which waters these are, and what was found of them."""
    samples = water.assessment.readings.samples.iloc[rows]
    columns: dict[str, pa.Array] = {}
    for name in ("file", "row", "sample_id", "unit_id"):
        if name in _NAMES:
            texts = pa.array(samples[name].astype("str"), pa.large_string())
            columns[name] = without_formulas(
                texts.combine_chunks() if isinstance(texts, pa.ChunkedArray) else texts
            )
        else:
            columns[name] = pa.array(samples[name].to_numpy(dtype=np.int64))
    verdicts = np.array(VERDICT_NAMES, dtype=object)[water.assessment.headline.verdict[rows]]
    return {**columns, "verdict": pa.array(verdicts, pa.large_string())}


def _columns(figures: WaterFigures) -> Iterator[tuple[str, pa.Array]]:
    """Return the columns of figures by name."""
    yield "why_empty", pa.array(figures.why_none().tolist(), pa.large_string())
    for name, ends in (
        ("larson_skold", figures.larson_skold),
        ("chloride_sulfate_ratio", figures.chloride_sulfate_ratio),
        ("aggressive_index", figures.aggressive_index),
        ("charge_balance_percent", figures.charge_balance),
    ):
        yield from _ends(name, ends)
    for one in figures.temperatures:
        for key in INDEX_FIGURES:
            yield from _ends(f"{key}_{one.label}", figures.closed[one.label][key])
    if figures.vented is not None:
        for one in figures.temperatures:
            for key in VENTED:
                yield from _ends(f"vented_{key}_{one.label}", figures.vented[one.label][key])


def _ends(name: str, ends: Range | Interval) -> Iterator[tuple[str, pa.Array]]:
    for end, values in (("lower", ends.lower), ("upper", ends.upper)):
        yield f"{name}_{end}", _numbers(values)


def _numbers(values: npt.NDArray[np.float64]) -> pa.Array:
    """Return numbers without digits that nobody knows, empty where there is none."""
    finite = np.isfinite(values)
    return pa.array(rounded(np.where(finite, values, 0.0), DIGITS), mask=~finite)
