"""Whether past forecasts were right: share of readings within each band against its promise."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

from chemcheck.reports.charts.canvas import (
    BLUE,
    GREY,
    INK,
    ORANGE,
    PALE,
    Chart,
    one_axes,
    put_title,
)
from chemcheck.reports.numbers import counted

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Floats = npt.NDArray[np.float64]
HEIGHT = 3.2
SHARES = np.linspace(0.02, 0.98, 49)
_STYLES = (
    ("-", BLUE, 2.0),
    ("--", ORANGE, 1.2),
    (":", GREY, 1.4),
    ("-.", INK, 1.0),
    ((0, (5, 1)), GREY, 1.0),
)


@dataclass(frozen=True, slots=True, eq=False)
class Calibration:
    """How often readings fell within central bands.

    Parameters
    ----------
    cases : int
        Readings foreseen.
    covered : mapping of str to ndarray, shape (49,)
        By way of foreseeing, the share of readings within the central band of each of
        `SHARES`; the model's comes first.
    points : mapping of float to float
        Shares that the report prints, of the model.
    """

    cases: int
    covered: Mapping[str, Floats]
    points: Mapping[float, float]


def covered_shares(error: Floats, deviation: Floats) -> Floats:
    """Return the share of readings within each central band of a normal forecast.

    Parameters
    ----------
    error, deviation : ndarray, shape (n,)
        Foreseen less found, and the standard deviation that was foreseen.

    Returns
    -------
    ndarray, shape (49,)
        For each of `SHARES`.

    Examples
    --------
    >>> covered_shares(np.array([0.0, 9.0]), np.array([1.0, 1.0]))[[0, -1]]
    array([0.5, 0.5])
    """
    reach = ndtri(0.5 + SHARES / 2)
    inside = np.abs(error)[:, None] <= reach[None, :] * deviation[:, None]
    return np.asarray(inside.mean(axis=0))


def calibration_chart(name: str, title: str, calibration: Calibration) -> Chart:
    """Return a chart of what bands held against what they promised.

    Parameters
    ----------
    name, title : str
        As for `Chart`.
    calibration : Calibration
        With at least one case.
    """
    told = "; ".join(
        f"the {100 * share:.0f} % band held {100 * held:.0f} %"
        for share, held in calibration.points.items()
    )
    said = f"Of {counted(calibration.cases, 'reading')} foreseen: {told}."
    return Chart(name, title, said, HEIGHT, _Drawing(calibration))


@dataclass(frozen=True, slots=True, eq=False)
class _Drawing:
    """Draws the calibration."""

    calibration: Calibration

    def __call__(self, figure: "Figure") -> None:
        known = self.calibration
        axes = one_axes(figure, left=0.75, top=0.25)
        # Where a way that is right would stay with a chance of 95 %, reading by reading.
        low = _spread(known.cases, 0.025)
        high = _spread(known.cases, 0.975)
        axes.fill_between(100 * SHARES, 100 * low, 100 * high, color=PALE, alpha=0.6, linewidth=0)
        axes.plot((0, 100), (0, 100), color=INK, linewidth=0.9)
        for (way, covered), (dashes, colour, width) in zip(
            known.covered.items(), _STYLES, strict=False
        ):
            axes.plot(100 * SHARES, 100 * covered, linestyle=dashes, color=colour,
                      linewidth=width, label=way)  # fmt: skip
        axes.plot(
            [100 * share for share in known.points],
            [100 * held for held in known.points.values()],
            "o", color=BLUE, markersize=5,
        )  # fmt: skip
        axes.set_xlim(0, 100)
        axes.set_ylim(0, 100)
        axes.set_xlabel("promised: share of the central band [%]", labelpad=2)
        put_title(axes, "held: readings within the band [%]")
        axes.legend(loc="upper left", fontsize=7.5, frameon=False)


def _spread(cases: int, chance: float) -> Floats:
    """Return the share of cases that a right band stays above or below with this chance."""
    deviation = np.sqrt(SHARES * (1 - SHARES) / cases)
    return np.asarray(np.clip(SHARES + ndtri(chance) * deviation, 0.0, 1.0))
