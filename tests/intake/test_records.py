"""Records keep their numbers whatever stands between them."""

import csv
import io

import numpy as np
import pyarrow as pa
import pytest

from chemcheck.intake import records
from chemcheck.intake.format import Format
from chemcheck.intake.records import read_records

CODED = pa.dictionary(pa.int32(), pa.string())


def read(data: bytes, width: int = 3, end: bytes = b"\n", mark: str = ",") -> records.Records:
    layout = Format(mark, end, ("",) * width, 1, 0)
    types = {str(place): CODED if place == 1 else pa.string() for place in range(width)}
    return read_records(data, 0, layout, types)


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
@pytest.mark.parametrize("block", [500, 1 << 24])
def test_numbers_agree_with_the_csv_module(end, block, monkeypatch):
    monkeypatch.setattr(records, "_BLOCK", block)
    lines = []
    for k in range(2_000):
        lines.append(
            {
                1: b"",
                2: b"a,b",
                3: b'"x\ny",2,3',
                4: b'5" hose,2,3',
                5: b"1,2,3,",
                6: b"1,2,3,4",
            }.get(k % 50, b"%d,b,c" % k)
        )
    data = end.join(lines) + end
    found = read(data, end=end)
    expected, misfits = [], []
    for number, row in enumerate(csv.reader(io.StringIO(data.decode(), newline="")), start=1):
        if len(row) in (0, 3, 4) and not any(row[3:]):
            expected.append((number, *([*row, "", "", ""][:3])))
        else:
            misfits.append(number)
    rows = zip(found.number.tolist(), *found.cells.to_pydict().values(), strict=True)
    assert list(rows) == expected
    assert [misfit.number for misfit in found.misfits] == misfits


def test_misfits_say_how_many_cells_there_are():
    found = read(b"1,2,3\n4\n5,6,7,8\n")
    assert [misfit.problem for misfit in found.misfits] == [
        "1 cell, 3 expected: the row is cut short",
        "4 cells, 3 expected: a separator stands inside a cell without quotation marks",
    ]


@pytest.mark.parametrize("width", [2, 3, 5, 40])
@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_quotation_mark_never_closed_costs_one_line(width, mark):
    row = mark.join("x" * width)
    cut = mark.join(["x"] * (width - 1) + ['"x'])
    found = read(
        "\n".join([row, row, cut, *[row] * 50, f'"{row[:1]}"{row[1:]}']).encode(), width, mark=mark
    )
    assert [(misfit.number, misfit.text) for misfit in found.misfits] == [(3, cut)]
    assert "quotation mark is not closed" in found.misfits[0].problem
    full = np.flatnonzero(np.asarray(found.cells.column(0)) == "x")
    assert found.number[full].tolist() == [1, 2, *range(4, 55)]


def test_long_line_in_the_middle_costs_one_line():
    found = read(b"1,2,3\n" + b"x" * 50_000_000 + b"\n4,5,6\n")
    assert [misfit.number for misfit in found.misfits] == [2]
    assert found.misfits[0].problem == "the line is longer than 1,048,576 bytes"
    assert len(found.misfits[0].text) <= 200
    assert found.cells.column(0).to_pylist() == ["1", "", "4"]
