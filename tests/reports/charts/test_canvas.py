"""Charts are SVG with real text that a page and a screen reader can use."""

import re
import xml.etree.ElementTree as ET

import pytest

from chemcheck.reports.charts import FORMS, Chart, picture, svg_in_page
from chemcheck.reports.charts.canvas import label, one_axes

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = (
    '<script>alert("1")</script>',
    "$\\frac{1}{2}$ $x",
    "\u202eevil\u202c",
    "\u6c34 \u05d0",
    "a" * 10_000,
)


def chart(text: str = "HT-07", name: str = "one") -> Chart:
    def draw(figure):
        axes = one_axes(figure, left=0.6)
        axes.plot([0, 1], [0, 1], "o")
        axes.set_title(label(text))

    return Chart(name, text, f"About {text}.", 2.0, draw)


@pytest.mark.parametrize("text", HOSTILE)
def test_what_a_file_says_is_shown_as_text(text):
    root = ET.fromstring(svg_in_page(chart(text)))
    shown = [node.text for node in root.iter(f"{SVG}text")]
    assert label(text) in shown
    assert not {"script", "img", "foreignObject"} & {
        node.tag.removeprefix(SVG) for node in root.iter()
    }
    assert not re.search("[\u202a-\u202e\u2066-\u2069]", ET.tostring(root, encoding="unicode"))


def test_title_and_description_come_first_and_name_the_chart():
    root = ET.fromstring(svg_in_page(chart()))
    title, description = list(root)[:2]
    assert (title.tag, title.text) == (f"{SVG}title", "HT-07")
    assert (description.tag, description.text) == (f"{SVG}desc", "About HT-07.")
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"


def test_two_charts_on_a_page_share_no_id_and_every_reference_is_met():
    both = svg_in_page(chart(name="one")) + svg_in_page(chart(name="two"))
    ids = re.findall(r' id="([^"]+)"', both)
    assert len(ids) == len(set(ids))
    wanted = re.findall(r'(?:url\(#|xlink:href="#)([^")]+)', both)
    assert wanted
    assert set(wanted) <= set(ids)


def test_a_chart_is_drawn_alike_every_time_and_says_no_date():
    assert picture(chart()) == picture(chart())
    assert b"dc:date" not in picture(chart())


def test_a_picture_is_a_file_of_its_form():
    starts = {"svg": b"<?xml", "png": b"\x89PNG"}
    assert {form: picture(chart(), form)[: len(start)] for form, start in starts.items()} == starts
    assert set(starts) == set(FORMS)


def test_nothing_of_matplotlibs_defaults_is_changed():
    import matplotlib as mpl

    before = dict(mpl.rcParams)
    svg_in_page(chart())
    assert dict(mpl.rcParams) == before
