"""A log of rinses kept as a file."""

import pytest

from chemcheck.assessment.rinse_log import read_rinse_log
from chemcheck.errors import QuantityError

HEAD = "Sample No,Glycol (vol%),Conductivity (uS/cm)\n"


def log(tmp_path, rows):
    file = tmp_path / "rinses.csv"
    file.write_text(HEAD + rows, encoding="utf-8")
    return read_rinse_log(str(file))


def test_conductivity_counts_where_both_were_read(tmp_path):
    found = log(tmp_path, "before,50,2100\n1,16.7,760\n2,5.6,300\n")
    assert found.analyte == "conductivity"
    assert [float(each.value) for each in found.values] == [2100.0, 760.0, 300.0]


def test_glycol_counts_where_conductivity_has_a_gap(tmp_path):
    found = log(tmp_path, "before,50,2100\n1,16.7,\n2,<2,300\n")
    assert found.analyte == "glycol"
    last = found.values[-1]
    assert (float(last.lower), float(last.upper)) == (0.0, 2.0)


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("before,50,2100\n", "1 row, expected one before the first rinse and one after each"),
        ("before,50,\n1,,760\n", "neither conductivity nor glycol stands in every row"),
        ("before,50,>5000\n1,,760\n", "row 2: conductivity above its range, expected a number"),
    ],
)
def test_what_proves_nothing_is_one_line(tmp_path, rows, said):
    with pytest.raises(QuantityError, match=said):
        log(tmp_path, rows)
