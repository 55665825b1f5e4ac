"""Files of units and YAML that cannot be used say where."""

from pathlib import Path

import pytest

from chemcheck.errors import LimitFileError
from chemcheck.units import read_yaml
from chemcheck.units.unit_file import load_units


def _file(folder: Path, text: str) -> Path:
    path = folder / "units.yaml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("length:\n  m: {spellings: [x]}\n  ft: {spellings: [x]}\n", r"length\.ft: .*is m's"),
        ("length:\n  m: {factr: 2}\n", r"length\.m: unknown key 'factr'"),
        ("length:\n  m: {factor: 2 + 2}\n", r"length\.m: expected numbers joined"),
        ("length: {m: {}}\nlength: {ft: {}}\n", r"line 2: the key 'length' stands here twice"),
        ("length: [\n", r"units\.yaml, line \d"),
        ("- a\n", "expected one mapping"),
    ],
)
def test_wrong_files(tmp_path: Path, text: str, match: str) -> None:
    with pytest.raises(LimitFileError, match=match):
        load_units(_file(tmp_path, text))


def test_spellings_that_differ_in_case_alone_stay_apart(tmp_path: Path) -> None:
    units = load_units(_file(tmp_path, "a:\n  M: {}\nb:\n  m: {}\n  Km: {}\n"))
    assert units.find("M").dimension == "a"
    assert units.find("m").dimension == "b"
    assert units.find("KM").symbol == "Km"


def test_a_missing_file_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(LimitFileError, match=r"none\.yaml: cannot be read"):
        read_yaml(tmp_path / "none.yaml")
