"""Which unit reaches its first bound when: ranked, each crossing as a band."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING

from chemcheck.reports.charts.axis_ticks import Axis
from chemcheck.reports.charts.canvas import BLUE, GREY, INK, LIGHT_BLUE, ORANGE, Chart, label

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_ROW, _TOP, _BOTTOM = 0.24, 0.08, 0.75
_LEFT, _RIGHT = 1.2, 1.75  # inches for the names, and for what is reached
_LETTERS = 31  # of what is reached, that fit into a line there
_LEGEND = (
    "Band: chance of 10 to 90 % of having passed the bound; bar: 50 %; diamond: change by;",
    "arrow: goes on beyond the horizon; X: beyond the bound now.",
)


@dataclass(frozen=True, slots=True)
class Crossing:
    """When one unit passes its first bound.

    Parameters
    ----------
    unit, reaches : str
        The unit, and the bound it reaches first.
    p10, p50, p90 : float
        By when with a chance of so many percent; NaN where unknown, infinite beyond the
        horizon.
    change_by : float
        By when to change; NaN where there is no date.
    now : float
        Its last sample.
    outside : bool
        Whether it is beyond the bound now.
    """

    unit: str
    reaches: str
    p10: float
    p50: float
    p90: float
    change_by: float
    now: float
    outside: bool


def crossings_chart(name: str, title: str, axis: Axis, rows: Sequence[Crossing]) -> Chart:
    """Return a chart of crossings, in the order given.

    Parameters
    ----------
    name, title : str
        As for `Chart`.
    axis : Axis
        What crossings are counted in.
    rows : sequence of Crossing
        The most urgent first.
    """
    told = "; ".join(
        f"{row.unit} {row.reaches}: beyond it now"
        if row.outside
        else f"{row.unit} {row.reaches}: {axis.words(row.p10)} to {axis.words(row.p90)}"
        for row in rows
    )
    height = _ROW * len(rows) + _TOP + _BOTTOM
    return Chart(name, title, f"{told}.", height, _Drawing(axis, tuple(rows)))


@dataclass(frozen=True, slots=True)
class _Drawing:
    """Draws the crossings."""

    axis: Axis
    rows: tuple[Crossing, ...]

    def __call__(self, figure: "Figure") -> None:
        from matplotlib.collections import LineCollection

        width, height = figure.get_size_inches()
        axes = figure.add_axes(
            (_LEFT / width, _BOTTOM / height, 1 - (_LEFT + _RIGHT) / width,
             1 - (_TOP + _BOTTOM) / height)
        )  # fmt: skip
        first, last = _reach(self.rows)
        axes.set_xlim(first, last)
        axes.set_ylim(len(self.rows), 0)
        bands, middles = [], []
        for k, row in enumerate(self.rows):
            y = k + 0.5
            if math.isfinite(row.p10) and not row.outside:
                bands.append([(row.p10, y), (min(row.p90, last), y)])
                if math.isinf(row.p90):
                    axes.plot(last, y, ">", color=BLUE, markersize=4, clip_on=False)
            if math.isfinite(row.p50) and not row.outside:
                middles.append([(row.p50, y - 0.36), (row.p50, y + 0.36)])
            if math.isfinite(row.change_by) and not row.outside:
                axes.plot(row.change_by, y, "D", color=INK, markersize=3.6, zorder=4)
            if row.outside:
                axes.plot(row.now, y, "X", color=ORANGE, markersize=6, zorder=4)
            axes.text(
                -0.02, y, label(row.unit, 16), transform=axes.get_yaxis_transform(), ha="right",
                va="center", fontsize=8,
            )  # fmt: skip
            lines = wrap(label(row.reaches, 2 * _LETTERS), _LETTERS)[:2]
            axes.text(
                1.03, y, "\n".join(lines), transform=axes.get_yaxis_transform(),
                va="center", fontsize=6.5, linespacing=0.95,
            )  # fmt: skip
        axes.add_collection(
            LineCollection(bands, colors=LIGHT_BLUE, linewidths=7, capstyle="butt"), autolim=False
        )
        axes.add_collection(LineCollection(middles, colors=BLUE, linewidths=2.2), autolim=False)
        self.axis.mark(axes, first, last, most=4)
        axes.set_yticks([])
        axes.spines["left"].set_visible(False)
        for k, line in enumerate(_LEGEND):
            figure.text(0.012, (0.22 - 0.14 * k) / height, line, fontsize=7.2, color=GREY)


def _reach(rows: Sequence[Crossing]) -> tuple[float, float]:
    places = [
        place
        for row in rows
        # Of what is beyond its bound now only that is drawn.
        for place in (
            (row.now,) if row.outside else (row.now, row.p10, row.p50, row.p90, row.change_by)
        )
        if math.isfinite(place)
    ] or [0.0, 1.0]
    first, last = min(places), max(places)
    pad = 0.03 * (last - first) or 1.0
    return first - pad, last + pad
