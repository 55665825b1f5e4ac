"""The separator and the header are found from the rows themselves."""

import pytest

from chemcheck.errors import IntakeError
from chemcheck.intake.encoding import TextFile
from chemcheck.intake.format import Format, find_format

NAMES = {"Sample No", "pH", "Chloride, mg/L", "Nitrite", "Date"}


def layout(text: str) -> Format:
    return find_format(TextFile("a.csv", text.encode(), "UTF-8"), NAMES.__contains__)


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_every_separator(mark):
    found = layout(f"Sample No{mark}pH{mark}Nitrite\nA{mark}7{mark}1\n")
    assert found.separator == mark
    assert found.header == ("Sample No", "pH", "Nitrite")


def test_separator_is_what_names_the_most_columns():
    # Both marks split both rows into equal numbers of cells.
    found = layout("pH;Chloride, mg/L;Nitrite\n7,8;12,5;1,2\n")
    assert (found.separator, found.header) == (";", ("pH", "Chloride, mg/L", "Nitrite"))


def test_stated_separator_wins():
    found = layout("sep=;\r\npH;Nitrite\r\n7;1\r\n")
    assert (found.separator, found.header_row, found.line_end) == (";", 2, b"\r\n")


def test_banner_above_the_header():
    text = 'Laboratory report\n\n"for, the\ndepot"\nSample No,pH\nA,7\n'
    found = layout(text)
    assert found.header_row == 4  # the quoted line break ends no row
    assert text.encode()[found.body :] == b"A,7\n"


def test_row_of_another_table_is_no_header():
    # 'pH' stands in a row of as many cells as the row above has names.
    with pytest.raises(IntakeError, match=r"row 1: no column known here among Domain, Code"):
        layout("Domain,Code,Text\na,pH,acid\nb,dH,hard\n")
    # A banner is narrower than its table, and most names of a header are known.
    assert layout("Depot,North\nShelf,pH,Bin\n1,7,2\n").header_row == 2
    assert layout("x,y,z\nShelf,pH,Nitrite\n1,7,2\n").header_row == 2
    # A name counts once, and half of them are not most.
    with pytest.raises(IntakeError, match="row 1: no column known here among Domain, Code"):
        layout("Domain,Code,Text,Note\na,pH,pH,b\nx,pH,pH,y\n")


def test_header_row_as_stated():
    file = TextFile("a.csv", b"Sample No,pH\nShelf,pH\n1,7\n", "UTF-8")
    assert find_format(file, NAMES.__contains__, 2).header == ("Shelf", "pH")
    with pytest.raises(IntakeError, match=r"a\.csv, row 9: no header in row 9"):
        find_format(file, NAMES.__contains__, 9)


def test_names_of_one_line():
    assert layout('"Sample\r\nNo",  pH \nA,7\n').header == ("Sample No", "pH")


def test_one_column():
    assert layout("pH\n7.8\n").header == ("pH",)


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        ("pH,Nitrite,,\n7,1\n8,2\n", 2),  # separators left at the end of the header
        ("pH,Nitrite\n7,1,,\n8,2,,\n", 4),  # and of the rows
        ("pH,Nitrite\n7,1,9\n8,2,9\n", 2),  # cells without a name fit no header
        ("pH,Nitrite\n7\n8,2\n7\n", 2),
    ],
)
def test_empty_cells_at_the_end_do_not_count(text, columns):
    assert len(layout(text).header) == columns


def test_no_known_column_shows_what_was_found():
    with pytest.raises(IntakeError, match=r"row 1: no column known here among a, b, c, d, e and 2"):
        layout("a;b;c;d;e;f;g\n1;2;3;4;5;6;7\n")


def test_ten_thousand_columns():
    text = ",".join(["pH", *map(str, range(9_999))]) + "\n"
    with pytest.raises(IntakeError, match=r"10,000 columns; at most 1,000 are read"):
        layout(text)


def test_one_endless_line():
    with pytest.raises(IntakeError, match="the first line is longer than"):
        layout("pH," * 20_000_000)


def test_cell_too_long_for_a_header():
    with pytest.raises(IntakeError, match="no column known here"):
        layout("x" * 200_000 + "\npH\n")
