"""Files to readings: layouts, choices, and files that cannot be read."""

import io
from types import SimpleNamespace

import numpy as np
import pytest

from chemcheck.errors import IntakeError, LimitFileError
from chemcheck.intake.read import read_results
from chemcheck.readings.record import READ, REJECTED

TABLE = "Sample No,pH\nA,7\n"


def test_one_path_or_several(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text(TABLE, encoding="utf-8")
    for paths in (path, str(path), [path], (str(path),)):
        assert read_results(paths).lower.tolist() == [[7]]


def test_standard_input(monkeypatch):
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=io.BytesIO(TABLE.encode())))
    readings = read_results("-")
    assert readings.files[0].name == "-"
    assert readings.samples["file"].tolist() == ["-"]


def test_file_that_cannot_be_read_among_others(tmp_path, read_text_of):
    good = tmp_path / "good.csv"
    good.write_text(TABLE, encoding="utf-8")
    readings = read_results([tmp_path / "none.csv", good])
    assert len(readings.files) == 1
    assert readings.rejected["problem"].tolist() == ["there is no such file"]
    assert readings.rejected["row"].isna().all()


def test_nothing_that_can_be_read(tmp_path):
    with pytest.raises(IntakeError, match=r"none\.csv: there is no such file \(and 1 more\)"):
        read_results([tmp_path / "none.csv", tmp_path])
    with pytest.raises(IntakeError, match="no file was named"):
        read_results([])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a,bb,c\n1,2,3\n", r"row 1: no column known here among a, bb, c; expected a header"),
        (
            "Sample No,Chloryde (mg/l)\nA,3\n",
            r"no column of results.*is 'Chloryde \(mg/l\)' chloride",
        ),
        ("Unit,Date,Event\nT1,2025-01-02,dose\n", "no column of results known here among Unit"),
        ("Sample No,pH\nA\nB\n", r"row 2: 'A': 1 cell, 2 expected.*\(and 1 more\)"),
        ("Sample No,pH\n", "no rows below the header"),
    ],
)
def test_tables_without_anything_to_read(read_text_of, text, message):
    with pytest.raises(IntakeError, match=message):
        read_text_of(text)


def test_wqx_layout_is_recognised(open_data):
    readings = read_results(open_data / "wqx" / "wqx_usgs_36sites.csv")
    assert [file.layout for file in readings.files] == ["wqx"]
    assert (readings.status == READ).any()


def test_columns_file_settles_what_is_open(read_text_of):
    text = "Probe;Härte;Silikat;pH;Werk;Cl\nA;10;20;7,5;Nord;1,234\n"
    columns = """
    decimal: ","
    columns:
      Härte: {analyte: total hardness, unit: dH}
      Silikat: {analyte: silicon, unit: mg/L, form: SiO2}
      werk: sampling_point
      pH: text
      Chlorid: chloride
    """
    readings = read_text_of(text, columns=columns)
    keys = [column.analyte for column in readings.columns]
    assert keys == ["total_hardness", "silicon", "chloride"]
    # 1 dH is 17.848 mg/L as CaCO3, SiO2 is 2.1393 times Si (abridged atomic weights 2021).
    np.testing.assert_allclose(readings.lower, [[178.48, 20 / 2.1393, 1.234]], rtol=1e-4)
    assert readings.samples["sampling_point"].tolist() == ["Nord"]
    assert readings.samples["pH"].tolist() == ["7,5"]
    # What the file says of a column that is not there is set aside with a line.
    line = readings.rejected.iloc[0]
    assert (line["column"], line["row"], line["cells"]) == ("Chlorid", 8, 0)
    assert line["file"].endswith("ours.yaml")
    assert len(readings.rejected) == 1


def test_options_come_before_the_columns_file(read_text_of):
    text = "Sample No;Cl mg/L\nA;1,234\n"
    assert read_text_of(text).status.tolist() == [[REJECTED]]
    assert read_text_of(text, columns='decimal: ","').lower.tolist() == [[1.234]]
    readings = read_text_of(text, columns='decimal: ","', decimal=".")
    assert readings.lower.tolist() == [[1234]]
    assert readings.files[0].found.endswith("; decimal mark . as stated")


def test_wrong_columns_file_is_one_clear_line(read_text_of):
    with pytest.raises(LimitFileError, match=r"ours\.yaml, line 1, decimal"):
        read_text_of(TABLE, columns="decimal: 7")


@pytest.mark.parametrize(
    ("option", "value", "message"),
    [
        ("decimal", ";", "';' is no decimal mark known here"),
        ("date_order", "ydm", "'ydm' is no date order known here"),
        ("material", "oil", "'oil' is no material known here"),
    ],
)
def test_wrong_option(read_text_of, option, value, message):
    with pytest.raises(ValueError, match=message):
        read_text_of(TABLE, **{option: value})
