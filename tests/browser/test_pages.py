"""Every page in a real browser: silent, whole, readable, and deaf to what a file says."""

import re

import pytest

from tests.browser.written import HOSTILE, KINDS, WIDTHS, opened

# Paper, and how wide it is less the least margin that a printer keeps [CSS pixels].
PAPERS = {"A4": 718, "Letter": 740}
WIDER_THAN_PAPER = """
[...document.querySelectorAll('table, svg, img')]
    .filter(each => each.getBoundingClientRect().right > innerWidth + 1)
    .map(each => each.outerHTML.slice(0, 120))
"""
# axe-core's rules follow WCAG 2.2; its contrast rule asks for 4.5 (success criterion 1.4.3).
GRAVE = """
axe.run().then(answer => answer.violations
    .filter(each => ['serious', 'critical'].includes(each.impact))
    .map(each => [each.id, each.nodes[0].html.slice(0, 200)]))
"""


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", KINDS)
def test_a_page_is_silent_whole_and_bars_nobody(chromium, axe, pages, kind, width):
    for file in pages[kind]:
        with opened(chromium, file, width) as (page, said, asked):
            assert page.evaluate("document.documentElement.scrollWidth") <= width, file
            # Where no accessibility checker was fetched, the rest is looked at all the same.
            if axe:
                page.evaluate(axe)
                assert page.evaluate(GRAVE) == [], file
            assert said == [], file
            assert asked == [file.as_uri()]


@pytest.mark.parametrize("kind", KINDS)
def test_no_table_is_cut_on_paper(chromium, pages, kind):
    for file in pages[kind]:
        with opened(chromium, file, WIDTHS[1]) as (page, _, _):
            page.emulate_media(media="print")
            for paper, room in PAPERS.items():
                page.set_viewport_size({"width": room, "height": 900})
                assert page.evaluate(WIDER_THAN_PAPER) == [], (file, paper)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_prints_on_each_paper(chromium, pages, kind):
    with opened(chromium, pages[kind][0], WIDTHS[1]) as (page, _, _):
        for paper in PAPERS:
            assert page.pdf(format=paper, prefer_css_page_size=False).startswith(b"%PDF")


@pytest.mark.parametrize("kind", KINDS)
def test_no_page_carries_a_script_or_a_mark_that_turns_text_round(pages, kind):
    for file in pages[kind]:
        html = file.read_text(encoding="utf-8")
        assert "<script" not in html.lower()
        assert not re.search("[\u202a-\u202e\u2066-\u2069]", html), file


def test_a_hostile_id_is_shown_as_text_and_names_no_file(chromium, pages):
    shown = ""
    for file in pages["hostile"]:
        # A name that every system of files takes.
        assert re.fullmatch(r"[\w.-]{1,120}\.html", file.name, re.ASCII), file
        with opened(chromium, file, WIDTHS[1]) as (page, _, _):
            assert page.title() != "taken"
            assert page.evaluate("document.images.length") == 0
            shown += page.inner_text("body")
    assert "<script>document.title='taken'</script>" in shown
    assert '"><img src=x onerror=' in shown
    assert "{{ 7 * 7 }}" in shown
    assert re.search("x{60}", shown)
    assert len(pages["hostile"]) == 1 + len(HOSTILE)
