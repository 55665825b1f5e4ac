"""The command line's forecast of a fleet."""

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
FLEET = ["sample_results/fleet_history.csv", "--events", "sample_results/events.csv"]


def run(*arguments, text=None):
    return subprocess.run(
        [sys.executable, "-m", "chemcheck", "forecast", *map(str, arguments)],
        cwd=PROJECT,
        input=text,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def small(n_units=4, change=""):
    """Return a file of a few units that lose nitrite, small enough to run often."""
    header = "Unit ID,Date Sampled,Hours,Technology,Nitrite NO2 (mg/L),Event\n"
    rows = [
        f"U{k},2031-0{m}-01,{h},heavy duty with supplemental additive,{1800 - h // 2 + k % 3},"
        for k in range(n_units)
        for m, h in ((1, 0), (2, 300), (3, 610))
    ]
    return header + "\n".join([*rows, change]) + "\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("forecast") / "out"
    done = run(*FLEET, "--out", out)
    assert done.returncode == 0, done.stderr
    return out


def test_a_folder_holds_the_whole_forecast(folder):
    assert sorted(path.name for path in folder.iterdir()) == [
        "bounds.csv",
        "check.json",
        "crossings.csv",
        "forecast.json",
        "interval.json",
        "rejected.csv",
        "report.html",
        "units",
        "units.csv",
    ]


def test_json_and_tables_say_the_same(folder):
    document = json.loads((folder / "forecast.json").read_text(encoding="utf-8"))
    assert document["schema"] == "chemcheck/forecast/1"
    assert document["axis"] == "hours"
    with (folder / "units.csv").open(encoding="utf-8") as file:
        table = {row["unit_id"]: row for row in csv.DictReader(file)}
    assert set(table) == {unit["unit_id"] for unit in document["units"]}
    for unit in document["units"]:
        row = table[unit["unit_id"]]
        assert row["change_by"] == (unit["change_by"] or "")
        assert row["next_sample_by"] == (unit["next_sample_by"] or "")
        places = [unit["crossing"][name] for name in ("p10", "p50", "p90")]
        assert [float(row[name]) if row[name] else None for name in ("p10", "p50", "p90")] == places
        finite = [place for place in places if place is not None]
        assert finite == sorted(finite)


def test_every_bound_faced_has_a_source(folder):
    with (folder / "crossings.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert rows
    assert all(row["source"] and row["evidence"] and row["limit_set"] for row in rows)


def test_units_changed_in_the_log_are_on_their_second_fill(folder):
    units = json.loads((folder / "forecast.json").read_text(encoding="utf-8"))["units"]
    fills = {unit["unit_id"]: unit["fill"] for unit in units}
    assert {unit for unit, fill in fills.items() if fill == 2} >= {"HT-06", "HT-09", "TT-4", "CG-2"}


def test_the_text_names_the_sets_first_and_fits_80_columns():
    done = run("-", text=small())
    lines = done.stdout.splitlines()
    assert lines[0].startswith("Bounds from: ")
    assert max(map(len, lines)) <= 80
    assert "Cautions" in lines


def test_the_axis_can_be_chosen():
    done = run("-", "--axis", "days", "--format", "json", text=small())
    assert json.loads(done.stdout)["axis_unit"] == "d"


def test_one_sample_in_all_is_one_clear_line():
    text = "Sample No,Unit ID,Date Sampled,Hours,Technology,pH\nA1,A,2031-01-01,10,hybrid,8.1\n"
    done = run("-", text=text)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "no fill was sampled twice apart in hours" in done.stderr


def test_a_risk_that_is_no_probability_is_refused():
    done = run(*FLEET, "--risk", "2")
    assert done.returncode == 2
    assert "--risk" in done.stderr
    assert "Traceback" not in done.stderr


def test_events_may_stand_among_the_samples():
    changed = "U0,2031-02-15,450,,,change"
    done = run("-", "--format", "json", text=small(5, changed))
    units = {unit["unit_id"]: unit for unit in json.loads(done.stdout)["units"]}
    assert units["U0"]["fill"] == 2
    assert units["U1"]["fill"] == 1


def test_a_backtest_is_scored_against_plain_ways():
    rows = [
        f"U{k},2031-{m:02d}-01,{300 * m},heavy duty with supplemental additive,"
        f"{1900 - (140 + k) * m + (7 * k + 3 * m) % 11},"
        for k in range(8)
        for m in range(1, 7)
    ]
    header = "Unit ID,Date Sampled,Hours,Technology,Nitrite NO2 (mg/L),Event\n"
    text = header + "\n".join(rows) + "\n"
    done = run("-", "--backtest", "--format", "json", text=text)
    assert done.returncode == 0, done.stderr
    tested = json.loads(done.stdout)["backtest"]
    scores = {
        "coverage_50", "coverage_80", "coverage_95", "median_absolute_error", "interval_score",
    }  # fmt: skip
    assert tested["cases"] > 0
    assert scores <= set(tested)
    assert len(tested["baselines"]) == 4
    for baseline in tested["baselines"].values():
        assert scores <= set(baseline)
    best = min(baseline["interval_score"] for baseline in tested["baselines"].values())
    assert tested["model_wins"] == (tested["interval_score"] < best)
    assert ("does not win" in tested["sentence"]) != tested["model_wins"]


def test_all_on_one_date_is_forecast_without_dates():
    rows = [
        f"{k},U{k % 3},2031-01-01,{100 * k},heavy duty with supplemental additive,{1800 - 50 * k}"
        for k in range(1, 7)
    ]
    header = "Sample No,Unit ID,Date Sampled,Hours,Technology,Nitrite NO2 (mg/L)\n"
    done = run("-", "--backtest", text=header + "\n".join(rows) + "\n")
    assert done.returncode == 0, done.stderr
    said = " ".join(done.stdout.split())
    assert "3 that may reach one (3 without a date: their rate of use is unknown)" in said
    assert "No backtest: no later reading" in said
