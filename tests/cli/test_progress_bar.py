"""Progress on standard error: for a person who watches, and nobody else."""

import io
import itertools
import sys

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from chemcheck.cli.messages import lost
from chemcheck.cli.progress_bar import _Bar, shown
from chemcheck.intake.read import read_results
from chemcheck.progress import steps

BAD = """Sample No,Unit,Technology,pH,Glycol (vol%)
A,U1,OAT,8.3,48
B,U1,OAT,abc,48
C,U1,OAT,xyz,48
"""


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def watched(monkeypatch):
    """Watch standard error as on a terminal; pytest puts its own there before each test."""
    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    return screen


def worked(bar, parts, what="fitting trends"):
    for done in range(parts + 1):
        bar(what, done, parts)


def test_long_work_shows_how_far_it_is(monkeypatch):
    terminal = watched(monkeypatch)
    worked(_Bar(clock=itertools.count(0.0, 2.0).__next__), 4)
    said = terminal.getvalue()
    assert "fitting trends" in said
    assert "50%" in said
    assert said.endswith("\n")


def test_short_work_shows_nothing(monkeypatch):
    terminal = watched(monkeypatch)
    worked(_Bar(clock=itertools.count(0.0, 0.01).__next__), 4)
    assert terminal.getvalue() == ""


def test_other_work_begins_a_line_of_its_own(monkeypatch):
    terminal = watched(monkeypatch)
    bar = _Bar(clock=itertools.count(0.0, 2.0).__next__)
    bar("reading files", 0, 3)
    bar("reading files", 1, 3)
    worked(bar, 2)
    first, second, rest = terminal.getvalue().split("\n")
    assert ("reading files" in first, "fitting trends" in second, rest) == (True, True, "")


@pytest.mark.parametrize("quiet", [True, False])
def test_nobody_is_told_who_does_not_watch(monkeypatch, quiet):
    told = []
    monkeypatch.setattr("chemcheck.cli.progress_bar._Bar.__call__", lambda *a: told.append(a))
    monkeypatch.setattr(sys, "stderr", Terminal() if quiet else io.StringIO())
    with shown(quiet):
        assert list(steps([1, 2], "counting")) == [1, 2]
    assert told == []


def test_quiet_says_in_one_line_what_was_set_aside(tmp_path):
    file = tmp_path / "bad.csv"
    file.write_text(BAD, encoding="utf-8")
    loud = CliRunner().invoke(main, ["check", str(file)])
    quiet = CliRunner().invoke(main, ["check", str(file), "--quiet"])
    assert loud.exit_code == quiet.exit_code == 1
    assert loud.stdout == quiet.stdout
    assert len(loud.stderr.splitlines()) == 2
    assert quiet.stderr == "set aside: 2 of cells, rows, columns and files; --out DIR lists all\n"


def test_no_output_carries_colour(tmp_path, monkeypatch):
    file = tmp_path / "bad.csv"
    file.write_text(BAD, encoding="utf-8")
    monkeypatch.setenv("NO_COLOR", "1")
    result = CliRunner().invoke(main, ["check", str(file)], color=True)
    assert "\x1b" not in result.output


def test_a_person_who_watches_is_told_where_to_look(tmp_path, monkeypatch):
    file = tmp_path / "bad.csv"
    file.write_text(BAD, encoding="utf-8")
    readings = read_results([file])
    terminal = watched(monkeypatch)
    assert lost(readings, None, tmp_path / "answer") == 1
    assert terminal.getvalue().splitlines()[0].endswith("report.html is the page to look at first")
