"""What was found of waters as one JSON document: a check's, and the blend of each water."""

from collections.abc import Iterator
from dataclasses import asdict
from threading import Lock
from typing import BinaryIO

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.water import WaterAssessment
from chemcheck.assessment.water_ends import SOLIDS
from chemcheck.chemistry.dissolved_solids import NATURAL_WATER_FACTOR
from chemcheck.judging.potential_uncertainty import potential_uncertainty
from chemcheck.judging.water_figures import water_figures
from chemcheck.reports.blend_csv import blend_table
from chemcheck.reports.blend_ph_words import blend_ph_writer
from chemcheck.reports.check_json import Further, write_check_json
from chemcheck.reports.figures_json import figure_pieces
from chemcheck.reports.in_use_json import in_use_writer
from chemcheck.reports.json_text import json_value
from chemcheck.reports.source_outlook import source_records
from chemcheck.reports.text_pieces import Pieces, joined_rows, numbers, of_texts

WATER_SCHEMA = "chemcheck/water/1"
SHARES = ("tap_share_min", "tap_share_max", "tap_share_max_with_uncertainty")


def write_water_json(water: WaterAssessment, file: BinaryIO) -> None:
    """Write all that was found of waters as JSON.

    Parameters
    ----------
    water : WaterAssessment
        What was found.
    file : binary file
        Open for writing.

    Notes
    -----
    A sample has what a sample of a check has, and besides ``indices`` by temperature of the
    water closed from sampling on and ``vented`` of the water open to air, ``larson_skold``,
    ``chloride_sulfate_ratio``, ``aggressive_index``, ``charge_balance_percent``, each a number,
    an interval or null, and ``blend``: the shares of tap
    water [1], the analyte or rule that controls the largest, and what the blend at the
    largest holds; null where no share can be promised. Its ``ph`` is that of the carbonate
    equilibrium, closed and open to air. ``estimates`` are dissolved solids
    by conductivity where none were read; they count for the blend, not for the verdict.
    ``sources`` says of each source with several samples what the next one stays below with
    a chance of 90 %.
    """
    write_check_json(
        water.assessment,
        file,
        schema=WATER_SCHEMA,
        questions=water.questions,
        head={
            "deionised_water": [asdict(value) for value in water.deionised],
            "sources": source_records(water.outlook),
            "source_blends": source_records(water.source_blends),
        },
        further=_further(water),
    )


def _further(water: WaterAssessment) -> Further:
    """Return what writes the blends of a stretch of waters."""
    table = blend_table(water)
    control = pd.Categorical(table["controlled_by"])
    names = [json_value(name) for name in control.categories]
    lower, upper = _blended(water)
    estimated = water.estimated_solids
    unit = analyte_of(SOLIDS).unit
    origin = f"conductivity times {NATURAL_WATER_FACTOR.lower} to {NATURAL_WATER_FACTOR.upper}"
    readings = water.assessment.readings
    in_use = in_use_writer(water.in_use, len(readings.samples))
    blend_ph = blend_ph_writer(water)
    reckoning = Lock()  # the chemistry's filter of warnings is one for all threads
    tail = json_value({"unit": unit, "from": origin, "evidence": NATURAL_WATER_FACTOR.evidence})

    def of(rows: slice) -> pa.LargeStringArray:
        size = rows.stop - rows.start
        pieces = [_same(', "blend": {', size)]
        for name in SHARES:
            pieces += [
                _same(f'"{name}": ', size),
                numbers(table[name].to_numpy()[rows], "null", ", "),
            ]
        pieces += [
            _same('"controlled_by": ', size),
            of_texts([*names, "null"], control.codes[rows]),
            _same(', "blended": {', size),
            *_amounts(lower, upper, rows),
            _same("}", size),
        ]
        at = np.arange(rows.start, rows.stop)
        with reckoning:
            pieces += blend_ph(rows)
            figures = water_figures(
                readings, at, water.temperatures, vented=True, others=True, search=water.searched
            )
            uncertainty = potential_uncertainty(
                readings,
                water.assessment.headline.uncertainty,
                at,
                figures.analysis,
                water.temperatures,
            )
        pieces += [
            _same('}, "estimates": {', size),
            *_solids(estimated.lower[rows], estimated.upper[rows], tail[1:]),
            _same("}", size),
        ]
        return joined_rows([*pieces, *figure_pieces(figures, uncertainty), *in_use(rows, figures)])

    return of


def _blended(
    water: WaterAssessment,
) -> tuple[dict[str, npt.NDArray[np.float64]], dict[str, npt.NDArray[np.float64]]]:
    """Return the ends of what each blend holds, by analyte, for all samples."""
    n = water.assessment.headline.verdict.size
    ends: tuple[dict[str, npt.NDArray[np.float64]], ...] = ({}, {})
    for part in water.blends:
        for found, values in zip(ends, (part.blend.lower, part.blend.upper), strict=True):
            for place, key in enumerate(part.blend.analytes):
                column = found.setdefault(key, np.full(n, np.nan))
                column[part.rows] = np.where(part.blend.known, values[:, place], np.nan)
    return ends[0], ends[1]


def _amounts(
    lower: dict[str, npt.NDArray[np.float64]],
    upper: dict[str, npt.NDArray[np.float64]],
    rows: slice,
) -> Iterator[Pieces]:
    size = rows.stop - rows.start
    for place, key in enumerate(lower):
        comma = ", " if place else ""
        yield _same(f'{comma}"{key}": {{"lower": ', size)
        yield numbers(lower[key][rows], "null", ', "upper": ')
        yield numbers(upper[key][rows], "null", f', "unit": {json_value(analyte_of(key).unit)}}}')


def _solids(
    lower: npt.NDArray[np.float64], upper: npt.NDArray[np.float64], tail: str
) -> Iterator[Pieces]:
    """Write the estimate of dissolved solids, and nothing where there is none."""
    none = np.isnan(lower).astype(np.intp)
    yield of_texts([f'"{SOLIDS}": {{"lower": ', ""], none)
    yield numbers(lower, "", "")
    yield of_texts([', "upper": ', ""], none)
    yield _or_null(upper, none)
    yield of_texts([f", {tail}", ""], none)


def _or_null(values: npt.NDArray[np.float64], none: npt.NDArray[np.intp]) -> Pieces:
    """Write numbers, null for an open end, and nothing where there is no estimate."""
    written = numbers(values, "null", "")
    table = pa.concat_arrays([written.table, pa.array([""], pa.large_string())])
    return Pieces(table, np.where(none == 1, len(table) - 1, written.code))


def _same(text: str, size: int) -> Pieces:
    return of_texts([text], np.zeros(size, dtype=np.intp))
