"""Tables below each other in one file: each by its own header, rows numbered as in the file."""

import pytest

from chemcheck.intake import read_results

FIRST = "Sample No,pH,Chloride (mg/L)\nA,7.5,12\nB,7.6,13\n"
SECOND = "Sample No,Sulfate (mg/L),Total hardness (mg/L as CaCO3)\nA,20,100\nB,30,120\n"
WIDER = "Sample No,Date,Nitrate (mg/L),Iron (mg/L),Note\nC,2031-02-03,4,0.1,x\n"


@pytest.fixture
def read(tmp_path):
    def made(text: str, **options):
        path = tmp_path / "a.csv"
        path.write_bytes(text.encode())
        return read_results(path, material="water", **options)

    return made


def values(readings):
    return {
        (int(row), column.analyte): float(readings.lower[i, j])
        for i, row in enumerate(readings.samples["row"])
        for j, column in enumerate(readings.columns)
        if readings.lower[i, j] == readings.lower[i, j]
    }


@pytest.mark.parametrize("between", ["", "\n", "\n\n"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_two_tables(read, between, end):
    readings = read((FIRST + between + SECOND).replace("\n", end))
    row = 5 + len(between)
    assert values(readings) == {
        (2, "ph"): 7.5, (2, "chloride"): 12.0, (3, "ph"): 7.6, (3, "chloride"): 13.0,
        (row, "sulfate"): 20.0, (row, "total_hardness"): 100.0,
        (row + 1, "sulfate"): 30.0, (row + 1, "total_hardness"): 120.0,
    }  # fmt: skip
    assert [file.rows_read for file in readings.files] == [2, 2]
    for file, part in zip(readings.files, ("table 1 of 2", "table 2 of 2"), strict=True):
        assert f"; {part};" in file.found
    assert len(readings.rejected) == 0


def test_three_tables_of_different_width(read):
    readings = read(FIRST + "\n" + WIDER + "\n" + SECOND)
    assert values(readings)[6, "nitrate"] == 4.0
    assert values(readings)[9, "sulfate"] == 20.0
    assert readings.samples["sample_id"].tolist() == ["A", "B", "C", "A", "B"]
    assert len(readings.rejected) == 0


def test_quoted_cells_hold_line_ends(read):
    first = FIRST.replace("B,7.6", '"B\n2",7.6')
    readings = read(first + SECOND)
    assert readings.samples["sample_id"].tolist() == ["A", "B\n2", "A", "B"]
    assert values(readings)[5, "sulfate"] == 20.0


def test_the_header_once_more_is_no_table(read):
    readings = read(FIRST + FIRST)
    assert len(readings.files) == 1
    assert "the header once more" in readings.rejected["problem"][0]


def test_a_sample_of_that_name_is_no_table(read):
    readings = read(FIRST + "Sample No,7.1,14\n")
    assert len(readings.files) == 1
    assert len(readings.samples) == 3


def test_a_table_of_nothing_known_is_one_line(read):
    readings = read(FIRST + "\nSample No,Date,Note\nA,2031-02-03,x\n")
    assert len(readings.samples) == 2
    [line] = readings.rejected.to_dict("records")
    assert line["row"] == 5
    assert "no column of results known here" in line["problem"]


def test_errors_name_the_row_of_the_file(read):
    readings = read(FIRST + SECOND.replace("30", "many"))
    [line] = readings.rejected.to_dict("records")
    assert (line["row"], line["column"], line["text"]) == (6, "Sulfate (mg/L)", "many")
