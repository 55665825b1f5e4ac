"""Pages of change intervals and of blends: every figure on them is in the JSON of the run."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from tests.documents import assert_valid
from tests.reports.test_unit_page import Rows, same

SAMPLES = Path(__file__).parents[2] / "sample_results"
COSTS = {
    "--planned-cost": 300, "--failure-cost": 9000, "--delay": 1500, "--correction-cost": 500,
    "--sample-cost": 60,
}  # fmt: skip


def run(*arguments: object) -> str:
    done = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert done.exit_code in (0, 1), done.output
    return done.output


@pytest.fixture(scope="module")
def answer(tmp_path_factory) -> tuple[Rows, dict]:
    """Return the page and the document of the sample fleet's intervals, with all costs."""
    out = tmp_path_factory.mktemp("interval") / "out"
    run(
        "interval", SAMPLES / "fleet_history.csv", "--events", SAMPLES / "events.csv",
        *(each for pair in COSTS.items() for each in pair), "--out", out,
    )  # fmt: skip
    document = json.loads((out / "interval.json").read_text(encoding="utf-8"))
    assert_valid(document)
    return Rows((out / "report.html").read_text(encoding="utf-8")), document


def test_every_figure_of_a_group_is_in_the_json(answer):
    page, document = answer
    groups = {one["group"]: one for one in document["groups"]}
    lines = {row["data-group"]: row for row in page.rows if "data-group" in row}
    assert set(lines) == set(groups)
    costed = 0
    for name, row in lines.items():
        one, model = groups[name], groups[name]["model"] or {}
        limits, flat = one["interval_by_risk_limits"] or {}, one["flat_range"] or (None, None)
        sampling = one["sampling"] or {}
        best = sampling.get("best")
        for key, value in {
            "failures": one["failures"],
            "censored": one["censored"],
            "scale": model.get("scale"),
            "shape": model.get("shape"),
            "by-risk": one["interval_by_risk"],
            "risk-lower": limits.get("lower"),
            "risk-upper": limits.get("upper"),
            "by-cost": one["interval_by_cost"],
            "cost-rate": one["cost_rate"],
            "flat-first": flat[0],
            "flat-last": flat[1],
            "sampling-every": None if best is None else sampling["every"][best],
            "sampling-saving": None if best is None else sampling["saving_per_1000"][best],
        }.items():
            assert same(row.get(f"data-{key}"), value), (name, key)
        costed += one["interval_by_cost"] is not None
    assert costed > 0


def test_the_words_say_the_same_numbers(answer):
    page, document = answer
    (one,) = (g for g in document["groups"] if g["interval_by_cost"] is not None)
    row = next(r for r in page.rows if r.get("data-group") == one["group"])
    said = row["interval by cost"]
    first, last = one["flat_range"]
    for value in (one["interval_by_cost"], 1000 * one["cost_rate"], first, last):
        assert f"{value:.0f}" in said
    assert f"{100 * one['saving']:.0f} % less" in said
    best = one["sampling"]["best"]
    assert f"saves {one['sampling']['saving_per_1000'][best]:.0f} per 1,000" in said
    # What to do first: the interval, not the test of groups.
    lead = page.text[page.text.index("change intervals") :]
    by_risk = f"change by {one['interval_by_risk']:.0f} h"
    assert lead.index(by_risk) < lead.index(f"{one['interval_by_cost']:.0f} h")
    assert lead.index(by_risk) < lead.index("p = ")
    assert "with a 10 % chance of having passed a bound by then" in lead


def test_too_few_crossings_still_give_their_bound(answer):
    page, document = answer
    few = [g for g in document["groups"] if g["failure_rate_upper"] is not None]
    assert few
    for one in few:
        row = next(r for r in page.rows if r.get("data-group") == one["group"])
        lower = float(re.search(r"bound only of ([\d.]+)\sh", row["interval by risk"])[1])
        assert lower == pytest.approx(one["interval_by_risk_limits"]["lower"], rel=5e-3)


def test_the_page_says_how_its_pictures_are_read(answer):
    page, _ = answer
    assert page.tags.count("svg") > 1
    assert "Cost: the upright line stands at the least" in page.text
    assert "The maker's service information sets the longest interval" in page.text


def test_every_figure_of_a_blend_is_in_its_json(tmp_path):
    run(
        "blend", "--source", "tap=pH=7.6; hardness=18 gpg; Cl=85; SO4=120:0.002",
        "--source", "deionised:0.05", "--out", tmp_path / "out",
    )  # fmt: skip
    document = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    assert_valid(document)
    page = Rows((tmp_path / "out" / "report.html").read_text(encoding="utf-8"))
    first, roomy = document["results"], document["with_uncertainty"]["results"]
    rows = page.results()
    # The cheapest mixture's results, then those of the one with room for the uncertainty.
    for shown, told in ((rows[: len(first)], first), (rows[len(first) :], roomy)):
        assert {row["data-analyte"] for row in shown} == {one["analyte"] for one in told}
        for row in shown:
            one = next(
                each
                for each in told
                if each["analyte"] == row["data-analyte"] and each["state"] == row["data-state"]
            )
            for key in ("lower", "upper", "bound"):
                assert same(row.get(f"data-{key}"), one[key]), (row["data-analyte"], key)
    for mixture in (document, document["with_uncertainty"]):
        words = " and ".join(
            f"{100 * share:.1f} % {name}"
            for name, share in sorted(mixture["shares"].items(), key=lambda part: -part[1])
        )
        assert f"{words}, at {mixture['cost_per_litre']:.4f} a litre" in page.text
