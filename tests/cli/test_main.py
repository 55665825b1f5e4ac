"""The group: help, usage, and that no error shows a traceback."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from chemcheck.cli.main import CommandGroup, main
from chemcheck.errors import IntakeError, Problem

PROJECT = Path(__file__).parents[2]


def run(*args: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the command line in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "chemcheck", *args],
        cwd=PROJECT,
        env=os.environ | environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


@pytest.mark.parametrize("option", ["-h", "--help"])
def test_help_names_the_statuses(option):
    result = CliRunner().invoke(main, [option])
    assert result.exit_code == 0
    assert "Exit status" in result.stdout


def test_help_imports_no_table_library():
    code = (
        "import sys\n"
        "from chemcheck.cli import main\n"
        "try:\n    main(['--help'])\n"
        "except SystemExit:\n    pass\n"
        "heavy = {'pandas', 'numpy', 'pyarrow', 'yaml', 'jinja2', 'matplotlib'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, check=True
    )
    assert done.stderr.strip() == "[]"


def test_version():
    done = run("--version")
    assert done.returncode == 0
    assert done.stdout.startswith("chemcheck ")


def test_no_command_shows_the_help_and_is_wrong_usage():
    done = run()
    assert done.returncode == 2
    assert done.stderr.startswith("Usage: chemcheck")
    assert done.stdout == ""


def test_unknown_command_is_wrong_usage():
    done = run("chek")
    assert done.returncode == 2
    assert "error: No such command 'chek'" in done.stderr


def failing(error: BaseException) -> click.Command:
    """Build a group with one command that fails."""

    @click.group(cls=CommandGroup, invoke_without_command=True)
    def group() -> None:
        raise error

    return group


@pytest.mark.parametrize(
    ("error", "said", "status"),
    [
        (
            IntakeError([Problem("log.csv", 7, "pH", "99", "expected a pH from 0 to 14")] * 5),
            "error: log.csv, row 7, column 'pH': '99': expected a pH from 0 to 14\n" * 3
            + "error: and 2 more\n",
            2,
        ),
        (FileNotFoundError(2, "No such file or directory", "x.csv"),
         "error: x.csv: No such file or directory\n", 2),
        (
            ZeroDivisionError("division\nby zero"),
            "error: a fault of the program, not of your input: ZeroDivisionError: division by "
            "zero (set CHEMCHECK_TRACEBACK=1 to see where)\n",
            2,
        ),
        (KeyboardInterrupt(), "stopped\n", 130),
        (MemoryError(), "error: not enough memory for this input\n", 2),
        (BrokenPipeError(), "", 0),
    ],
)  # fmt: skip
def test_an_error_is_one_line(error, said, status, monkeypatch):
    monkeypatch.delenv("CHEMCHECK_TRACEBACK", raising=False)
    result = CliRunner().invoke(failing(error), [])
    assert result.stderr.removeprefix("\n") == said  # click frees the line of a ^C
    assert result.stdout == ""
    assert result.exit_code == status


def test_the_traceback_is_there_for_who_asks(monkeypatch):
    monkeypatch.setenv("CHEMCHECK_TRACEBACK", "1")
    result = CliRunner().invoke(failing(ZeroDivisionError("x")), [])
    assert "Traceback (most recent call last)" in result.stderr
    assert result.exit_code == 2


@pytest.mark.skipif(shutil.which("bash") is None, reason="needs a shell with pipes")
def test_a_closed_pipe_is_no_error():
    # More output than a pipe holds.
    listing = f"{sys.executable} -m chemcheck analytes --format json"
    done = subprocess.run(
        ["bash", "-c", f"{listing} | head -c 10 > {os.devnull}; echo ${{PIPESTATUS[0]}}"],
        cwd=PROJECT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    assert done.stdout == "0\n"
