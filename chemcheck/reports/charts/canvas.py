"""Charts as SVG with real text, or as PNG: one way of drawing for all of them."""

import re
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from html import escape
from io import BytesIO, StringIO
from typing import TYPE_CHECKING, Any

from chemcheck.reports.text_layout import visible

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FORMS = ("svg", "png")
# Colours of matplotlib's style tableau-colorblind10, dark enough for thin lines on white.
BLUE, ORANGE, GREY, LIGHT_BLUE, PALE = "#006BA4", "#C85200", "#595959", "#A2C8EC", "#CFCFCF"
INK = "#1A1A1A"
WIDTH = 5.4  # inches; at this width letters stay legible on a telephone
LABEL_LETTERS = 26
_POINTS = 72
_DPI = 150
_SETTINGS: dict[Any, Any] = {
    "svg.fonttype": "none",
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans", "Verdana", "Arial", "sans-serif"],
    "font.size": 9.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "text.color": INK,
    "axes.labelcolor": INK,
    "axes.edgecolor": GREY,
    "xtick.color": INK,
    "ytick.color": INK,
    "text.parse_math": False,
    "axes.formatter.use_mathtext": False,
    "axes.unicode_minus": True,
}
_OPENING = re.compile(r"<svg [^>]*viewBox=\"([^\"]*)\"[^>]*>")
_METADATA = re.compile(r"\s*<metadata>.*?</metadata>", re.DOTALL)
_STYLE = re.compile(r"\s*<defs>\s*<style[^>]*>.*?</style>\s*</defs>", re.DOTALL)
_GROUP_NAME = re.compile(r" id=\"[A-Za-z][A-Za-z0-9.]*_\d+\"")
_DEFINED = re.compile(r"(id=\"|#)([a-z][0-9a-f]{10})\b")
_SPACES = re.compile(r">\s+<")


@dataclass(frozen=True, slots=True)
class Chart:
    """What a chart shows, and how to draw it.

    Parameters
    ----------
    name : str
        Stem of its file, and its name within a page.
    title : str
        One line.
    description : str
        What a person who cannot see it has to know.
    height : float
        In inches; all are `WIDTH` wide.
    draw : callable
        Draws on an empty figure.
    """

    name: str
    title: str
    description: str
    height: float
    draw: "Callable[[Figure], None]"


def svg_in_page(chart: Chart) -> str:
    """Return a chart as an SVG element for a page.

    Letters are text; the title and the description are elements that a screen reader reads.
    What the element defines is named after the chart, so that charts on one page do not
    borrow from each other.

    Parameters
    ----------
    chart : Chart
        What to draw.

    Examples
    --------
    >>> chart = Chart("a", "Chloride <mg/L>", "Nothing.", 1.0, lambda figure: None)
    >>> ">Chloride &lt;mg/L&gt;</title>" in svg_in_page(chart)
    True
    """
    stream = StringIO()
    with _prepared(chart) as figure:
        # The canvas itself: a figure's savefig draws once more to find out its size.
        figure.canvas.print_svg(stream, metadata={"Date": None})  # type: ignore[attr-defined]  # of the SVG canvas
    return _tidy(stream.getvalue(), chart)


def picture(chart: Chart, form: str = "svg") -> bytes:
    """Return a chart as the bytes of a file.

    Parameters
    ----------
    chart : Chart
        What to draw.
    form : {"svg", "png"}
        Of the file.
    """
    if form == "svg":
        return f'<?xml version="1.0" encoding="UTF-8"?>\n{svg_in_page(chart)}\n'.encode()
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    stream = BytesIO()
    with _prepared(chart) as figure:
        FigureCanvasAgg(figure)
        figure.savefig(
            stream, format="png", dpi=_DPI,
            metadata={"Title": visible(chart.title), "Description": visible(chart.description)},
        )  # fmt: skip
    return stream.getvalue()


def label(text: str, letters: int = LABEL_LETTERS) -> str:
    r"""Return a text from a file as a chart can show it: in one line, not too long.

    Examples
    --------
    >>> label("HT-07"), label("a" * 40, letters=10), label("two\nlines")
    ('HT-07', 'aaaaaaaaa…', 'two lines')
    """
    told = visible(" ".join(text.split()))
    return told if len(told) <= letters else f"{told[: letters - 1]}…"


def one_axes(figure: "Figure", *, left: float, top: float = 0.12, bottom: float = 0.46) -> "Axes":
    """Return axes with so many inches left free on three sides, without a layout engine.

    A layout engine draws everything twice to find out how long the labels are.
    """
    width, height = figure.get_size_inches()
    return figure.add_axes(
        (left / width, bottom / height, 1 - (left + 0.15) / width, 1 - (top + bottom) / height)
    )


def put_title(axes: "Axes", text: str) -> None:
    """Write a line over axes; matplotlib's own title looks for its place each time it is drawn."""
    axes.annotate(
        text, (0.0, 1.0), (0, 4), xycoords="axes fraction", textcoords="offset points", fontsize=9
    )


@contextmanager
def _prepared(chart: Chart) -> "Iterator[Figure]":
    """Draw a chart on a figure in our settings."""
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    with mpl.rc_context(), warnings.catch_warnings():
        mpl.rcParams.update(_SETTINGS)
        mpl.rcParams["svg.hashsalt"] = chart.name
        # The letters are drawn by whatever shows the SVG, which may know what our font lacks.
        warnings.filterwarnings("ignore", r"(Glyph|Matplotlib currently does not)", UserWarning)
        figure = Figure(figsize=(WIDTH, chart.height))
        FigureCanvasSVG(figure)
        chart.draw(figure)
        yield figure


def _tidy(svg: str, chart: Chart) -> str:
    """Keep of matplotlib's file what a page needs, and say what it shows."""
    found = _OPENING.search(svg)
    if found is None:  # pragma: no cover - matplotlib always writes one
        return svg
    name = chart.name
    opening = (
        f'<svg class="chart" role="img" aria-labelledby="{name}-title {name}-text" '
        f'viewBox="{found.group(1)}" width="{WIDTH * _POINTS:g}pt" '
        f'height="{chart.height * _POINTS:g}pt" xmlns="http://www.w3.org/2000/svg" '
        'xmlns:xlink="http://www.w3.org/1999/xlink" '
        'style="stroke-linejoin: round; stroke-linecap: butt">'
        f'<title id="{name}-title">{escape(visible(chart.title))}</title>'
        f'<desc id="{name}-text">{escape(visible(chart.description))}</desc>'
    )
    body = _STYLE.sub("", _METADATA.sub("", svg[found.end() :]))
    body = _DEFINED.sub(rf"\1{name}-\2", _GROUP_NAME.sub("", body))
    return opening + _SPACES.sub("><", body).replace("\n", " ").strip()
