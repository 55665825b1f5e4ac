"""A unit's page: what it says, that it agrees with JSON, and that nothing hostile gets in."""

import io
import json
from html.parser import HTMLParser
from math import isnan
from pathlib import Path

import pytest

from chemcheck import check, read_results
from chemcheck.intake.events import read_events
from chemcheck.reports.check_json import write_check_json
from chemcheck.reports.folders import PageChoice, write_check_folder
from chemcheck.reports.page import write_unit_page
from chemcheck.reports.unit_pages import UnitPages

SAMPLES = Path(__file__).parents[2] / "sample_results"
LARGEST = 400_000
WIDE = "Sample No,Unit,Date,Technology,pH,Glycol (vol%),Chloride (mg/L),Iron (mg/L)\n"
HOSTILE = (
    "<script>x</script>",
    '"><img src=x onerror=alert(1)>',
    "\u202eevil",
    "z" * 10_000,
    "$a$",
)


class Rows(HTMLParser):
    """Collect the rows that carry the numbers of results, and every element's name."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.rows: list[dict[str, str]] = []
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.text = ""
        self.cell: str | None = None
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += attrs
        known = dict(attrs)
        if tag == "tr":
            self.rows.append({k: v for k, v in known.items() if k.startswith("data-")})
        self.cell = known.get("data-title") if tag == "td" else self.cell

    def handle_endtag(self, tag):
        self.cell = None if tag == "td" else self.cell

    def handle_data(self, data):
        self.text += data
        if self.cell and self.rows:
            self.rows[-1][self.cell] = self.rows[-1].get(self.cell, "") + data.strip()

    def results(self):
        return [row for row in self.rows if "data-state" in row]


@pytest.fixture(scope="module")
def fleet():
    events = read_events(SAMPLES / "events.csv")
    answer = check(read_results(SAMPLES / "fleet_history.csv"), events=events)
    stream = io.BytesIO()
    write_check_json(answer, stream)
    return UnitPages.of(answer, events), json.loads(stream.getvalue())


def of_page(pages: UnitPages, unit: str) -> Rows:
    return Rows(write_unit_page(pages.page(pages.units.find(unit))))


def same(text: str | None, number: float | None) -> bool:
    return number is None if text is None else float(text) == pytest.approx(number, rel=1e-6)


@pytest.mark.parametrize("unit", ["WL-02", "HT-03", "CG-1", "VAN-3"])
def test_every_figure_of_a_page_equals_the_json_of_the_same_run(fleet, unit):
    pages, document = fleet
    page = of_page(pages, unit)
    row = int(
        pages.assessment.readings.samples["row"].iloc[pages.units.of(pages.units.find(unit))[-1]]
    )
    sample = next(one for one in document["samples"] if one["row"] == row)
    known = {(one["analyte"], one["basis"] or ""): one for one in sample["results"]}
    results = page.results()
    assert len(results) > 10
    for shown in results:
        one = known[shown["data-analyte"], shown.get("data-basis", "")]
        for name in ("lower", "upper", "u", "bound"):
            assert same(shown.get(f"data-{name}"), one[name]), (shown, name)
        assert shown["data-state"] == shown["state"] == one["state"]
        # The number that a person reads is the same, to the digits shown.
        if one["lower"] == one["upper"] and one["lower"] is not None and shown["reading"]:
            read = float(shown["reading"].partition("±")[0])
            assert read == pytest.approx(one["lower"], rel=2e-3)
    assert f"{sample['verdict']}" in ("fit", "undecided", "unfit")
    assert sample["because"].partition(";")[0] in page.text


def test_changes_are_between_the_json_of_the_last_two_samples(fleet):
    pages, document = fleet
    unit = pages.units.find("WL-02")
    rows = pages.assessment.readings.samples["row"].iloc[pages.units.of(unit)[-2:]].tolist()
    before, after = (
        {
            (r["analyte"], r["basis"] or ""): r
            for s in document["samples"]
            if s["row"] == row
            for r in s["results"]
        }
        for row in rows
    )
    changed = [row for row in of_page(pages, "WL-02").rows if "data-after-lower" in row]
    assert changed
    for row in changed:
        key = row["data-analyte"], row.get("data-basis", "")
        assert same(row.get("data-before-upper"), before[key]["upper"])
        assert same(row.get("data-after-lower"), after[key]["lower"])
        rose = before[key]["upper"] < after[key]["lower"]
        assert row["what it shows"] == ("risen" if rose else "fallen")


def test_a_page_is_small_needs_nothing_and_runs_nothing(fleet):
    pages, _ = fleet
    for unit in pages.due()[:5].tolist():
        text = write_unit_page(pages.page(unit))
        assert len(text.encode()) < LARGEST
        page = Rows(text)
        assert not {"script", "link", "img", "iframe", "object"} & set(page.tags)
        targets = [
            value for name, value in page.attributes if name in ("href", "src", "xlink:href")
        ]
        assert all(value.startswith("#") for value in targets)
        assert "http" not in text.replace("http://www.w3.org/", "")


def test_what_was_logged_between_the_samples_is_told(fleet):
    pages, _ = fleet
    assert "top-up, 5.3 L tap water Upper Quell" in pages.page(pages.units.find("WL-02")).since


def test_what_is_not_recorded_leaves_a_line_to_write_on(fleet):
    pages, _ = fleet
    page = pages.page(pages.units.find("WL-02"))
    recorded = {item.label: item.value for item in page.evidence}
    assert recorded["Sample number"].startswith("K-")
    assert recorded["Laboratory"] == ""
    html = write_unit_page(page)
    assert html.count('class="blank"') == sum(not v for v in recorded.values()) + len(
        page.to_fill_in
    )


def hostile_folder(tmp_path: Path) -> Path:
    rows = "".join(
        "{0},{0},2031-0{1}-14,organic acid,8.3,30,{2},<1\n".format(
            '"{}"'.format(unit.replace('"', '""')), month, 12 + month
        )
        for unit in HOSTILE
        for month in (1, 2, 3)
    )
    file = tmp_path / "hostile.csv"
    file.write_text(WIDE + rows, encoding="utf-8")
    write_check_folder(check(read_results(file)), tmp_path / "out")
    return tmp_path / "out"


def test_hostile_ids_show_as_text_and_name_no_file(tmp_path):
    out = hostile_folder(tmp_path)
    files = sorted((out / "units").iterdir())
    assert len(files) == len(HOSTILE)
    assert all(file.parent == out / "units" and file.suffix == ".html" for file in files)
    for file in (*files, out / "report.html"):
        page = Rows(file.read_text(encoding="utf-8"))
        assert not {"script", "img"} & set(page.tags)
        assert "onerror" not in {name for name, _ in page.attributes}
        assert "\u202e" not in page.text
    assert '"><img src=x onerror=alert(1)>' in Rows((out / "report.html").read_text()).text


def test_the_index_links_every_page_and_no_page_is_left_from_before(tmp_path):
    file = tmp_path / "two.csv"
    line = "{0},{1},2031-01-0{2},organic acid,8.3,{3},10,<1\n"
    rows = [("a", "A", 1, 20), ("b", "B", 2, 48), ("c", "C", 3, 20)]
    file.write_text(WIDE + "".join(line.format(*row) for row in rows))
    answer = check(read_results(file))
    write_check_folder(answer, tmp_path / "out", pages=PageChoice(all_pages=True))
    assert {p.name for p in (tmp_path / "out/units").iterdir()} == {"A.html", "B.html", "C.html"}
    write_check_folder(answer, tmp_path / "out")
    left = {p.name for p in (tmp_path / "out/units").iterdir()}
    index = Rows((tmp_path / "out/report.html").read_text())
    assert {f"units/{name}" for name in left} == {v for n, v in index.attributes if n == "href"}
    assert {"A.html", "C.html"} <= left


def test_of_one_unit_the_report_is_its_page(tmp_path):
    file = tmp_path / "one.csv"
    file.write_text(
        WIDE
        + "a,A,2031-01-01,organic acid,8.3,48,10,<1\nb,A,2031-02-01,organic acid,8.2,48,11,<1\n"
    )
    write_check_folder(check(read_results(file)), tmp_path / "out")
    assert "<h1>Unit A</h1>" in (tmp_path / "out/report.html").read_text()
    assert not (tmp_path / "out/units").exists()


def test_words_stand_in_the_table_and_not_on_a_scale():
    answer = check(read_results(SAMPLES / "strip_log.csv"))
    pages = UnitPages.of(answer)
    page = pages.page(pages.units.find("F1-ME1"))
    assert "appearance" in {line.quantity for line in page.finding.lines}
    assert "appearance" not in page.readings.description
    assert "pH" in page.readings.description


def test_a_chart_shows_no_reading_that_is_not_there(fleet):
    pages, _ = fleet
    page = pages.page(pages.units.find("WL-02"))
    lines = [line for line in page.finding.lines if line.numbers and isnan(line.numbers.lower)]
    assert all(line.quantity not in page.readings.description.split("; ")[0] for line in lines)
