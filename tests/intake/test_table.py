"""Tables keep every row or say why not."""

import pyarrow as pa
import pytest

from chemcheck.errors import IntakeError
from chemcheck.intake.encoding import decode
from chemcheck.intake.format import find_format
from chemcheck.intake.table import TextTable, read_table

NAMES = {"Sample No", "pH", "Nitrite"}


def table(data: bytes) -> TextTable:
    file = decode("a.csv", data)
    return read_table(file, find_format(file, NAMES.__contains__))


def test_rows_as_a_spreadsheet_numbers_them():
    found = table(b'banner\nSample No,pH\nA,7\n\n,\n  ,\n"B\nb",8\nC\nD,9\n')
    assert found.row.tolist() == [3, 7, 9]
    assert [(problem.row, problem.text) for problem in found.rejected] == [(8, "C")]
    assert found.rows_read == 4


def test_header_again_is_a_rejected_row():
    found = table(b"Sample No,pH\nA,7\nSample No,pH\nSample No,8\n")
    assert found.row.tolist() == [2, 4]
    assert [str(problem) for problem in found.rejected] == [
        "a.csv, row 3: 'Sample No,pH': the header once more, in the middle of the rows"
    ]


def test_rows_of_another_encoding_are_rejected():
    found = table("Sample No,pH\nÄ1,7\n".encode() + "Ö2,8\n".encode("cp1252") + b"A3,9\n")
    assert found.row.tolist() == [2, 4]
    assert [(problem.row, problem.problem) for problem in found.rejected] == [
        (3, "not UTF-8 as the other rows are: mixed encodings")
    ]


@pytest.mark.parametrize("data", [b"Sample No,pH", b"Sample No,pH\n", b"Sample No,pH\n\n,\n"])
def test_no_rows(data):
    with pytest.raises(IntakeError, match=r"^a\.csv: no rows below the header$"):
        table(data)


def test_repeating_texts_are_coded_once_the_file_is_long():
    rows = b"".join(b"S%06d,%d.5,x\n" % (k, k % 9) for k in range(120_000))
    found = table(b"Sample No,pH,note\n" + rows)
    assert not pa.types.is_dictionary(found.cells.column(0).type)
    assert pa.types.is_dictionary(found.cells.column(1).type)
    texts, codes = found.coded(1)
    assert sorted(texts.to_pylist()) == [f"{k}.5" for k in range(9)]
    assert texts.take(pa.array(codes[:3])).to_pylist() == ["0.5", "1.5", "2.5"]
    assert found.text(1).slice(0, 3).to_pylist() == ["0.5", "1.5", "2.5"]
    distinct, codes = found.coded(0)
    assert len(distinct) == 120_000
    assert distinct.take(pa.array(codes[-1:])).to_pylist() == ["S119999"]


def test_what_was_recognised():
    assert table("pH;Gerät\n7;ä\n".encode("utf-16")).found == "UTF-16, semicolon between columns"


def test_numbers_that_hardly_repeat_are_not_compared():
    cells = [f"{k}.25" if k % 5 else "<0.5" for k in range(150_000)]
    found = table(b"Sample No,pH\n" + b"".join(b"S,%s\n" % cell.encode() for cell in cells))
    texts, codes = found.coded(1)
    assert texts.take(pa.array(codes)).to_pylist() == cells
    assert texts.to_pylist().count("<0.5") == 1
