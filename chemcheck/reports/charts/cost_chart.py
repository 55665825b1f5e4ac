"""Cost of use against the change interval, with the range that costs little more."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from chemcheck.planning import BestInterval
from chemcheck.reports.charts.axis_ticks import Axis
from chemcheck.reports.charts.canvas import BLUE, GREY, INK, LIGHT_BLUE, Chart, one_axes, put_title
from chemcheck.reports.numbers import number

if TYPE_CHECKING:
    from matplotlib.figure import Figure

HEIGHT = 2.6
# The curve falls from infinity at age 0: what is above so many times its least is cut off.
_HIGHEST = 3.0
_PER = 1000.0


def cost_chart(name: str, title: str, best: BestInterval, unit: str) -> Chart:
    """Return a chart of the cost rate against age.

    Parameters
    ----------
    name, title : str
        As for `Chart`.
    best : BestInterval
        With its curve.
    unit : str
        Of the axis, such as h.
    """
    if best.interval is None:
        told = f"No interval of least cost: {best.reason}."
    else:
        told = (
            f"Least cost {number(best.cost_rate * _PER)} per {_PER:g} {unit} at "
            f"{number(best.interval)} {unit}; {_flat_words(best, unit)}."
        )
    return Chart(name, title, told, HEIGHT, _Drawing(best, unit))


def _flat_words(best: BestInterval, unit: str) -> str:
    if best.flat_range is None:
        return "no range around it was found"
    first, last = best.flat_range
    end = "on" if math.isinf(last) else f"to {number(last)} {unit}"
    return f"at most 5 % more from {number(first)} {end}"


@dataclass(frozen=True, slots=True, eq=False)
class _Drawing:
    """Draws the curve."""

    best: BestInterval
    unit: str

    def __call__(self, figure: "Figure") -> None:
        best = self.best
        axes = one_axes(figure, left=0.75, top=0.25)
        age, cost = best.curve_age, best.curve_cost_rate * _PER
        shown = np.isfinite(cost)
        axes.plot(age[shown], cost[shown], color=BLUE, linewidth=1.8)
        least = float(np.nanmin(cost[shown]))
        run = best.run_to_failure_rate * _PER
        top = min(float(np.nanmax(cost[shown])), _HIGHEST * max(least, run if run > 0 else least))
        axes.set_ylim(0.0, top * 1.05)
        first, last = 0.0, float(age[-1])
        axes.set_xlim(first, last)
        if best.flat_range is not None:
            end = min(best.flat_range[1], last)
            axes.axvspan(best.flat_range[0], end, color=LIGHT_BLUE, alpha=0.55, linewidth=0)
            # Below the curve there is always room, beside the band or at its right end within.
            inside = end > 0.7 * last
            axes.annotate(
                "at most 5 % more", (end, 0.5 * least), (-3 if inside else 3, 0), fontsize=7.5,
                textcoords="offset points", va="center", ha="right" if inside else "left",
            )  # fmt: skip
        if math.isfinite(run):
            axes.axhline(run, color=GREY, linewidth=1.0, linestyle=(0, (4, 3)))
            axes.annotate(
                "without planned changes", (last, run), (-2, 2), fontsize=7.5, ha="right",
                textcoords="offset points", color=GREY,
            )  # fmt: skip
        if best.interval is not None:
            axes.axvline(best.interval, color=INK, linewidth=1.4)
            axes.annotate(
                f"{number(best.interval)} {self.unit}", (best.interval, 0.0), (3, 3),
                textcoords="offset points", fontsize=8,
            )  # fmt: skip
        put_title(axes, f"cost per {_PER:g} {self.unit}")
        Axis(f"change interval [{self.unit}]").mark(axes, first, last)
