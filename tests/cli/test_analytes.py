"""``chemcheck analytes``."""

import csv
import json

import pytest
from click.testing import CliRunner

from chemcheck.analytes import vocabulary
from chemcheck.cli.main import main


def run(*arguments: str):
    return CliRunner().invoke(main, ["analytes", *arguments])


def test_every_analyte_is_listed():
    result = run()
    assert result.exit_code == 0
    first_words = {line.split("  ")[0] for line in result.stdout.splitlines()}
    assert set(vocabulary()) <= first_words
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_a_name_is_found_as_a_title_says_it():
    result = run("SO4", "Total Hardness")
    assert result.exit_code == 0
    assert result.stdout.startswith("sulfate (sulfate)\n")
    assert "\ntotal hardness (total_hardness)\n" in result.stdout


def test_what_a_title_leaves_open_is_said():
    said = " ".join(run("silica").stdout.split())
    assert "A title such as" in said
    assert "leaves open which is meant" in said
    assert "until it says one: Si, SiO2." in said


def test_an_unknown_name_gets_the_nearest():
    result = run("chlorid e s x")
    assert result.exit_code == 2
    result = run("silicone")
    assert result.exit_code == 2
    assert result.stderr.endswith("error: 'silicone' is no analyte known here; nearest: silicon\n")
    assert result.stdout == ""


@pytest.mark.parametrize("names", [(), ("nitrate",)])
def test_json_and_csv_hold_the_same_analytes(names):
    listed = json.loads(run(*names, "--format", "json").stdout)
    rows = list(csv.DictReader(run(*names, "--format", "csv").stdout.splitlines()))
    assert listed["schema"] == "chemcheck/analytes/1"
    assert [one["key"] for one in listed["analytes"]] == [row["analyte"] for row in rows]
    assert len(rows) == (len(names) or len(vocabulary()))


def test_nitrate_as_nitrogen_in_json():
    # NO3/N from atomic weights: 62.005 / 14.007.
    [nitrate] = json.loads(run("nitrate", "--format", "json").stdout)["analytes"]
    assert nitrate["forms"]["N"] == pytest.approx(62.005 / 14.007, rel=1e-3)


def test_a_columns_file_is_drafted(tmp_path):
    file = tmp_path / "tap.csv"
    file.write_text("No;Cl [mg/L]\nTap 1;7,8\n", encoding="utf-8")
    result = run("--suggest", str(file))
    assert result.exit_code == 0
    assert '  "Cl [mg/L]": {analyte: chloride, unit: "mg/L"}\n' in result.stdout
    assert result.stderr == ""


def test_a_draft_takes_one_file_and_no_form(tmp_path):
    file = tmp_path / "none.csv"
    for more in (["silica"], ["--format", "json"]):
        result = run("--suggest", str(file), *more)
        assert result.exit_code == 2
        assert "--suggest takes one FILE, and writes YAML" in result.stderr
    result = run("--suggest", str(file))
    assert result.exit_code == 2
    assert result.stderr == f"error: {file}: there is no such file\n"
