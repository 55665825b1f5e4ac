"""How much of each water may stay in a blend with deionised water, as a CSV file."""

from typing import BinaryIO

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.csv

from chemcheck.assessment.water import WaterAssessment
from chemcheck.judging.record import VERDICT_NAMES
from chemcheck.reports.in_use_csv import in_use_table
from chemcheck.reports.spreadsheet_safe import without_formulas
from chemcheck.reports.text_pieces import rounded

DIGITS = 6


def write_blend_csv(water: WaterAssessment, file: BinaryIO) -> None:
    """Write a row for every water: verdict, share of tap water, what controls, the blend.

    What a softener would do, scale and deionised rinses stand behind them.

    Parameters
    ----------
    water : WaterAssessment
        What was found.
    file : binary file
        Open for writing.

    Notes
    -----
    Shares are fractions. A field is empty where there is nothing to say: no share meets
    every bound, an essential was not read, or the reading is open.
    """
    samples = water.assessment.readings.samples
    in_use = in_use_table(water.in_use, len(samples))
    table = pd.concat([blend_table(water), in_use], axis=1)
    columns: dict[str, pa.Array] = {}
    for name in ("file", "sample_id", "unit_id"):
        columns[name] = without_formulas(pa.array(samples[name].astype("str"), pa.large_string()))
    columns["row"] = pa.array(samples["row"].to_numpy(dtype=np.int64))
    for name in map(str, table.columns):
        if not pd.api.types.is_numeric_dtype(table[name]):
            texts = table[name].to_numpy(dtype=object)
            columns[name] = pa.array(texts, pa.large_string(), from_pandas=True)
        else:
            values = rounded(table[name].to_numpy(dtype=np.float64), DIGITS)
            columns[name] = pa.array(values, from_pandas=True)
    order = ["file", "row", "sample_id", "unit_id", *map(str, table.columns)]
    pyarrow.csv.write_csv(
        pa.table({name: columns[name] for name in order}),
        file,
        pyarrow.csv.WriteOptions(quoting_style="needed"),
    )


def blend_table(water: WaterAssessment) -> pd.DataFrame:
    """Return the shares and blends of all waters.

    Parameters
    ----------
    water : WaterAssessment
        What was found.

    Returns
    -------
    DataFrame, n_samples rows
        ``verdict``, ``tap_share_min``, ``tap_share_max``, ``tap_share_max_with_uncertainty``
        [1], ``controlled_by`` (an analyte or rule), ``blended_<analyte>`` (the upper end)
        [canonical unit].
    """
    judged = water.assessment.headline
    n = judged.verdict.size
    table = pd.DataFrame({"verdict": np.array(VERDICT_NAMES, dtype=object)[judged.verdict]})
    shares = np.full((3, n), np.nan)
    control = np.full(n, None, dtype=object)
    blended: dict[str, np.ndarray] = {}
    for part in water.blends:
        known = part.blend.known
        share = part.blend.share
        for row, values in enumerate(
            (share.smallest, share.largest, part.largest_with_uncertainty)
        ):
            shares[row, part.rows] = np.where(known, values, np.nan)
        names = np.array([*(bound.key for bound in part.blend.bounds), None], dtype=object)
        control[part.rows] = names[share.largest_by]
        for place, key in enumerate(part.blend.analytes):
            column = blended.setdefault(f"blended_{key}", np.full(n, np.nan))
            values = np.where(known, part.blend.upper[:, place], np.nan)
            column[part.rows] = np.where(np.isfinite(values), values, np.nan)
    table["tap_share_min"], table["tap_share_max"] = shares[0], shares[1]
    table["tap_share_max_with_uncertainty"] = shares[2]
    table["controlled_by"] = control
    return pd.concat([table, pd.DataFrame(blended)], axis=1)
