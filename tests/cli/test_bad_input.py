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
