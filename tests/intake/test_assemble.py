"""Several files as one set of readings."""

import numpy as np
import pandas as pd
import pyarrow as pa
import pytest

from chemcheck.intake.assemble import FileResults, assemble
from chemcheck.intake.set_aside import ColumnLine, FileLines, Lines
from chemcheck.readings.record import (
    ABSENT,
    ASSUMPTION_COLUMNS,
    DUPLICATE_COLUMNS,
    PROBLEM_COLUMNS,
    QUESTION_COLUMNS,
    READ,
    REJECTED,
    SAMPLE_COLUMNS,
    Coded,
    ReadingColumn,
)

TEXT = ("sample_id", "unit_id", "material", "technology", "glycol_type", "sampling_point")


def results(name: str, numbers: list, columns: dict, lines=None, **more) -> FileResults:
    n = len(numbers)
    samples = pd.DataFrame({key: pd.Series([None] * n, dtype="str") for key in TEXT})
    samples["sample_id"] = pd.Series(numbers, dtype="str")
    samples["row"] = np.arange(2, n + 2)
    samples["taken_on"] = pd.Series(pd.NaT, index=range(n), dtype="datetime64[us]")
    samples["sample_type"] = pd.Series(["routine"] * n, dtype="str")
    for axis in ("hours", "distance", "days"):
        samples[axis] = np.nan
    for title in more.pop("free", ()):
        samples[title] = pd.Series(["x"] * n, dtype="str")
    array = np.array(list(columns.values()), dtype=float).T.copy(order="F")
    status = np.where(np.isnan(array), REJECTED, READ).astype(np.int8, order="F")
    measured = tuple(ReadingColumn(analyte) for analyte in columns)
    return FileResults(
        name,
        "wide",
        "",
        n,
        samples,
        measured,
        array,
        array,
        status,
        lines=lines or FileLines(),
        **more,
    )


def test_one_file_is_not_copied():
    file = results("a.csv", ["A", "B"], {"ph": [7, 8], "chloride": [1, 2]})
    readings = assemble([file])
    assert readings.lower is file.lower
    assert readings.shared_factor.tolist() == [[1, 1], [1, 1]]
    assert readings.method.codes.tolist() == [[-1, -1], [-1, -1]]
    assert list(readings.samples) == list(SAMPLE_COLUMNS)
    assert readings.samples["file"].tolist() == ["a.csv", "a.csv"]


def test_empty_tables_keep_their_columns():
    readings = assemble([results("a.csv", ["A"], {"ph": [7]})])
    for name, columns in (
        ("rejected", PROBLEM_COLUMNS),
        ("questions", QUESTION_COLUMNS),
        ("duplicates", DUPLICATE_COLUMNS),
        ("assumptions", ASSUMPTION_COLUMNS),
    ):
        table = getattr(readings, name)
        assert (tuple(table.columns), len(table)) == (columns, 0)


def test_files_with_other_columns():
    strip = Coded(np.zeros((1, 2), np.int16), ("strip",))
    factor = np.full((1, 2), 1.07, np.float32)
    first = results("a.csv", ["A", "B"], {"ph": [7, 8]}, free=["Note"])
    second = results("b.csv", ["C"], {"iron": [5], "ph": [9]}, method=strip, shared_factor=factor)
    readings = assemble([first, second])
    assert readings.columns == (ReadingColumn("ph"), ReadingColumn("iron"))
    np.testing.assert_equal(readings.lower, [[7, np.nan], [8, np.nan], [9, 5]])
    assert readings.status[:, 1].tolist() == [ABSENT, ABSENT, READ]
    assert readings.lower.flags.f_contiguous
    assert readings.method.codes.tolist() == [[-1, -1], [-1, -1], [0, 0]]
    np.testing.assert_allclose(readings.shared_factor[2], 1.07, rtol=1e-6)
    assert readings.shared_factor[:2].tolist() == [[1, 1], [1, 1]]
    assert readings.samples["Note"].tolist()[:2] == ["x", "x"]
    assert pd.isna(readings.samples["Note"].iloc[2])


def test_a_sample_in_two_files_is_kept_once():
    files = [results(name, ["A", "B"], {"ph": [7, 8]}) for name in ("a.csv", "b.csv")]
    files[1].lower[1, 0] = 9
    readings = assemble(files)
    assert readings.duplicates.values.tolist() == [["b.csv", 2, "A", 2, "a.csv"]]
    assert readings.samples["sample_id"].tolist() == ["A"]
    assert readings.rejected[["file", "row", "text", "problem", "cells"]].values.tolist() == [
        [file, 3, "B", f"other results of the same sample and date in {other}; neither is used", 0]
        for file, other in (("a.csv", "b.csv, row 3"), ("b.csv", "a.csv, row 3"))
    ]
    for file in readings.files:
        assert file.rows_read == 2
    assert [file.rejected_rows for file in readings.files] == [1, 1]


@pytest.mark.parametrize("spread", ["row", "column", "full"])
def test_dropped_rows_leave_everything(spread):
    codes = np.array([[0, 0], [1, 1], [0, 0]], np.int16)
    if spread == "column":
        codes = np.broadcast_to(np.array([[0, 1]], np.int16), (3, 2))
    elif spread == "row":
        codes = np.broadcast_to(codes[:, :1], (3, 2))
    lines = FileLines(
        cells=[
            Lines(
                "iron",
                np.array([2, 4]),
                pa.array(["a", "b"]),
                pa.array(["?", "?"]),
                np.array([0, 2]),
            )
        ],
        columns=[ColumnLine("iron", np.array([0, 2]), "", "open")],
    )
    file = results(
        "a.csv",
        ["A", "B", "A"],
        {"ph": [7, 8, 7], "iron": [np.nan, 1, np.nan]},
        lines,
        method=Coded(codes, ("x", "y")),
    )
    readings = assemble([file])
    assert readings.samples.index.tolist() == [0, 1]
    assert readings.method.codes.tolist() == codes[:2].tolist()
    assert readings.rejected[["row", "cells"]].fillna(0).values.tolist() == [[0, 1], [2, 1]]
    assert (readings.status == REJECTED).sum() == 1
