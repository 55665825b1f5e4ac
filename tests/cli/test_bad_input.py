"""Files that cannot be read: one clear line each, the right status, nothing half written."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main

PROJECT = Path(__file__).parents[2]
HEADER = b"Sample No,Material,pH,Chloride (mg/L),Sulfate (mg/L),Hardness (mg/L as CaCO3)\n"
ROW = b"A1,water,7.6,12,20,80\n"


def run(*arguments: str):
    """Run `check`."""
    return CliRunner().invoke(main, ["check", *arguments])


NOTHING = {
    "empty": b"",
    "blank": b"\n \n\n",
    "binary": bytes(range(256)) * 40,
    "picture": b"\x89PNG\r\n\x1a\n" + bytes(200),
    "no known column": b"colour,shelf\nred,3\nblue,4\n",
    "10,000 columns": b",".join(b"c%d" % k for k in range(10_000)) + b"\n",
    "one line of 50 MB": b"x" * 50_000_000,
    "header alone": HEADER,
}


@pytest.mark.parametrize("content", NOTHING.values(), ids=NOTHING.keys())
def test_nothing_could_be_read(content, tmp_path):
    path, out = tmp_path / "log.csv", tmp_path / "answer"
    path.write_bytes(content)
    done = run(str(path), "--out", str(out))
    said = done.stderr
    assert done.exit_code == 2, said
    assert said.startswith("error: ")
    assert said.count("\n") == 1, said
    assert len(said) < 500
    assert "Traceback" not in said
    assert "a fault of the program" not in said
    assert done.stdout == ""
    assert [one.name for one in tmp_path.iterdir()] == ["log.csv"]


def test_a_missing_file_and_a_folder(tmp_path):
    for path in (tmp_path / "missing.csv", tmp_path):
        done = run(str(path))
        assert done.exit_code == 2
        assert done.stderr.startswith(f"error: {path}: ")
        assert done.stderr.count("\n") == 1


SET_ASIDE = {
    "row cut in half": HEADER + ROW + b"A2,water,7.",
    "mixed encodings": HEADER + ROW + "A2 Kühler,water,7.6,12,20,80\n".encode()
    + "A3 Kühler,water,7.6,12,20,80\n".encode("cp1252"),
    "cells that are no numbers": HEADER + ROW + b"A2,water,neutral,12,20,80\n",
}  # fmt: skip


@pytest.mark.parametrize("content", SET_ASIDE.values(), ids=SET_ASIDE.keys())
def test_the_good_rows_go_on(content, tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes(content)
    done = run(str(path))
    said = done.stderr
    assert done.exit_code == 1, said
    assert said.startswith(f"set aside: {path}")
    assert "Judged against" in done.stdout


def test_one_bad_file_of_two(tmp_path):
    good, bad = tmp_path / "good.csv", tmp_path / "bad.csv"
    good.write_bytes(HEADER + ROW)
    bad.write_bytes(b"")
    done = run(str(good), str(bad))
    assert done.exit_code == 1
    assert done.stderr.startswith(f"set aside: {bad}: ")


def test_a_bad_set_stops_before_anything_is_written(tmp_path):
    path, own, out = tmp_path / "log.csv", tmp_path / "own.yaml", tmp_path / "answer"
    path.write_bytes(HEADER + ROW)
    own.write_text("id: own\n")
    done = run(str(path), "--limits", str(own), "--out", str(out))
    assert done.exit_code == 2
    assert done.stderr.startswith(f"error: {own}")
    assert done.stderr.count("\n") == 1
    assert not out.exists()


def test_as_a_user_runs_it(tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes(bytes(range(256)) * 40)
    done = subprocess.run(
        [sys.executable, "-m", "chemcheck", "check", str(path)],
        cwd=PROJECT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stderr.startswith(f"error: {path}")
    assert done.stderr.count("\n") == 1
    assert done.stdout == ""


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_that_cannot_be_written(tmp_path):
    path, locked = tmp_path / "log.csv", tmp_path / "locked"
    path.write_bytes(HEADER + ROW)
    locked.mkdir(mode=0o500)
    done = run(str(path), "--out", str(locked / "answer"))
    assert done.exit_code == 2
    assert done.stderr.startswith("error: ")


TAP = "Sample No,Chloride (mg/L),Sulfate (mg/L),pH\nA,12,30,7.5\n"
# What stands in the file, and in a columns file; the one line; the status.
ONE_LINE = {
    "header rows of two units": (
        "Sample No,Chloride (mg/L),Sulfate (mg/L),pH\n,mmol/L,mg/L,\nA,12,30,7.5\n",
        "",
        "column 'Chloride (mg/L)': '12': mg/L in the header, mmol/L in row 2: say which in a "
        "columns file (--columns)",
        1,
    ),
    "header rows of two names": (
        "Sample No,Chloride,Sulfate (mg/L),pH\nSample No,Nitrate,Sulfate (mg/L),pH\nA,12,30,7.5\n",
        "",
        "'Chloride' in the header, 'Nitrate' in row 2: two analytes; say which in a columns file",
        1,
    ),
    "a mapping that names a missing column": (
        TAP,
        "columns:\n  Chlorid: chloride\n",
        "ours.yaml, row 2, column 'Chlorid': 'Chlorid' is no column of these files",
        1,
    ),
    "a unit of another dimension in a title": (
        TAP.replace("Chloride (mg/L)", "Chloride (bar)"),
        "",
        "column 'Chloride (bar)': '12': chloride in bar: bar measures a pressure, mg/L a mass "
        "concentration",
        1,
    ),
    "a unit of another dimension in a cell": (
        TAP.replace("12", "12 bar"),
        "",
        "row 2, column 'Chloride (mg/L)': '12 bar': chloride in bar: bar measures a pressure",
        1,
    ),
    "a unit of another dimension in a columns file": (
        TAP,
        "columns:\n  Chloride (mg/L): {analyte: chloride, unit: bar}\n",
        "ours.yaml, line 2, columns.Chloride (mg/L): chloride in bar: bar measures a pressure",
        2,
    ),
    "a fact in a unit of another dimension": (
        TAP,
        "columns:\n  pH: {fact: hours_since_top_up, unit: bar}\n",
        "ours.yaml, line 2, columns.pH.unit: bar measures a pressure, h a time",
        2,
    ),
    "a standard without a certified value": (
        "Sample No,Sample type,Chloride (mg/L)\nQC,check standard,100\nA,routine,12\n",
        "",
        "row 2: 'QC': a check standard without a certified value controls nothing: give it in a "
        "column 'certified chloride (mg/L)' or under 'standards:' of a columns file",
        1,
    ),
}


@pytest.mark.parametrize(
    ("table", "columns", "line", "status"), ONE_LINE.values(), ids=ONE_LINE.keys()
)
def test_one_clear_line(table, columns, line, status, tmp_path):
    path, own = tmp_path / "log.csv", tmp_path / "ours.yaml"
    path.write_text(table, encoding="utf-8")
    own.write_text(columns, encoding="utf-8")
    stated = ["--columns", str(own)] if columns else []
    done = run(str(path), "--material", "water", *stated, "--format", "csv")
    assert done.stderr.count("\n") == 1, done.stderr
    assert line in done.stderr
    assert done.exit_code == status
    # What does not depend on it goes on.
    assert ("A," in done.stdout) == (status == 1)
