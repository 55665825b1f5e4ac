"""The water page: readings, bounds and figures equal the JSON of the same run."""

import json
import math
import re
from html import unescape
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from tests.reports.test_unit_page import Rows, same

SAMPLES = Path(__file__).parents[2] / "sample_results"
# The titles of the rows, their keys in JSON, and half of the last digit that is shown.
FIGURES = {
    "pH": ("ph", 0.005),
    "calcite index": ("calcite_si", 0.005),
    "aragonite index": ("aragonite_si", 0.005),
    "gypsum index": ("gypsum_si", 0.005),
    "anhydrite index": ("anhydrite_si", 0.005),
    "CaCO3 that forms, mg/kg": ("ccpp_mg_per_kg", 0.5),
    "Langelier": ("langelier_index", 0.005),
    "Ryznar": ("ryznar_index", 0.005),
    "Puckorius": ("puckorius_index", 0.005),
}


@pytest.fixture(scope="module")
def run(tmp_path_factory) -> tuple[str, dict]:
    out = tmp_path_factory.mktemp("water")
    arguments = ["water", str(SAMPLES / "fill_water.csv")]
    assert CliRunner().invoke(main, [*arguments, "--out", str(out)]).exit_code == 0
    printed = CliRunner().invoke(main, [*arguments, "--format", "json"])
    return (out / "report.html").read_text(encoding="utf-8"), json.loads(printed.stdout)


def told(run) -> list[tuple[str, dict]]:
    """Return the section of each water that the page tells of, with its JSON."""
    page, document = run
    by_row = {sample["row"]: sample for sample in document["samples"]}
    sections = re.findall(r"<section>\s*<h2>[^<]*\(row\s(\d+)\)</h2>(.*?)</section>", page, re.S)
    return [(html, by_row[int(row)]) for row, html in sections]


def test_the_page_tells_of_several_waters(run):
    assert len(told(run)) > 5


def test_readings_bounds_and_states_equal_the_json(run):
    compared = 0
    for html, sample in told(run):
        known = {(one["analyte"], one["basis"] or ""): one for one in sample["results"]}
        for row in Rows(html).results():
            one = known[row["data-analyte"], row.get("data-basis", "")]
            for name in ("lower", "upper", "u", "bound"):
                assert same(row.get(f"data-{name}"), one[name]), (sample["row"], name)
            assert row["data-state"] == row["state"] == one["state"]
            compared += 1
    assert compared > 30


def ends(shown: str) -> tuple[float, float]:
    if shown.startswith("at most "):
        return -math.inf, float(shown.removeprefix("at most "))
    if shown.startswith("at least "):
        return float(shown.removeprefix("at least ")), math.inf
    first, _, last = shown.partition(" to ")
    return float(first), float(last or first)


def label(title: str) -> str:
    """Return the key of a column: as sampled is cold, the hot wall film, else degrees."""
    if title.startswith("as sampled"):
        return "cold"
    return "film" if title.startswith("film") else title.removesuffix(" C")


def test_scale_figures_equal_the_json_to_the_digits_shown(run):
    compared = 0
    for html, sample in told(run):
        rows = re.findall(r'<tr><th scope="row">([^<]*)</th>(.*?)</tr>', html, re.S)
        for title, cells in rows:
            if unescape(title) not in FIGURES:
                continue
            key, half = FIGURES[unescape(title)]
            for column, shown in re.findall(r'data-title="([^"]*)">([^<]*)</td>', cells):
                found = sample["indices"][label(column)][key]
                if found is None:
                    assert shown == "-"
                    continue
                low, high = (found, found) if isinstance(found, float | int) else found.values()
                low = -math.inf if low is None else low
                high = math.inf if high is None else high
                assert ends(shown) == pytest.approx((low, high), abs=1.01 * half), (title, column)
                compared += 1
    assert compared > 200


@pytest.mark.parametrize(
    ("words", "key"),
    [
        (r"Larson-Skold ratio ([-\d.]+)", "larson_skold"),
        (r"Chloride-sulfate mass ratio ([-\d.]+)", "chloride_sulfate_ratio"),
        (r"Aggressive index ([-\d.]+)", "aggressive_index"),
    ],
)
def test_ratios_in_sentences_equal_the_json(run, words, key):
    compared = 0
    for html, sample in told(run):
        found = re.search(words, html)
        if found is None or not isinstance(sample[key], float | int):
            continue
        shown = found[1].rstrip(".")
        digits = len(shown.partition(".")[2])
        assert float(shown) == pytest.approx(sample[key], abs=0.5 * 10**-digits * 1.001)
        compared += 1
    assert compared > 3
