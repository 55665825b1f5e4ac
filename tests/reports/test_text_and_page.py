"""One report, written as text and as a page."""

from html.parser import HTMLParser

from chemcheck.reports.document import Document, Finding, OverviewLine, ResultLine, Section
from chemcheck.reports.page import write_page
from chemcheck.reports.text import write_text

HOSTILE = "<script>alert(1)</script>\x1b[31m"
LINE = ResultLine("chloride", "85", "mg/L", "at most 40", "45 beyond", "outside", "TM, table")
DOCUMENT = Document(
    title="Check page",
    in_use="Judged against: fill water, version 1.",
    sentence="Two samples: 1 unfit, 1 fit.",
    counts=("2 rows read = 2 samples.",),
    overview=(OverviewLine(HOSTILE, "unfit", "chloride 85", ("TM, table",), "change"),),
    findings=(
        Finding(
            HOSTILE,
            "Unfit.",
            (LINE,),
            ("Chloride pits aluminium.",),
            ("Use deionised water.",),
            ("Sulfate was not read.",),
        ),
        Finding("sample 2", "Fit.", (LINE,), (), ()),
    ),
    cut="All shown.",
    sections=(Section("Cautions", ("Wait until cold.",)), Section("Assumptions", ())),
)


class Reader(HTMLParser):
    """Collect the elements and texts of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.open: list[str] = []
        self.texts: list[str] = []
        self.attributes: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        if tag not in {"meta", "br"}:
            self.open.append(tag)
        self.attributes.extend(name for name, _ in attrs)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.texts.append(data.strip())


def test_text_leads_with_the_set_then_the_verdict_and_ends_with_cautions():
    lines = write_text(DOCUMENT).splitlines()
    assert lines[0] == "Judged against: fill water, version 1."
    assert lines[2] == "Two samples: 1 unfit, 1 fit."
    assert lines[-3:] == ["Cautions", "--------", "- Wait until cold."]


def test_text_numbers_each_source_once():
    text = write_text(DOCUMENT)
    assert text.count("[1]") == 4
    assert "[1] TM, table" in text
    assert "[2]" not in text


def test_text_cannot_steer_a_terminal():
    text = write_text(DOCUMENT)
    assert "\x1b" not in text
    assert "\\x1b[31m" in text


def test_an_empty_section_has_no_heading():
    assert "Assumptions" not in write_text(DOCUMENT)
    assert "Assumptions" not in write_page(DOCUMENT)


def test_page_shows_hostile_text_as_text():
    reader = Reader(write_page(DOCUMENT))
    assert "script" not in reader.tags
    assert "<script>alert(1)</script>\\x1b[31m" in reader.texts


def test_page_loads_nothing():
    reader = Reader(write_page(DOCUMENT))
    assert not {"img", "link", "script", "iframe", "object"} & set(reader.tags)
    assert not {"src", "href", "onload", "onclick"} & set(reader.attributes)


def test_page_has_reading_bound_margin_and_source_in_a_table():
    texts = Reader(write_page(DOCUMENT)).texts
    for words in ("85", "at most 40", "45 beyond"):
        assert texts.count(words) == 2
    assert texts.count("TM, table") == 4
    assert texts.index("Two samples: 1 unfit, 1 fit.") < texts.index("85")
    assert texts.index("Cautions") < texts.index("Wait until cold.")


def test_every_element_is_closed():
    assert Reader(write_page(DOCUMENT)).open == []
