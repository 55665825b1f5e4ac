"""The command line's change intervals."""

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main

SAMPLES = Path(__file__).parents[2] / "sample_results"
FLEET = [SAMPLES / "fleet_history.csv", "--events", SAMPLES / "events.csv"]
COSTS = ["--planned-cost", "300", "--failure-cost", "9000", "--delay", "1500"]


def run(*arguments, text=None):
    return CliRunner().invoke(main, ["interval", *map(str, arguments)], input=text)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("interval") / "out"
    done = run(*FLEET, *COSTS, "--out", out)
    assert done.exit_code == 0, done.stderr
    return out


def test_a_folder_holds_the_whole_answer(folder):
    assert sorted(path.name for path in folder.iterdir()) == [
        "groups.csv",
        "interval.json",
        "interval.txt",
        "rejected.csv",
        "report.html",
    ]


def test_the_document_has_what_others_rely_on(folder):
    document = json.loads((folder / "interval.json").read_text(encoding="utf-8"))
    assert document["schema"] == "chemcheck/interval/1"
    wanted = {
        "group", "units", "failures", "censored", "model", "interval_by_risk",
        "interval_by_cost", "cost_rate", "flat_range", "no_benefit_reason",
    }  # fmt: skip
    for group in document["groups"]:
        assert wanted <= set(group)
        assert group["failures"] + group["censored"] == group["fills"]
        assert (group["interval_by_cost"] is None) == (group["no_benefit_reason"] is not None)
    fitted = [group for group in document["groups"] if group["model"]]
    assert all({"family", "scale", "shape"} <= set(group["model"]) for group in fitted)


def test_table_and_document_say_the_same(folder):
    groups = json.loads((folder / "interval.json").read_text(encoding="utf-8"))["groups"]
    with (folder / "groups.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["group"] for row in rows] == [group["group"] for group in groups]
    for row, group in zip(rows, groups, strict=True):
        found = float(row["interval_by_risk"]) if row["interval_by_risk"] else None
        assert found == group["interval_by_risk"]


def test_the_text_names_the_sets_first_and_fits_80_columns(folder):
    lines = (folder / "interval.txt").read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("Bounds from: ")
    assert max(map(len, lines)) <= 80
    assert "Cautions" in lines


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("--planned-cost", "0"),
        ("--failure-cost", "-3"),
        ("--correction-cost", "0"),
        ("--delay", "-1"),
        ("--risk", "2"),
    ],
)
def test_what_cannot_be_meant_is_one_line(option, value):
    done = run(*FLEET, option, value)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert value in done.stderr


def test_an_unknown_grouping_is_one_line():
    done = run(*FLEET, "--group", "depot")
    assert done.exit_code == 2
    assert done.stderr.count("\n") == 1
    assert "no column has this title" in done.stderr
    assert "fault of the program" not in done.stderr
