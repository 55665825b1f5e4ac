"""Raised causes of every sample as a CSV file, written stretch by stretch."""

from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.csv

from chemcheck.assessment.record import Assessment
from chemcheck.causes import Causes
from chemcheck.causes.ranking import Ranking
from chemcheck.causes.record import MOST_LISTED
from chemcheck.reports.spreadsheet_safe import without_formulas

CAUSE_COLUMNS = (
    "file",
    "row",
    "sample_id",
    "unit_id",
    "rank",
    "cause",
    "title",
    "weight_of_evidence",
    "confirm_by",
    "source",
    "evidence",
)
_FROM_INPUT = ("file", "sample_id", "unit_id")


def write_causes_csv(assessment: Assessment, folder: Path) -> None:
    """Write causes.csv: a row for every raised cause of every sample, the likeliest first.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    folder : Path
        Where to write.

    Notes
    -----
    Nothing is written without coolant, nor above `MOST_LISTED` samples, so that a large
    batch is judged as fast as it is read: JSON and pages weigh the causes of what they show.
    Text from the input cannot become a formula.
    """
    causes = assessment.causes
    n = len(assessment.readings.samples)
    if causes is None or n > MOST_LISTED:
        return
    schema = pa.schema([(name, _type_of(name)) for name in CAUSE_COLUMNS])
    # Older releases of the writer quote every name of a header, whatever is asked.
    plain = pyarrow.csv.WriteOptions(include_header=False, quoting_style="needed")
    with (
        (folder / "causes.csv").open("wb") as file,
        pyarrow.csv.CSVWriter(file, schema, write_options=plain) as writer,
    ):
        file.write(f"{','.join(CAUSE_COLUMNS)}\n".encode())
        for rows, ranking in causes.rankings():
            writer.write_table(_table(causes, assessment.readings.samples, rows, ranking, schema))


def _type_of(name: str) -> pa.DataType:
    if name in ("row", "rank"):
        return pa.int64()
    return pa.float64() if name == "weight_of_evidence" else pa.large_string()


def _table(
    causes: Causes, samples: pd.DataFrame, rows: slice, ranking: Ranking, schema: pa.Schema
) -> pa.Table:
    """Return the raised causes of a stretch, sample by sample."""
    sample = np.repeat(np.arange(ranking.raised.size), ranking.raised)
    first = np.cumsum(ranking.raised) - ranking.raised
    place = np.arange(sample.size) - first[sample]
    cause = ranking.order[place, sample].astype(np.int64)
    weight = np.round(ranking.weight[cause, sample].astype(np.float64), 2)
    at = sample + rows.start
    known = causes.plan.causes
    columns: dict[str, pa.Array] = {
        name: without_formulas(
            pa.array(samples[name].iloc[at].astype("str"), pa.large_string(), from_pandas=True)
        )
        for name in _FROM_INPUT
    }
    columns["row"] = pa.array(samples["row"].to_numpy(dtype=np.int64)[at])
    columns["rank"] = pa.array(place + 1)
    columns["weight_of_evidence"] = pa.array(weight)
    for name in ("title", "confirm_by", "source", "evidence"):
        texts = pa.array([getattr(one, name) for one in known], pa.large_string())
        columns[name] = texts.take(pa.array(cause))
    columns["cause"] = pa.array([one.key for one in known], pa.large_string()).take(pa.array(cause))
    return pa.table([columns[name] for name in CAUSE_COLUMNS], schema=schema)
