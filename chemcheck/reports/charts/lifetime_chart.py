"""How well a family of lifetimes fits: a probability plot with its line and band."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from chemcheck.planning.fit_plot import FitPlot
from chemcheck.planning.lifetime import Lifetime
from chemcheck.reports.charts.canvas import BLUE, INK, LIGHT_BLUE, Chart, one_axes, put_title
from chemcheck.reports.numbers import counted, number

if TYPE_CHECKING:
    from matplotlib.figure import Figure

HEIGHT = 3.0
# Probabilities that may be marked.
_MARKS = np.array([0.001, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 0.95, 0.99, 0.999])


def lifetime_chart(name: str, title: str, plot: FitPlot, lifetime: Lifetime, unit: str) -> Chart:
    """Return a probability plot of a fitted family.

    Parameters
    ----------
    name, title : str
        As for `Chart`.
    plot : FitPlot
        Points, line and band.
    lifetime : Lifetime
        The family fitted.
    unit : str
        Of the axis, such as h.
    """
    told = (
        f"{counted(plot.point_lower.size, 'step')} of the estimate without a family, and the "
        f"fitted {lifetime.family}: scale {number(lifetime.scale)} {unit}, shape "
        f"{number(lifetime.shape)}."
    )
    return Chart(name, title, told, HEIGHT, _Drawing(plot, lifetime, unit))


@dataclass(frozen=True, slots=True, eq=False)
class _Drawing:
    """Draws the plot."""

    plot: FitPlot
    lifetime: Lifetime
    unit: str

    def __call__(self, figure: "Figure") -> None:
        from matplotlib.collections import LineCollection

        plot = self.plot
        axes = one_axes(figure, left=0.62, top=0.25)
        axes.set_xscale("log")
        axes.fill_betweenx(
            plot.score, plot.band_lower, plot.band_upper, color=LIGHT_BLUE, alpha=0.5, linewidth=0
        )
        axes.plot(plot.time, plot.score, color=BLUE, linewidth=1.8)
        first, last = _reach(plot)
        lower = np.maximum(plot.point_lower, first)
        steps = [
            [(low, score), (high, score)]
            for low, high, score in zip(lower, plot.point_upper, plot.point_score, strict=True)
        ]
        axes.add_collection(LineCollection(steps, colors=INK, linewidths=2.0), autolim=False)
        for ends in (lower, plot.point_upper):
            axes.plot(ends, plot.point_score, "|", color=INK, markersize=6)
        axes.set_xlim(first, last)
        score = self.lifetime.form.quantile(_MARKS)
        shown = (score >= plot.score[0]) & (score <= plot.score[-1])
        axes.set_ylim(plot.score[0], plot.score[-1])
        axes.set_yticks(score[shown], [f"{100 * share:g}" for share in _MARKS[shown]])
        marks = _one_two_five(first, last)
        axes.set_xticks(marks, [number(mark) for mark in marks])
        axes.set_xticks([], minor=True)
        axes.set_xlabel(f"age [{self.unit}], logarithmic", labelpad=2)
        put_title(axes, "passed a bound by then [%]")


def _reach(plot: FitPlot) -> tuple[float, float]:
    """Return the ends of the axis: the line's, and the points' where they are near it."""
    positive = plot.point_lower[plot.point_lower > 0]
    first = min([float(plot.time[0]), *([float(positive.min())] if positive.size else [])])
    last = max(float(plot.time[-1]), float(plot.point_upper.max()))
    return max(first, last * 1e-3) / 1.05, last * 1.05


def _one_two_five(first: float, last: float) -> list[float]:
    """Return round numbers between two ends.

    Examples
    --------
    >>> _one_two_five(80.0, 3000.0)
    [100.0, 200.0, 500.0, 1000.0, 2000.0]
    """
    decades = range(int(np.floor(np.log10(first))), int(np.ceil(np.log10(last))) + 1)
    marks = [step * 10.0**decade for decade in decades for step in (1, 2, 5)]
    return [float(mark) for mark in marks if first <= mark <= last]
