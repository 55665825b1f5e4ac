"""``chemcheck check``: forms, folder, statuses."""

import csv
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main

PROJECT = Path(__file__).parents[2]
SAMPLES = PROJECT / "sample_results"
HEADER = "Sample No,Unit,Material,pH,Chloride (mg/L),Sulfate (mg/L),Hardness (mg/L as CaCO3)\n"
FIT = "A1,tank,water,7.6,12,20,80\n"
UNFIT = "A2,tank,water,7.6,85,20,80\n"
UNDECIDED = "A3,tank,water,7.6,12,20,\n"
# Text that a spreadsheet would run, or a browser obey.
HOSTILE = '"=HYPERLINK(""http://x"")","<script>alert(1)</script>",water,7.6,85,20,80\n'


@pytest.fixture
def file(tmp_path):
    """Give a writer of a file with the rows of a test."""

    def write(*rows: str) -> str:
        path = tmp_path / "log.csv"
        path.write_text(HEADER + "".join(rows), encoding="utf-8")
        return str(path)

    return write


def run(*arguments: str):
    return CliRunner().invoke(main, ["check", *arguments])


@pytest.mark.parametrize(
    ("rows", "fail_on", "status"),
    [
        ((FIT,), None, 0),
        ((UNFIT, UNDECIDED), None, 0),
        ((FIT, "A4,tank,water,99,12,20,80\n"), None, 1),
        ((FIT,), "unfit", 0),
        ((FIT, UNFIT), "unfit", 3),
        ((FIT, UNDECIDED), "unfit", 0),
        ((FIT, UNDECIDED), "undecided", 3),
        ((FIT, UNFIT), "undecided", 3),
        # The first that holds: found before set aside.
        ((UNFIT, "A4,tank,water,99,12,20,80\n"), "unfit", 3),
        ((FIT, "A4,tank,water,99,12,20,80\n"), "undecided", 3),
    ],
)
def test_status(rows, fail_on, status, file):
    arguments = [file(*rows)] + (["--fail-on", fail_on] if fail_on else [])
    assert run(*arguments).exit_code == status


def test_a_question_changes_no_status(file):
    # pH 3.9 is possible and unusual.
    result = run(file("A1,tank,water,3.9,12,20,80\n"), "--format", "json")
    assert result.exit_code == 0
    assert len(json.loads(result.stdout)["questions"]) == 1


def test_a_rejected_cell_is_said_with_its_place(file):
    path = file(FIT, "A4,tank,water,99,12,20,80\n")
    result = run(path)
    assert result.stderr.startswith(f"set aside: {path}, row 3, column 'pH': '99': ")
    assert result.stderr.count("\n") == 1


@pytest.mark.parametrize(
    ("option", "said"),
    [
        (("--technology", "organic acids"), "'organic acids' is no technology known here"),
        (("--limits", "fill_water"), "'fill_water' is no limit set known here"),
        (("--rule", "strict"), "Invalid value for '--rule'"),
        (("--decimal", "x"), "Invalid value for '--decimal'"),
        (("--columns", "missing.yaml"), "missing.yaml: there is no such file"),
        (("--colums", "x"), "No such option"),
    ],
)
def test_wrong_usage(option, said, file):
    result = run(file(FIT), *option)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stdout == ""


def test_text_keeps_to_its_columns_and_leads_with_the_set():
    result = run(str(SAMPLES / "lab_wide.csv"))
    lines = result.stdout.splitlines()
    assert lines[0].startswith("Judged against limit sets ")
    assert max(map(len, lines)) <= 80


def test_folder_json_and_csv_agree(tmp_path):
    path = str(SAMPLES / "lab_wide.csv")
    out = tmp_path / "answer"
    result = run(path, "--out", str(out))
    assert result.stdout == ""
    assert {one.name for one in out.iterdir()} == {
        "verdicts.csv", "results.csv", "causes.csv", "rejected.csv", "questions.csv",
        "summary.json", "report.html", "units",
    }  # fmt: skip
    document = json.loads(run(path, "--format", "json").stdout)
    printed = list(csv.DictReader(run(path, "--format", "csv").stdout.splitlines()))
    with (out / "verdicts.csv").open(encoding="utf-8", newline="") as stream:
        written = list(csv.DictReader(stream))
    assert printed == written
    assert [row["verdict"] for row in written] == [one["verdict"] for one in document["samples"]]
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert summary["counts"] == document["counts"]


def test_every_result_as_csv():
    path = str(SAMPLES / "lab_wide.csv")
    some = run(path, "--format", "csv").stdout.splitlines()
    every = list(csv.DictReader(run(path, "--format", "csv", "--all-results").stdout.splitlines()))
    document = json.loads(run(path, "--format", "json").stdout)
    assert len(every) == sum(len(one["results"]) for one in document["samples"])
    assert len(some) - 1 == document["counts"]["samples"]


def test_hostile_text_is_text_everywhere(file, tmp_path):
    out = tmp_path / "answer"
    run(file(FIT, HOSTILE), "--out", str(out))
    page = (out / "report.html").read_text(encoding="utf-8")
    assert "<script" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    with (out / "verdicts.csv").open(encoding="utf-8", newline="") as stream:
        ids = [row["sample_id"] for row in csv.DictReader(stream)]
    assert ids[1].startswith("'=HYPERLINK")
    document = json.loads(run(file(FIT, HOSTILE), "--format", "json").stdout)
    assert document["samples"][1]["sample_id"].startswith("=HYPERLINK")


def test_a_large_batch_is_cut_and_says_so(file):
    rows = [f"B{k},tank,water,7.6,{85 if k % 2 else 12},20,80\n" for k in range(60)]
    said = " ".join(run(file(*rows)).stdout.split())
    assert "Of 60 samples: 30 unfit, 30 fit." in said
    assert "Of 60 samples listed: the worst 20; none told in full." in said


def test_output_is_utf_8_whatever_the_locale_says(file):
    done = subprocess.run(
        [sys.executable, "-m", "chemcheck", "check", file(UNFIT)],
        cwd=PROJECT,
        env=os.environ
        | {"LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0
    assert "85 ± " in done.stdout.decode("utf-8")


def test_a_folder_that_is_not_ours_is_left_alone(file, tmp_path):
    out = tmp_path / "mine"
    out.mkdir()
    (out / "verdicts.csv").write_text("mine")
    result = run(file(FIT), "--out", str(out))
    assert result.exit_code == 2
    assert result.stderr.startswith("error: ")
    assert (out / "verdicts.csv").read_text() == "mine"
    assert [one.name for one in out.iterdir()] == ["verdicts.csv"]


def test_several_sets_give_a_verdict_each(file):
    path = file("A5,tank,water,7.6,60,20,80\n")
    result = run(path, "--limits", "inhibitor_water", "--limits", "fill_water_default",
                 "--format", "json")  # fmt: skip
    [sample] = json.loads(result.stdout)["samples"]
    assert sample["verdict"] == "fit"
    assert sample["verdicts"] == {"inhibitor_water": "fit", "fill_water_default": "unfit"}


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--system", "12"), "--system '12' states no unit"),
        (("--system", "0 L"), "the system's volume must be above zero"),
        (("--system", "12 L", "--drains", "13 L"), "more drains (13 L) than the system holds"),
        (("--top-up-water", "chloride"), "expected name and value"),
    ],
)
def test_volumes_that_cannot_be_get_one_clear_line(more, said):
    done = CliRunner().invoke(main, ["check", "sample_results/lab_wide.csv", *more])
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert said in done.stderr


def test_remedies_are_in_litres_where_the_volume_is_told(tmp_path):
    file = tmp_path / "weak.csv"
    file.write_text(
        "Sample No,Technology,pH,Glycol (vol%),Nitrite (mg/L)\nA,heavy duty,9,25,1500\n"
    )
    done = CliRunner().invoke(main, ["check", str(file), "--system", "12 L"])
    said = " ".join(done.stdout.split())
    assert "Remedy: strengthen with concentrate" in said
    # 12 L from 25 to 50 % by a concentrate of about 94 vol%: 12 * 25 / 69 = 4.35 L.
    assert "drain 4.3" in said
    share = " ".join(CliRunner().invoke(main, ["check", str(file)]).stdout.split())
    assert "% of the system's volume" in share
