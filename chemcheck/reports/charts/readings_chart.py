"""The readings of one sample, each on a scale of its own, against the bounds it has."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING, Any

import numpy as np

from chemcheck.reports.charts.canvas import BLUE, GREY, INK, ORANGE, Chart, label
from chemcheck.reports.numbers import number

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure
    from matplotlib.transforms import Transform

# Places on a row's scale: 0 is its left end, 1 its right.
ONE_BOUND, LOWER, UPPER = 2 / 3, 0.22, 0.78
_FIRST, _LAST, _ROW = 30.0, 68.0, 0.31
_LEAST, _TIP = 0.016, 0.035  # of a scale: what is narrower is drawn as wide; an open end
_SHORT = 8  # letters of a unit
_LETTERS = 27  # of a title in one line
_LEGEND = (
    "Bar: the reading. Hollow: open at one end (not detected, or above range).",
    "Thin line: with the method's 95 % uncertainty. Upright: bound. Each row has its own scale.",
)


@dataclass(frozen=True, slots=True)
class Row:
    """One reading against its bounds.

    Parameters
    ----------
    title, reading, unit, state : str
        As the table says them.
    lower, upper : float
        Ends of the reading.
    reach : float
        Half the width of the method's 95 % interval; NaN where unknown.
    least, most : float
        Lower and upper bound; NaN where there is none.
    """

    title: str
    reading: str
    unit: str
    state: str
    lower: float
    upper: float
    reach: float
    least: float
    most: float


def readings_chart(name: str, title: str, rows: Sequence[Row]) -> Chart:
    """Return a chart of readings against their bounds.

    Parameters
    ----------
    name, title : str
        As for `Chart`.
    rows : sequence of Row
        From above; each has at least one bound.
    """
    told = "; ".join(f"{row.title} {row.reading} {row.unit}, {row.state}" for row in rows)
    return Chart(name, title, f"{told}.", _ROW * len(rows) + 0.46, _Drawing(tuple(rows)))


@dataclass(frozen=True, slots=True)
class Scale:
    """Where values stand on a row.

    Parameters
    ----------
    origin : float
        Value at the left end.
    span : float
        From there to the right end.
    """

    origin: float
    span: float

    def place(self, value: float) -> float:
        """Return the place of a value, between 0 and 1 if it is on the scale."""
        return (value - self.origin) / self.span


def scale_of(row: Row) -> Scale:
    """Return a scale on which the bounds of a row stand well.

    With two bounds they stand at fixed places; with one, zero stands at the left end.

    Examples
    --------
    >>> nan = float("nan")
    >>> scale_of(Row("chloride", "85", "mg/L", "outside", 85, 85, 4, nan, 40.0))
    Scale(origin=0.0, span=60.0)
    """
    if not math.isnan(row.least) and not math.isnan(row.most) and row.most > row.least:
        span = (row.most - row.least) / (UPPER - LOWER)
        return Scale(row.least - LOWER * span, span)
    bound = row.most if math.isnan(row.least) else row.least
    place = ONE_BOUND if math.isnan(row.least) else 1 - ONE_BOUND
    if bound > 0:
        return Scale(0.0, bound / place)
    finite = [abs(end) for end in (row.lower, row.upper, bound) if math.isfinite(end)]
    span = 1.5 * max([*finite, 1e-9])
    return Scale(bound - place * span, span)


@dataclass(frozen=True, slots=True)
class _Drawing:
    """Draws the rows."""

    rows: tuple[Row, ...]

    def __call__(self, figure: "Figure") -> None:
        from matplotlib.collections import LineCollection, PolyCollection

        sheet = _Sheet.on(figure, len(self.rows) + 0.46 / _ROW)
        placed = [(row, scale_of(row), k + 0.5) for k, row in enumerate(self.rows)]
        lines = [_lines(*one) for one in placed]
        for k, (colour, width, dashes) in enumerate(_STYLES):
            segments = [segment for of_row in lines for segment in of_row[k]]
            sheet.add(LineCollection(segments, colors=colour, linewidths=width, linestyles=dashes))
        bars = [_bar(*one) for one in placed]
        sheet.add(
            PolyCollection(
                [bar.corners for bar in bars],
                closed=False,
                facecolors=["white" if bar.is_open else bar.colour for bar in bars],
                edgecolors=[bar.colour for bar in bars],
                linewidths=1.3,
                zorder=3,
            )
        )
        for one in placed:
            _words(sheet, *one)
        for k, line in enumerate(_LEGEND):
            sheet.text(1.0, len(self.rows) + 0.45 + 0.55 * k, line, fontsize=7.2, color=GREY)


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A whole figure, 100 wide and so many rows high: axes would take longer than the rows."""

    figure: "Figure"
    places: "Transform"

    @classmethod
    def on(cls, figure: "Figure", rows: float) -> "_Sheet":
        from matplotlib.transforms import Affine2D

        return cls(figure, Affine2D().scale(0.01, -1 / rows).translate(0, 1) + figure.transFigure)

    def add(self, artist: "Artist") -> None:
        artist.set_transform(self.places)
        self.figure.add_artist(artist)

    def text(self, x: float, y: float, text: str, **style: Any) -> None:
        self.figure.text(x, y, text, va="center", transform=self.places, **style)


@dataclass(frozen=True, slots=True)
class _Bar:
    """A reading as a shape."""

    corners: list[tuple[float, float]]
    is_open: bool
    colour: str


# Colour, width and dashes of what is allowed, what is not, the method's interval, the bounds.
_STYLES = (
    (GREY, 0.8, "solid"),
    (ORANGE, 0.9, (0, (1, 2))),
    (INK, 1.2, "solid"),
    (INK, 2.0, "solid"),
)
_Segments = list[list[tuple[float, float]]]


def _lines(row: Row, scale: Scale, y: float) -> tuple[_Segments, _Segments, _Segments, _Segments]:
    """Return the lines of a row, by their style."""
    first = 0.0 if math.isnan(row.least) else scale.place(row.least)
    last = 1.0 if math.isnan(row.most) else scale.place(row.most)
    reach = []
    if row.reach > 0 and math.isfinite(row.upper - row.lower):
        ends = scale.place(row.lower - row.reach), scale.place(row.upper + row.reach)
        reach.append(_segment(*_clipped(*ends), y))
    bounds = [
        [(_across(scale.place(bound)), y - 0.36), (_across(scale.place(bound)), y + 0.36)]
        for bound in (row.least, row.most)
        if not math.isnan(bound)
    ]
    beyond = [_segment(*ends, y) for ends in ((0.0, first), (last, 1.0)) if ends[1] > ends[0]]
    return [_segment(first, last, y)], beyond, reach, bounds


def _bar(row: Row, scale: Scale, y: float) -> _Bar:
    """Return the reading itself: filled where both ends are known, hollow where one is open."""
    not_detected = row.lower == 0.0 < row.upper
    is_open = not_detected or math.isinf(row.upper) or math.isinf(row.lower)
    ends = scale.place(row.lower), scale.place(row.upper)
    # What goes on beyond the scale ends in a point that shows which way.
    left, right = ends[0] < 0, ends[1] > 1
    first, last = _widened(*_clipped(*ends), _TIP if left or right else _LEAST)
    inner = first + (_TIP if left else 0.0), last - (_TIP if right else 0.0)
    half = 0.2
    corners = [(inner[0], y - half), (inner[1], y - half)]
    corners += [(last, y)] if right else []
    corners += [(inner[1], y + half), (inner[0], y + half)]
    corners += [(first, y)] if left else []
    # The side at zero of what was not detected stays open.
    corners += [] if not_detected else corners[:1]
    placed = [(_across(x), at) for x, at in corners]
    return _Bar(placed, is_open, ORANGE if row.state == "outside" else BLUE)


def _words(sheet: _Sheet, row: Row, scale: Scale, y: float) -> None:
    lines = wrap(label(row.title, 2 * _LETTERS), _LETTERS)[:2]
    sheet.text(1.0, y, "\n".join(lines), linespacing=1.0, fontsize=9 if len(lines) < 2 else 7.2)
    is_worse = row.state in ("outside", "undecided")
    # A plain state is no news, and a short unit stands beside its number.
    is_short = len(row.unit) <= _SHORT
    reading = f"{row.reading} {row.unit}" if is_short else row.reading
    below = ", ".join(
        filter(None, ("" if is_short else row.unit, "" if row.state == "inside" else row.state))
    )
    sheet.text(
        _LAST + 1.5, y - (0.14 if below else 0.0), label(reading, 28), fontsize=8,
        weight="bold" if is_worse else "normal",
    )  # fmt: skip
    if below:
        sheet.text(_LAST + 1.5, y + 0.3, label(below, 40), fontsize=7, color=GREY)
    for bound, gap, side in ((row.least, -0.5, "right"), (row.most, 0.5, "left")):
        if not math.isnan(bound):
            across = _across(scale.place(bound)) + gap
            sheet.text(across, y - 0.26, number(bound), fontsize=7, ha=side)


def _widened(first: float, last: float, least: float) -> tuple[float, float]:
    """Return ends at least so far apart, within the scale."""
    if last - first >= least:
        return first, last
    middle = min(max((first + last) / 2, least / 2), 1 - least / 2)
    return middle - least / 2, middle + least / 2


def _across(place: float) -> float:
    """Return where a place on a scale is across the chart."""
    return _FIRST + (_LAST - _FIRST) * place


def _clipped(first: float, last: float) -> tuple[float, float]:
    return float(np.clip(first, 0.0, 1.0)), float(np.clip(last, 0.0, 1.0))


def _segment(first: float, last: float, y: float) -> list[tuple[float, float]]:
    return [(_across(first), y), (_across(last), y)]
