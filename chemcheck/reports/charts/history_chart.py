"""One analyte in one unit over its axis: readings as intervals, bounds, and the crossing."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from chemcheck.reports.charts.axis_ticks import Axis
from chemcheck.reports.charts.canvas import (
    BLUE,
    GREY,
    INK,
    LIGHT_BLUE,
    ORANGE,
    PALE,
    Chart,
    one_axes,
    put_title,
)
from chemcheck.reports.numbers import counted, interval, number

if TYPE_CHECKING:  # a check draws histories without the estimators
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from chemcheck.assessment.trend_curve import TrendCurve

Floats = npt.NDArray[np.float64]
HEIGHT = 2.1
_HALF_WIDTH = 0.007  # of the axis: a bar of an interval
_ROOM = 0.14  # of the height: what words over or under a line need


@dataclass(frozen=True, slots=True, eq=False)
class History:
    """The readings of one analyte in one unit.

    Parameters
    ----------
    quantity, unit : str
        What was measured, and in what.
    place : ndarray, shape (n,)
        Where each sample stands on the axis.
    lower, upper : ndarray, shape (n,)
        Ends of each reading.
    reach : ndarray, shape (n,)
        Half the width of the method's 95 % interval; NaN where unknown.
    least, most : float
        Bounds in force at the last sample; NaN where there is none.
    changes : ndarray, shape (m,)
        Where the coolant was changed.
    crossing : tuple of float or None
        By when the bound is passed with a chance of 10, 50 and 90 percent; infinite
        beyond the horizon. None where nothing is forecast.
    trend : TrendCurve or None
        The fitted curve with its band, where one was fitted.
    """

    quantity: str
    unit: str
    place: Floats
    lower: Floats
    upper: Floats
    reach: Floats
    least: float
    most: float
    changes: Floats
    crossing: tuple[float, float, float] | None = None
    trend: "TrendCurve | None" = None


def history_chart(name: str, title: str, axis: Axis, history: History) -> Chart:
    """Return a chart of one analyte over time or use.

    Parameters
    ----------
    name, title : str
        As for `Chart`.
    axis : Axis
        What is counted from left to right.
    history : History
        With at least one reading.
    """
    last = interval(float(history.lower[-1]), float(history.upper[-1]))
    told = [f"{counted(history.place.size, 'reading')} of {history.quantity}"]
    told.append(f"the last {last} {history.unit}".rstrip())
    for bound, word in ((history.least, "at least"), (history.most, "at most")):
        if not math.isnan(bound):
            told.append(f"bound {word} {number(bound)}")
    if history.crossing is not None:
        p10, p50, p90 = (axis.words(place) for place in history.crossing)
        told.append(f"bound passed with a chance of 10, 50 and 90 % by {p10}, {p50} and {p90}")
    if history.trend is not None:
        told.append(_trend_words(axis, history.trend))
    return Chart(name, title, f"{'; '.join(told)}.", HEIGHT, _Drawing(axis, history))


def last_place(
    place: Floats, changes: Floats, crossing: tuple[float, float, float] | None
) -> float:
    """Return the right end of a chart.

    Parameters
    ----------
    place, changes, crossing
        As in `History`.

    Examples
    --------
    >>> last_place(np.array([0.0, 80.0]), np.empty(0), (90.0, 100.0, math.inf))
    120.0
    """
    return _reach_across(place, changes, crossing)[1]


def _trend_words(axis: Axis, trend: "TrendCurve") -> str:
    ends = interval(float(trend.low[-1]), float(trend.high[-1]))
    return (
        f"the fitted curve comes to {number(trend.middle[-1])} by {axis.words(trend.place[-1])}, "
        f"with a chance of 80 % to {ends}"
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Drawing:
    """Draws the history."""

    axis: Axis
    history: History

    def __call__(self, figure: "Figure") -> None:
        history = self.history
        axes = one_axes(figure, left=0.62, top=0.22)
        first, last = _reach_across(history.place, history.changes, history.crossing)
        bottom, top = _reach_up(history)
        axes.set_xlim(first, last)
        axes.set_ylim(bottom, top)
        _crossing(axes, history, last)
        if history.trend is not None:
            _trend(axes, history.trend)
        for place in history.changes:
            axes.axvline(place, color=GREY, linewidth=1.0, linestyle=(0, (4, 3)))
            axes.annotate("change", (place, top), (3, -7), textcoords="offset points",
                          fontsize=7, color=GREY)  # fmt: skip
        _bounds(axes, history, first, bottom, top)
        _readings(axes, history, last - first, top)
        self.axis.mark(axes, first, last)
        put_title(
            axes, f"{history.quantity} [{history.unit}]" if history.unit else history.quantity
        )


def _reach_across(
    place: Floats, changes: Floats, crossing: tuple[float, float, float] | None
) -> tuple[float, float]:
    places = [*place.tolist(), *changes.tolist()]
    if crossing is not None:
        finite = [place for place in crossing if math.isfinite(place)]
        places += [max(finite)] if finite else []
    first, last = min(places), max(places)
    pad = 0.05 * (last - first) or 1.0
    # A crossing beyond the horizon needs room to be seen to go on.
    beyond = crossing is not None and math.isinf(crossing[2])
    return first - pad, last + pad * (4 if beyond else 1)


def _reach_up(history: History) -> tuple[float, float]:
    reach = np.nan_to_num(history.reach)
    ends = np.concatenate(
        [history.lower - reach, history.upper + reach, history.lower, [history.least, history.most]]
    )
    finite = ends[np.isfinite(ends)]
    bottom, top = float(finite.min()), float(finite.max())
    if history.lower.min() >= 0.0:
        bottom = max(bottom, 0.0)
    pad = 0.1 * (top - bottom) or max(0.1 * abs(top), 0.1)
    return (0.0 if bottom == 0.0 else bottom - pad), top + pad


def _crossing(axes: "Axes", history: History, last: float) -> None:
    """Shade where the bound is passed with a chance of 10 to 90 percent."""
    if history.crossing is None or not math.isfinite(history.crossing[0]):
        return
    p10, p50, p90 = history.crossing
    axes.axvspan(p10, min(p90, last), color=LIGHT_BLUE, alpha=0.55, linewidth=0)
    if math.isfinite(p50):
        axes.axvline(p50, color=BLUE, linewidth=1.2, linestyle=(0, (1, 1.5)))


def _trend(axes: "Axes", trend: "TrendCurve") -> None:
    """Draw the fitted curve in its band."""
    from matplotlib.collections import LineCollection, PolyCollection

    there = np.column_stack((trend.place, trend.low))
    back = np.column_stack((trend.place, trend.high))[::-1]
    band = PolyCollection(
        [np.vstack((there, back))], facecolor=PALE, edgecolor=GREY, linewidth=0.5, alpha=0.6
    )
    axes.add_collection(band, autolim=False)
    curve = [np.column_stack((trend.place, trend.middle))]
    axes.add_collection(LineCollection(curve, colors=GREY, linewidths=1.2), autolim=False)


def _bounds(axes: "Axes", history: History, first: float, bottom: float, top: float) -> None:
    """Draw the bounds; the words stand beyond them, unless there is no room."""
    room = _ROOM * (top - bottom)
    for bound, word in ((history.least, "at least"), (history.most, "at most")):
        if math.isnan(bound):
            continue
        axes.axhline(bound, color=INK, linewidth=1.6)
        below = bound - bottom > room if word == "at least" else top - bound < room
        axes.annotate(
            f"{word} {number(bound)}", (first, bound), (4, -3 if below else 3),
            textcoords="offset points", fontsize=7.5, va="top" if below else "bottom",
        )  # fmt: skip


def _readings(axes: "Axes", history: History, width: float, top: float) -> None:
    """Draw each reading; one that is open at an end is hollow, and open there."""
    from matplotlib.collections import LineCollection, PolyCollection

    place, lower, upper = history.place, history.lower, history.upper
    above = np.minimum(upper, top)
    half = _HALF_WIDTH * width
    not_detected = (lower == 0.0) & (upper > 0.0) & np.isfinite(upper)
    over = np.isinf(upper)
    spread = (lower < upper) & ~not_detected & ~over
    exact = lower == upper
    known = np.flatnonzero(np.isfinite(history.reach) & (history.reach > 0) & ~not_detected & ~over)
    thin = [
        [(place[k], lower[k] - history.reach[k]), (place[k], upper[k] + history.reach[k])]
        for k in known
    ]
    axes.add_collection(LineCollection(thin, colors=INK, linewidths=1.1), autolim=False)
    corners = [
        [(place[k] - half, lower[k]), (place[k] + half, lower[k]),
         (place[k] + half, above[k]), (place[k] - half, above[k])]
        for k in np.flatnonzero(spread)
    ]  # fmt: skip
    axes.add_collection(PolyCollection(corners, facecolor=BLUE, edgecolor=BLUE), autolim=False)
    hollow = [
        [(place[k] - half, lower[k]), (place[k] - half, above[k]),
         (place[k] + half, above[k]), (place[k] + half, lower[k])]
        for k in np.flatnonzero(not_detected)
    ]  # fmt: skip
    hollow += [
        [(place[k] - half, top), (place[k] - half, lower[k]),
         (place[k] + half, lower[k]), (place[k] + half, top)]
        for k in np.flatnonzero(over)
    ]  # fmt: skip
    axes.add_collection(LineCollection(hollow, colors=BLUE, linewidths=1.3), autolim=False)
    if exact.any():
        outside = (lower > history.most) | (upper < history.least)
        for mask, marker, colour in ((~outside, "o", BLUE), (outside, "D", ORANGE)):
            if (mask & exact).any():
                axes.plot(
                    place[mask & exact], upper[mask & exact], linestyle="none", marker=marker,
                    markersize=4.5, color=colour, zorder=3,
                )  # fmt: skip
