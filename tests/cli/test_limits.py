"""``chemcheck limits``: the library shown, a user's file checked."""

import csv
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from chemcheck.limit_library import load_set, set_ids

PROJECT = Path(__file__).parents[2]
HEAD = "id: mine\nversion: '1'\ntitle: mine\nuse: fill water\napplies_to: {material: water}\n"
CHLORIDE = (
    "limits:\n  chloride:\n    unit: mg/L\n    action: {upper: 25}\n    consequence: It pits.\n"
)


def run(*arguments: str):
    return CliRunner().invoke(main, ["limits", *arguments])


def test_every_set_is_listed_by_use():
    result = run("list")
    assert result.exit_code == 0
    first_words = {line.split("  ")[0] for line in result.stdout.splitlines()}
    assert set(set_ids()) <= first_words
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_the_list_says_first_what_is_in_use():
    lines = run("list").stdout.splitlines()
    assert lines[0] == "In use unless --limits names another:"
    assert lines[4].split() == ["water", "fill_water_default"]


def test_a_list_imports_no_table_library():
    code = (
        "import sys\n"
        "from chemcheck.cli import main\n"
        "try:\n    main(['limits', 'list'])\n"
        "except SystemExit:\n    pass\n"
        "print(sorted({'pandas', 'numpy', 'pyarrow', 'jinja2'} & set(sys.modules)), "
        "file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, check=True
    )
    assert done.stderr.strip() == "[]"


def test_a_set_is_shown_with_bound_consequence_and_source():
    # Army TM 5-3895-383-24, Table 15: 40 / 100 / 340 / 170 mg/L and pH 5.5 to 9.0.
    said = run("show", "fill_water_default").stdout
    assert said.startswith("Limit set fill_water_default, version ")
    for bound in ("170 mg/L as CaCO3", "40 mg/L", "100 mg/L", "340 mg/L", "5.5", "9"):
        assert f" {bound} " in said
    assert "TM 5-3895-383-24, Table 15" in said
    assert "(published)" in said


@pytest.mark.parametrize("set_id", set_ids())
def test_every_set_can_be_shown_and_keeps_to_its_columns(set_id):
    result = run("show", set_id)
    assert result.exit_code == 0
    long = [line for line in result.stdout.splitlines() if len(line) > 80 and " " in line.strip()]
    assert long == []


def test_json_and_csv_hold_every_bound():
    limit_set = load_set("inhibitor_water")
    document = json.loads(run("show", "inhibitor_water", "--format", "json").stdout)
    rows = list(
        csv.DictReader(run("show", "inhibitor_water", "--format", "csv").stdout.splitlines())
    )
    bounds = sum(len(limit.bounds) for limit in limit_set.limits)
    assert document["limit_sets"][0]["sha256"] == limit_set.sha256
    assert len(document["bounds"]) == bounds
    assert len(rows) == bounds + len(limit_set.rules)
    listed = json.loads(run("list", "--format", "json").stdout)
    assert {one["id"] for one in listed["sets"]} == set(set_ids())


def test_an_unknown_id_gets_the_nearest():
    result = run("show", "fill_water_defualt")
    assert result.exit_code == 2
    assert result.stderr.endswith("known here; nearest: fill_water_default\n")
    assert len(result.stderr.splitlines()) == 1


def test_a_users_file_is_checked_and_shown():
    result = run("check", str(PROJECT / "sample_results" / "own_limits.yaml"))
    assert result.exit_code == 0
    assert "own_limits.yaml: can be used." in " ".join(result.stdout.split())
    assert "at most 25 mg/L" in result.stdout
    assert "at most 340 mg/L" in result.stdout  # of the set it extends


BOMB = "a: &a [x, x]\n" + "".join(
    f"{chr(98 + k)}: &{chr(98 + k)} [*{chr(97 + k)}, *{chr(97 + k)}]\n" for k in range(20)
)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (BOMB, "line 1, a: anchors (&) and aliases (*) are not allowed here"),
        (HEAD + CHLORIDE, "line 9, limits.chloride.action.upper: has no source"),
        (HEAD.replace("use: fill water\n", "extends: own.yaml\n"), "extends itself"),
        (HEAD + CHLORIDE.replace("chloride", "chlorid"), "nearest: chloride"),
        ("", "is empty"),
        ("\x00\x01\x02", "own.yaml"),
        ("id: [", "is no YAML"),
    ],
    ids=["alias bomb", "no source", "extends itself", "typing error", "empty", "binary", "no YAML"],
)
def test_a_bad_file_gets_one_line_with_its_place(content, said, tmp_path):
    path = tmp_path / "own.yaml"
    path.write_text(content, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "chemcheck", "limits", "check", str(path)],
        cwd=PROJECT, env=os.environ, capture_output=True, text=True, check=False, timeout=30,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert done.stderr.startswith(f"error: {path}")
    assert said in done.stderr


def test_a_cause_is_shown_with_its_source():
    shown = run("show", "combustion_gas_leak")
    assert shown.exit_code == 0
    for words in (
        "sulfate",
        "sulfate",
        "Looks alike",
        "trade press article",
        "published",
    ):
        assert words in " ".join(shown.stdout.split())
    document = json.loads(run("show", "combustion_gas_leak", "--format", "json").stdout)
    rows = list(
        csv.DictReader(run("show", "combustion_gas_leak", "--format", "csv").stdout.splitlines())
    )
    assert [row["key"] for row in rows] == [one["key"] for one in document["features"]]
