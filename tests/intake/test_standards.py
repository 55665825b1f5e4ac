"""Check standards named in a columns file, and a laboratory's samples measured again."""

from pathlib import Path

import pytest

from chemcheck.errors import LimitFileError
from chemcheck.intake.columns_file import read_columns_file
from chemcheck.intake.read import read_results

COLUMNS = """
standards:
  QC-1: {chloride: {value: 100, unit: mg/L}, ph: 7.00}
  QC-9: {nitrite: {value: 10, unit: mg/L, form: N}}
"""
BATCH = """Sample No,Date,pH,Chloride (mg/L)
qc 1,2031-05-02,7.02,101
A-1,2031-05-01,8.1,12
QC-1,2031-05-02,7.00,131
"""


def written(folder: Path, name: str, text: str) -> Path:
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def test_named_standards_are_marked_and_stated(tmp_path):
    columns = written(tmp_path, "ours.yaml", COLUMNS)
    readings = read_results(written(tmp_path, "batch.csv", BATCH), columns)
    samples = readings.samples
    assert samples["sample_type"].tolist() == ["check standard", "routine", "check standard"]
    assert samples["certified chloride (mg/L)"].tolist()[::2] == ["100.0", "100.0"]
    assert samples["certified ph"].tolist()[::2] == ["7.0", "7.0"]
    assert samples[["certified chloride (mg/L)", "certified ph"]].isna().to_numpy()[1].all()


def test_a_standard_that_no_file_has_is_one_line(tmp_path):
    columns = written(tmp_path, "ours.yaml", COLUMNS)
    readings = read_results(written(tmp_path, "batch.csv", BATCH), columns)
    [row] = readings.rejected.to_dict("records")
    assert (row["row"], row["column"]) == (4, "QC-9")
    assert row["problem"] == "no sample of the files has this number or unit"


def test_a_form_is_converted(tmp_path):
    [_, nine] = read_columns_file(written(tmp_path, "ours.yaml", COLUMNS)).standards
    assert nine.certified["nitrite"] == pytest.approx(32.844, rel=1e-4)


@pytest.mark.parametrize(
    ("entry", "problem"),
    [
        ("chlorid0: 3", "'chlorid0' is no analyte known here"),
        ("chloride: 100", "has no unit; write {value: …, unit: mg/L}"),
        ("chloride: {value: 100}", "the key 'unit' is missing"),
        ("chloride: {value: 100, unit: m}", "chloride in m"),
        ("chloride: {value: much, unit: mg/L}", "much"),
    ],
)
def test_a_standard_that_cannot_be_used(tmp_path, entry, problem):
    file = written(tmp_path, "ours.yaml", f"standards:\n  QC-1: {{{entry}}}\n")
    with pytest.raises(LimitFileError, match=problem):
        read_columns_file(file)


REPEATED = """Sample No,Type,Date,Chloride (mg/L)
QC-1,check standard,2031-05-02,101
QC-1,check standard,2031-05-02,101
QC-1,check standard,2031-05-02,131
B,blank,2031-05-02,<1
B,blank,2031-05-02,2
A,routine,2031-05-02,12
A,routine,2031-05-02,13
"""


def test_a_laboratory_measures_its_standards_again_and_again(tmp_path):
    text = REPEATED.replace("Type", "Sample type")
    readings = read_results(written(tmp_path, "batch.csv", text))
    assert readings.samples["sample_id"].tolist() == ["QC-1"] * 3 + ["B"] * 2
    assert readings.rejected["text"].tolist() == ["A", "A"]


def test_a_file_given_twice_is_counted_once(tmp_path):
    text = REPEATED.replace("Type", "Sample type").rsplit("A,", 2)[0]
    files = [written(tmp_path, name, text) for name in ("one.csv", "two.csv")]
    readings = read_results(files)
    assert readings.samples["file"].tolist()[:4] == [str(files[0])] * 4


def test_columns_that_are_of_use_are_not_called_unknown(tmp_path):
    text = "Sample No,pH,Depot,Certified pH,Shelf\nA,8,North,,C3\n"
    readings = read_results(written(tmp_path, "batch.csv", text))
    assert "1 column not known here is kept as text: Shelf" in set(
        readings.assumptions["assumption"]
    )
