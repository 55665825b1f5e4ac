"""Wide files: every row and every cell is accounted for, whatever stands in it."""

import csv
import io
import tracemalloc
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chemcheck.intake.read import read_results
from chemcheck.readings.record import BLANK, READ, REJECTED, SAMPLE_COLUMNS, Readings

TITLES = ("pH", "Chloride (mg/L)", "Fe dissolved mg/L", "Hardness (dH)", "Cl mg/L", "RA (mL)")
# What becomes of a cell below any of these titles, in a file with decimal points.
CELLS = {
    "7.1": READ,
    "8": READ,
    "<0.5": READ,
    "> 3": READ,
    "2 - 5": READ,
    "7.1 ": READ,
    "７": READ,  # a full-width digit
    "": BLANK,
    "  ": BLANK,
    "n/a": BLANK,
    "-": BLANK,
    "ND": REJECTED,
    "purple": REJECTED,
    "-3": REJECTED,
    "1e400": REJECTED,
    "#REF!": REJECTED,
    "5 psi": REJECTED,
    "two\nlines": REJECTED,
    'a "b", c': REJECTED,
}
SHAPES = ("row", "row", "row", "row", "blank", "empty", "cut", "long", "header", "again")

cells = st.sampled_from(sorted(CELLS))
rows = st.tuples(
    st.sampled_from(SHAPES),
    st.sampled_from(["A", "B", "C", "D", "E", ""]),
    st.lists(cells, min_size=len(TITLES), max_size=len(TITLES)),
)


def check_accounts(readings: Readings) -> None:
    """Check what must hold of the readings of any wide files."""
    reported = sum(file.rows_read for file in readings.files)
    rejected = sum(file.rejected_rows for file in readings.files)
    assert reported == len(readings.samples) + len(readings.duplicates) + rejected
    whole = readings.rejected["row"].notna() & readings.rejected["column"].isna()
    assert whole.sum() == rejected
    assert tuple(readings.samples.columns[: len(SAMPLE_COLUMNS)]) == SAMPLE_COLUMNS
    assert readings.lower.shape == readings.upper.shape == readings.status.shape
    read = readings.status == READ
    np.testing.assert_array_equal(read, ~np.isnan(readings.lower))
    np.testing.assert_array_equal(read, ~np.isnan(readings.upper))
    assert (readings.lower[read] <= readings.upper[read]).all()
    assert (readings.shared_factor >= 1).all()
    assert not np.isneginf(readings.lower).any()


@given(st.lists(rows, min_size=1, max_size=12), st.permutations(TITLES))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_counts_add_up(tmp_path: Path, made, titles):
    titles = titles[:-1]  # one analyte may be lacking, or stand twice
    header = ["Sample No", "Note", *titles]
    table, kinds = [header], []
    for shape, number, texts in made:
        row = [number, "n", *texts[: len(titles)]]
        if shape == "again" and kinds:
            row = table[-1]
        table.append(
            {
                "blank": [],
                "empty": ["", " ", *[""] * len(titles)],
                "cut": row[:3],
                "long": [*row, "x"],
                "header": header,
            }.get(shape, row)
        )
        kinds.append(shape)
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows(table)
    path = tmp_path / "a.csv"
    path.write_text(text.getvalue(), encoding="utf-8", newline="")
    full = [k for k, row in enumerate(table[1:], start=2) if any(cell.strip() for cell in row)]
    good = [k for k in full if len(table[k - 1]) == len(header) and table[k - 1] != header]
    if not good:
        return
    readings = read_results(path, decimal=".")
    check_accounts(readings)
    assert readings.files[0].rows_read == len(full)
    titled = readings.rejected["column"].isin(titles)
    assert readings.rejected.loc[titled, "cells"].sum() == (readings.status == REJECTED).sum()
    for sample, row in enumerate(readings.samples["row"]):
        assert row in good
        for title in titles:
            if title in ("Chloride (mg/L)", "Cl mg/L") and {"Chloride (mg/L)", "Cl mg/L"} <= {
                *titles
            }:
                continue  # two columns of one analyte: see the tests of rows
            analyte = {"pH": "ph", "Fe dissolved mg/L": "iron", "Hardness (dH)": "total_hardness"}
            key = analyte.get(title, "chloride" if "l" in title else "reserve_alkalinity")
            expected = CELLS[table[row - 1][header.index(title)]]
            assert readings.status[sample, readings.position(key)] == expected


HEADER = ["Probe", "pH", "Größe", "Cl (mg/L)", "Leitfähigkeit (µS/cm)", "Datum"]
ROWS = [
    ["Ä1", "7,8", "groß", "<0,5", "1.234,5", "28.04.2025"],
    ["B2", "8,25", "klein; rot", "12,75", "250", "03.04.2025"],
    ["C3", "", 'ein "Rest"', "0,5-1,5", "", "04.04.2025"],
]


def written(separator: str, decimal: str, end: str) -> str:
    """Write the same content in one of the ways of spreadsheets."""
    swap = str.maketrans(",.", ".,") if decimal == "." else {}
    table = [
        HEADER,
        *(
            [r[0], r[1].translate(swap), r[2], *(c.translate(swap) for c in r[3:5]), r[5]]
            for r in ROWS
        ),
    ]
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=separator, lineterminator=end).writerows(table)
    return text.getvalue()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("decimal", [",", "."])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_same_content_in_every_form(tmp_path, encoding, separator, decimal, end):
    path = tmp_path / "a.csv"
    path.write_bytes(written(separator, decimal, end).encode(encoding))
    readings = read_results(path)
    expected = [[7.8, 0, 1234.5], [8.25, 12.75, 250], [np.nan, 0.5, np.nan]]
    np.testing.assert_equal(readings.lower, expected)
    np.testing.assert_equal(readings.upper[:, 1], [0.5, 12.75, 1.5])
    assert readings.samples["sample_id"].tolist() == ["Ä1", "B2", "C3"]
    assert readings.samples["Größe"].tolist() == ["groß", "klein; rot", 'ein "Rest"']
    assert readings.samples["row"].tolist() == [2, 3, 4]
    days = readings.samples["taken_on"].astype("str").tolist()
    assert days == ["2025-04-28", "2025-04-03", "2025-04-04"]
    assert not len(readings.rejected)


def test_lines_name_the_row_a_spreadsheet_shows(read_text_of):
    text = 'Report\nSample No,Note,pH\nA,"two\nlines",7\n\n,,\nB,x,purple\nC\nD,"a\n\nb",99\n'
    readings = read_text_of(text)
    assert readings.samples["row"].tolist() == [3, 6, 8]
    assert readings.rejected["row"].tolist() == [6, 7, 8]
    assert readings.files[0].rows_read == 4


def test_several_files(read_text_of):
    readings = read_text_of(
        "Sample No,pH\nA,7\nB,8\n", "Probe;Cl mg/L;pH\nC;1,5;7,5\nA;;7\n", "Sample No,TH dH\nD,1\n"
    )
    check_accounts(readings)
    assert readings.samples["sample_id"].tolist() == ["A", "B", "C", "A", "D"]
    assert [file.found.split("; ")[0] for file in readings.files] == [
        "UTF-8, comma between columns",
        "UTF-8, semicolon between columns",
        "UTF-8, comma between columns",
    ]
    # The second A has a column that the first file lacks: a question, no duplicate.
    assert readings.questions["question"].str.contains("is it the same sample").sum() == 1


def test_duplicates_are_kept_once_and_contradictions_set_aside(read_text_of):
    rows = ["A,2025-01-02,7", "A,2025-01-02,7.0", "B,2025-01-02,7", "B,2025-01-02,8", "C,,purple"]
    readings = read_text_of("\n".join(["Sample No,Date,pH", *rows, *rows[-1:]]))
    check_accounts(readings)
    assert readings.samples["sample_id"].tolist() == ["A", "C"]
    assert readings.duplicates[["row", "sample_id", "kept_row"]].values.tolist() == [
        [3, "A", 2],
        [7, "C", 6],
    ]
    # Of a sample that is not kept only the row is reported.
    assert readings.rejected["row"].tolist() == [4, 5, 6]
    assert readings.files[0].duplicate_rows == 2


@pytest.mark.parametrize(
    "name", ["messy", "undecidable", "lab_wide", "lab_wide_comma", "strip_log", "fill_water"]
)
def test_counts_of_the_sample_files(name):
    path = Path(__file__).parents[2] / "sample_results" / f"{name}.csv"
    check_accounts(read_results(path))


def test_a_depot_s_batch_is_the_same_in_both_forms():
    folder = Path(__file__).parents[2] / "sample_results"
    one, other = (read_results(folder / f"lab_wide{end}.csv") for end in ("", "_comma"))
    assert one.columns == other.columns
    np.testing.assert_array_equal(one.lower, other.lower)
    np.testing.assert_array_equal(one.upper, other.upper)
    left, right = (r.samples[list(SAMPLE_COLUMNS[1:])] for r in (one, other))
    pd.testing.assert_frame_equal(left, right)


def test_memory_grows_with_the_rows(tmp_path):
    peaks = []
    for count in (4_000, 16_000):
        path = tmp_path / f"{count}.csv"
        body = "".join(f"S{k},{k % 97}.{k % 7},<{k % 5 + 1},x{k}\n" for k in range(count))
        path.write_text("Sample No,pH,Cl mg/L,Fe mg/L\n" + body, encoding="utf-8")
        tracemalloc.start()
        readings = read_results(path)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert len(readings.rejected) >= count
    assert peaks[1] < 6 * peaks[0]
