"""Every page in a real browser: silent, whole, readable, and deaf to what a file says."""

import re

import pytest

from tests.browser.written import HOSTILE, KINDS, WIDTHS, opened

# Sizes of paper [mm], margins of the page's own style included.
PAPERS = ("A4", "Letter")


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_asks_for_nothing_and_complains_of_nothing(chromium, pages, kind):
    for file in pages[kind]:
        with opened(chromium, file, WIDTHS[0]) as (_, said, asked):
            assert said == []
            assert asked == [file.as_uri()]
        assert "<script" not in file.read_text(encoding="utf-8").lower()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", KINDS)
def test_nothing_stands_out_of_the_page(chromium, pages, kind, width):
    for file in pages[kind]:
        with opened(chromium, file, width) as (page, _, _):
            assert page.evaluate("document.documentElement.scrollWidth") <= width, file


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", KINDS)
def test_no_serious_barrier_to_anybody(chromium, axe, pages, kind, width):
    # axe-core's rules follow WCAG 2.2; its contrast rule asks for 4.5 (success criterion 1.4.3).
    for file in pages[kind]:
        with opened(chromium, file, width) as (page, _, _):
            page.evaluate(axe)
            found = page.evaluate("axe.run().then(answer => answer.violations)")
            grave = [
                (each["id"], each["nodes"][0]["html"][:200])
                for each in found
                if each["impact"] in ("serious", "critical")
            ]
            assert grave == [], file


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", KINDS)
def test_no_table_is_cut_on_paper(chromium, pages, kind, paper, tmp_path):
    for file in pages[kind]:
        with opened(chromium, file, WIDTHS[1]) as (page, _, _):
            printed = page.pdf(format=paper, path=tmp_path / "page.pdf", prefer_css_page_size=False)
            assert printed.startswith(b"%PDF")
            # As wide as the paper less the least margin a printer keeps, in CSS pixels.
            room = {"A4": 718, "Letter": 740}[paper]
            page.set_viewport_size({"width": room, "height": 900})
            page.emulate_media(media="print")
            wide = page.evaluate(
                "[...document.querySelectorAll('table, svg, img')]"
                ".filter(each => each.getBoundingClientRect().right > innerWidth + 1)"
                ".map(each => each.outerHTML.slice(0, 120))"
            )
            assert wide == [], file


def test_a_hostile_id_is_shown_as_text(chromium, pages):
    shown = ""
    for file in pages["hostile"]:
        with opened(chromium, file, WIDTHS[1]) as (page, _, _):
            assert page.title() != "taken"
            assert page.evaluate("document.images.length") == 0
            shown += page.inner_text("body")
    assert "<script>document.title='taken'</script>" in shown
    assert '"><img src=x onerror=' in shown
    assert "{{ 7 * 7 }}" in shown
    assert re.search("x{60}", shown)
    assert not re.search("[\u202a-\u202e\u2066-\u2069]", shown)
    assert len(HOSTILE) == 5
