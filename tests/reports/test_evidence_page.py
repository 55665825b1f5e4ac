"""The evidence page for a warranty file: what is on record, what follows, what is not known."""

import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck import check, read_results
from chemcheck.cli.main import main
from chemcheck.intake.templates import job_template
from chemcheck.reports.check_json import write_check_json
from tests.documents import assert_valid
from tests.reports.test_unit_page import Rows, same

SAMPLES = Path(__file__).parents[2] / "sample_results"
JOB = """
unit: HT-04
identity: {machine: "<b>haul</b> truck"}
complaint: pump weeps
before: K-0215
after: K-0258
tests: {cap: rated 103 kPa and opened at 60 kPa}
system: 40 L
drains: 30 L
rinse_start: 49 %
rinses:
  - {in: 30 L, out: 30 L, reading: 13 %}
  - {out: 30 L}
refill: {concentrate: 20 L, water: 10 L, measured: 51 %}
not_known:
  - who filled the old coolant
"""


def run(tmp_path: Path, job: str, *more: str):
    file = tmp_path / "job.yaml"
    file.write_text(job, encoding="utf-8")
    arguments = ["check", str(SAMPLES / "fleet_history.csv"), *more, "--job", str(file)]
    return CliRunner().invoke(main, [*arguments, "--out", str(tmp_path / "out")])


@pytest.fixture(scope="module")
def out(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("evidence")
    samples = (SAMPLES / "fleet_history.csv").read_text(encoding="utf-8").splitlines()
    own = [line.split(",")[0] for line in samples if ",HT-04," in line]
    assert own[-1] == "K-0258"
    done = run(folder, JOB.replace("K-0215", own[-2]), "--unit", "HT-04")
    assert done.exit_code == 0, done.stderr
    return folder / "out"


@pytest.fixture(scope="module")
def page(out) -> Rows:
    return Rows((out / "evidence.html").read_text(encoding="utf-8"))


def test_the_page_has_every_part_a_warranty_file_asks_for(page):
    for part in (
        "Identity", "Results before and after", "Tests", "Rinses", "Water filled", "Refill",
        "Old parts and new", "What is not known", "Signed", "Cautions", "Limit sets",
    ):  # fmt: skip
        assert part in page.text
    assert "rated 103 kPa and opened at 60 kPa" in page.text
    assert "<b>haul</b> truck" in page.text
    assert "b" not in page.tags


def test_figures_of_the_rinses_and_the_refill_equal_the_json(out, page):
    document = json.loads((out / "evidence.json").read_text(encoding="utf-8"))
    assert_valid(document)
    shown = [row for row in page.rows if "data-left" in row]
    assert len(shown) == len(document["rinses"]) == 2
    for row, one in zip(shown, document["rinses"], strict=True):
        assert same(row["data-left"], one["left_by_volumes"]["value"])
        read = one["left_by_reading"]
        assert same(row.get("data-read"), None if read is None else read["value"])
        percent = float(row["left, by litres"].removesuffix(" %"))
        assert percent == pytest.approx(100 * one["left_by_volumes"]["value"], rel=0.02)
    # 20 L of concentrate and 10 L of water in 40 L, with 1/16 of 49 % in the 10 L inside.
    assert document["refill_percent"]["value"] == pytest.approx(50 + 10 * 49 / 16 / 40)
    assert "50.8 %" in page.text


@pytest.fixture(scope="module")
def judged() -> list[dict]:
    stream = io.BytesIO()
    write_check_json(check(read_results(SAMPLES / "fleet_history.csv")), stream)
    samples = json.loads(stream.getvalue())["samples"]
    return [sample for sample in samples if sample["unit_id"] == "HT-04"][-2:]


def test_results_before_and_after_equal_the_json_of_the_judged_samples(page, judged):
    both = [row for row in page.rows if "data-after-lower" in row]
    assert len(both) > 10
    for when, sample in zip(("before", "after"), judged, strict=True):
        known = {(one["analyte"], one["basis"] or ""): one for one in sample["results"]}
        for row in both:
            one = known.get((row["data-analyte"], row.get("data-basis", "")))
            if one is None or f"data-{when}-lower" not in row:
                assert when not in row
                continue
            for end in ("lower", "upper"):
                assert same(row.get(f"data-{when}-{end}"), one[end]), (row, when)
            assert (one["state"] in ("inside", "not judged")) or one["state"] in row[when], row
            # The number that a person reads is the same, to the digits shown.
            if one["lower"] == one["upper"] and one["lower"] is not None:
                read = float(row[when].partition("±")[0].partition("(")[0])
                assert read == pytest.approx(one["lower"], rel=2e-3)
    ph = next(row for row in both if row["data-analyte"] == "ph")
    assert float(ph["data-after-lower"]) == 6.0
    assert ph["after"].endswith("(outside)")


def test_what_is_not_recorded_is_said_and_leaves_a_line(out, page):
    html = (out / "evidence.html").read_text(encoding="utf-8")
    assert html.count('class="blank"') > 10
    for words in ("who filled the old coolant", "What water was filled", "Not recorded: Engine"):
        assert words in page.text


def test_a_form_that_was_not_filled_in_names_no_sample_of_the_unit(tmp_path):
    done = run(tmp_path, job_template(), "--unit", "HT-04")
    assert done.exit_code == 2
    assert "'EXAMPLE UNIT' is not 'HT-04'" in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("job", "more", "said"),
    [
        ("after: K-0001\n", ("--unit", "HT-04"), "sample 'K-0001' is of another unit"),
        ("after: nothing\n", ("--unit", "HT-04"), "is no sample of this unit"),
        ("complaint: weeps\n", (), "a job is of one unit: name it with --unit"),
        ("sistem: 12 L\n", ("--unit", "HT-04"), "'sistem' is no key"),
    ],
)
def test_what_cannot_be_meant_is_one_line(tmp_path, job, more, said):
    done = run(tmp_path, job, *more)
    assert done.exit_code == 2
    assert said in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


def test_without_a_folder_there_is_no_page(tmp_path):
    arguments = ["check", str(SAMPLES / "lab_wide.csv"), "--job", str(tmp_path / "job.yaml")]
    done = CliRunner().invoke(main, arguments)
    assert done.exit_code == 2
    assert "say where with --out" in done.stderr
