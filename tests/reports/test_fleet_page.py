"""The fleet's page: ranking, margins, intervals and calibration equal the JSON of the run."""

import json
from pathlib import Path

import numpy as np
import pytest

from chemcheck import read_results
from chemcheck.assessment.backtest import backtest
from chemcheck.assessment.fleet import Fleet, fleet
from chemcheck.assessment.forecast import forecast
from chemcheck.errors import OutputError
from chemcheck.reports.charts import svg_in_page
from chemcheck.reports.forecast_output import forecast_charts, write_forecast_folder
from tests.documents import assert_valid
from tests.reports.test_unit_page import Rows, same

HEADER = "Sample No,Unit,Date,Hours,Technology,pH,Glycol (vol%),Nitrite NO2 (mg/L),Iron (mg/L)\n"
UNITS = ("HT-1", "HT-2", "HT-3", "<i>4</i>", "HT-5", "HT-6")


def written(folder: Path) -> Path:
    """Write an invented fleet whose units lose nitrite at rates of their own."""
    rng = np.random.default_rng(11)
    rows = []
    for unit, loss in zip(UNITS, (0.05, 0.2, 0.3, 0.45, 0.6, 0.12), strict=True):
        for k in range(6):
            nitrite = 1200 - loss * 400 * k + rng.normal(0, 15)
            day = f"{2031 + k // 4}-{1 + 3 * (k % 4):02}-10"
            rows.append(
                f"{unit}/{k},{unit},{day},{400 * k + 10},nitrited organic acid,8.4,"
                f"48,{nitrite:.0f},{1 + 0.2 * k:.1f}\n"
            )
    rows.append("bad,HT-1,2033-01-01,3000,nitrited organic acid,8.4,48,many,2\n")
    file = folder / "fleet.csv"
    file.write_text(HEADER + "".join(rows), encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def answer(tmp_path_factory) -> tuple[Fleet, Path]:
    folder = tmp_path_factory.mktemp("fleet")
    found = forecast(read_results(written(folder)))
    whole = fleet(found, backtest(found))
    write_forecast_folder(whole, folder / "out")
    return whole, folder / "out"


def document(out: Path, name: str) -> dict:
    read = json.loads((out / name).read_text(encoding="utf-8"))
    assert_valid(read)
    return read


def page(out: Path) -> Rows:
    return Rows((out / "report.html").read_text(encoding="utf-8"))


def test_the_ranking_equals_the_forecasts_json(answer):
    _, out = answer
    known = {one["unit_id"]: one for one in document(out, "forecast.json")["units"]}
    lines = [row for row in page(out).rows if "data-unit" in row]
    assert {row["data-unit"] for row in lines} == set(UNITS)
    for row in lines:
        one = known[row["data-unit"]]
        for name in ("p10", "p50", "p90"):
            assert same(row.get(f"data-{name}"), one["crossing"][name])
            if one["crossing"][name] is None:
                assert row[name.replace("p", "") + " %"] == "later"
            else:
                shown = float(row[name.replace("p", "") + " %"])
                assert shown == pytest.approx(one["crossing"][name], rel=1e-3)
        assert row.get("change by", "") == (one["change_by"] or "")
        assert row.get("sample by", "") == (one["next_sample_by"] or "")


def test_margins_equal_the_judged_samples_json_and_fall(answer):
    _, out = answer
    results = [
        (r["analyte"], r["lower"], r["bound"], r["state"])
        for s in document(out, "check.json")["samples"]
        for r in s["results"]
    ]
    lines = [row for row in page(out).rows if "data-bound" in row and "data-state" in row]
    assert lines
    beyond = []
    for row in lines:
        key = (row["data-analyte"], float(row["data-lower"]), float(row["data-bound"]), "outside")
        assert key in results
        beyond.append(abs(key[1] - key[2]) / abs(key[2]))
    assert beyond == sorted(beyond, reverse=True)


def test_intervals_equal_their_json(answer):
    _, out = answer
    groups = {one["group"]: one for one in document(out, "interval.json")["groups"]}
    lines = [row for row in page(out).rows if "data-group" in row]
    assert {row["data-group"] for row in lines} == set(groups)
    for row in lines:
        one = groups[row["data-group"]]
        assert float(row["data-failures"]) == one["failures"]
        assert same(row.get("data-by-risk"), one["interval_by_risk"])
        assert same(row.get("data-scale"), (one["model"] or {}).get("scale"))


def test_calibration_equals_the_backtests_json(answer):
    whole, out = answer
    tested = document(out, "forecast.json")["backtest"]
    charts = dict(forecast_charts(whole.forecast, whole.backtest))
    for share in (50, 80, 95):
        held = f"the {share} % band held {100 * tested[f'coverage_{share}']:.0f} %"
        assert held in charts["calibration"].description
    assert tested["sentence"] in page(out).text


def test_every_unit_that_is_due_has_a_page_that_says_what_is_ahead(answer):
    whole, out = answer
    due = set(whole.forecast.units["unit_id"][whole.due()])
    links = {value for name, value in page(out).attributes if name == "href" and "units/" in value}
    assert {f"units/{file.name}" for file in (out / "units").iterdir()} == links
    assert len(links) >= len(due) > 0
    html = (out / "units" / "HT-5.html").read_text(encoding="utf-8")
    one = next(u for u in document(out, "forecast.json")["units"] if u["unit_id"] == "HT-5")
    rows = [row for row in Rows(html).rows if "data-side" in row]
    for row in rows:
        found = next(
            a
            for a in one["analytes"]
            if (a["analyte"], a["side"]) == (row["data-analyte"], row["data-side"])
        )
        assert same(row.get("data-p50"), found["crossing"]["p50"])
        assert same(row.get("data-bound"), found["bound"])
    assert rows
    assert "What is ahead" in html
    # Every picture of what is ahead has its curve, and the page says once how it is read.
    pictures = html.count('class="chart" role="img" aria-labelledby="ahead-')
    assert pictures == html.count("the fitted curve comes to ") > 0
    assert html.count("The grey line is the fitted curve") == 1


def test_what_was_set_aside_is_on_the_page_and_a_hostile_id_is_text(answer):
    _, out = answer
    read = page(out)
    assert "many" in read.text
    assert "<i>4</i>" in read.text
    assert "i" not in read.tags


def test_crossings_are_drawn_for_every_unit_with_a_bound_ahead(answer):
    whole, _ = answer
    drawn = svg_in_page(dict(forecast_charts(whole.forecast, None))["crossings"])
    assert drawn.count("nitrite below 300 mg/L") >= len(UNITS) - 1


def test_a_folder_can_be_written_again_and_keeps_what_is_not_ours(answer, tmp_path):
    whole, _ = answer
    write_forecast_folder(whole, tmp_path / "out")
    (tmp_path / "out" / "mine.txt").write_text("mine")
    write_forecast_folder(whole, tmp_path / "out")
    assert (tmp_path / "out" / "mine.txt").read_text() == "mine"
    (tmp_path / "out" / "units" / "mine.txt").write_text("mine")
    with pytest.raises(OutputError, match="chemcheck did not write it"):
        write_forecast_folder(whole, tmp_path / "out")


def test_of_one_unit_the_report_is_its_page(answer, tmp_path):
    whole, _ = answer
    write_forecast_folder(whole, tmp_path / "out", unit="HT-2")
    html = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert "<h1>Unit HT-2</h1>" in html
    assert "What is ahead" in html
    assert not (tmp_path / "out" / "units").exists()
