"""Tables with analytes down and samples across."""

import pytest

from chemcheck.errors import IntakeError
from chemcheck.intake import read_results, suggest_columns

TABLE = "Parameter,Unit,Tap 1,Tap 2\npH,,7.5,7.8\nChloride,mg/L,12,<5\nShelf,,none,x\n"


@pytest.fixture
def read(tmp_path):
    def made(text: str, columns: str = ""):
        path, own = tmp_path / "a.csv", tmp_path / "ours.yaml"
        path.write_text(text, encoding="utf-8")
        own.write_text(columns, encoding="utf-8")
        return read_results(path, own if columns else None, material="water")

    return made


def test_each_column_is_a_sample(read):
    readings = read(TABLE)
    assert readings.samples["sample_id"].tolist() == ["Tap 1", "Tap 2"]
    assert [column.analyte for column in readings.columns] == ["ph", "chloride"]
    assert readings.upper.tolist() == [[7.5, 12.0], [7.8, 5.0]]
    assert readings.samples["Shelf"].tolist() == ["none", "x"]
    [file] = readings.files
    assert "analytes down and samples across" in file.found
    assert file.rows_read == 2


def test_a_line_names_the_column_of_the_file(read):
    readings = read(TABLE.replace("<5", "many"))
    [line] = readings.rejected.to_dict("records")
    assert (line["row"], line["column"], line["text"]) == (4, "Chloride (mg/L)", "many")


def test_the_user_has_the_last_word(read):
    with pytest.raises(IntakeError, match="no column of results known here"):
        read(TABLE, "layout: wide\n")
    few = "Sample No,Tap 1,Tap 2\nChloride (mg/L),1,2\nx,3,4\npH,7,8\ny,5,6\nz,7,8\n"
    with pytest.raises(IntakeError, match="no column of results known here"):
        read(few)
    assert read(few, "layout: transposed\n").lower.tolist() == [[1.0, 7.0], [2.0, 8.0]]


def test_a_table_that_is_not_turned_is_refused(read):
    with pytest.raises(IntakeError, match="the first column names too few analytes"):
        read("Sample No,pH\nA,7\nB,8\n", "layout: transposed\n")


def test_a_draft_reads_alike(read, tmp_path):
    plain = read(TABLE)
    draft = suggest_columns(tmp_path / "a.csv")
    assert "layout: transposed\n" in draft
    assert read(TABLE, draft).lower.tolist() == plain.lower.tolist()


@pytest.mark.parametrize(
    "text",
    [
        "Sample No,pH,Chloride (mg/L)\nA,7,5\nB,8,6\n",
        "Parameter,Result,Unit,Bottle\npH,7,,1\nChloride,5,mg/L,1\n",
    ],
)
def test_other_layouts_stay(read, text):
    assert "samples across" not in read(text).files[0].found
