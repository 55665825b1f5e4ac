"""Causes on a page say what the causes found say, in their order."""

from html import unescape
from pathlib import Path

import pytest

from chemcheck import check, read_results
from chemcheck.intake.events import read_events
from chemcheck.reports.cause_words import cause_story, likelihood_words
from chemcheck.reports.page import write_unit_page
from chemcheck.reports.unit_pages import UnitPages

SAMPLES = Path(__file__).parents[2] / "sample_results"


@pytest.fixture(scope="module")
def pages() -> UnitPages:
    events = read_events(SAMPLES / "events.csv")
    return UnitPages.of(check(read_results(SAMPLES / "fleet_history.csv"), events=events), events)


# What happened to these units is written in sample_results/README.md, all invented.
@pytest.mark.parametrize(
    ("unit", "title"),
    [("HT-04", "Combustion gas leaking into the coolant"), ("WL-02", "Dilution with water")],
)
def test_what_happened_is_among_the_causes_on_the_page(pages, unit, title):
    html = write_unit_page(pages.page(pages.units.find(unit)))
    causes = html.partition("What may have gone wrong")[2]
    headings = [each.partition("</h3>")[0] for each in causes.split("<h3>")[1:]]
    assert any(title.lower() in each.lower() for each in headings)
    for words in ("Speaks for it", "Confirm by", "Looks like", "Source"):
        assert words in causes


def test_every_cause_raised_is_told_with_its_weight(pages):
    place = pages.units.find("HT-04")
    row = int(pages.units.of(place)[-1])
    found = [one for one in pages.assessment.causes.of_sample(row) if one.raised]
    html = unescape(write_unit_page(pages.page(place)))
    assert len(found) > 1
    for one in found:
        assert f'data-cause="{one.cause}" data-weight="{one.weight_of_evidence}"' in html
        assert one.confirm_by in html


def test_a_cause_is_told_once_on_its_page(pages):
    html = write_unit_page(pages.page(pages.units.find("HT-04")))
    assert html.count("<h3>Combustion gas leaking into the coolant</h3>") == 1
    assert html.count("What may have gone wrong") == 1


def test_cautions_of_the_causes_are_shown(pages):
    page = pages.page(pages.units.find("HT-04"))
    assert any("Keep clothing, hair and tools clear" in text for text in page.cautions)


def test_without_coolant_nothing_is_said():
    assert cause_story(None, 0) is None


def test_a_weight_is_a_power_of_ten():
    # log10 of a likelihood ratio: 0 says nothing either way.
    assert likelihood_words(0.0).startswith("1 times")
    assert likelihood_words(-1.0).startswith("0.1 times")
