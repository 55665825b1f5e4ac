"""One chart of freezing point, boiling point and head at the pump's inlet, by the percent."""

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from chemcheck.assessment.margins_record import MarginsAnswer
from chemcheck.errors import OutputError
from chemcheck.remedies.cold_margin import freezing
from chemcheck.remedies.estimate import Estimate, exact
from chemcheck.remedies.margins import cap_margins
from chemcheck.reports.whole_files import whole_file

if TYPE_CHECKING:
    from matplotlib.axes import Axes

FORMS = ("png", "svg")
_PERCENT = np.linspace(0.0, 60.0, 61)
# The first colours of matplotlib's style tableau-colorblind10; lines differ by dashes too.
_STYLES = {
    "rated": ("#006BA4", "-", "cap as rated"),
    "weak": ("#FF800E", "--", "weak cap"),
    "dead": ("#595959", ":", "dead cap or none"),
}


def write_margins_chart(answer: MarginsAnswer, path: Path) -> None:
    """Draw the margins over the share of glycol, and write them as a picture.

    Parameters
    ----------
    answer : MarginsAnswer
        For its circuit and caps; the coolant's own share is marked.
    path : Path
        Ends in ``.png`` or ``.svg``. The file appears whole or not at all.

    Raises
    ------
    OutputError
        If the name ends in something else, or the file cannot be written.
    """
    form = path.suffix.lower().lstrip(".")
    if form not in FORMS:
        message = f"{path}: expected a name that ends in .png or .svg"
        raise OutputError(message)
    picture = draw_margins(answer, form)
    with whole_file(path) as file:
        file.write(picture)


def draw_margins(answer: MarginsAnswer, form: str) -> bytes:
    """Return the chart as the bytes of a picture.

    Parameters
    ----------
    answer : MarginsAnswer
        As for `write_margins_chart`.
    form : {"png", "svg"}
        Of the picture.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7.0, 9.0), layout="constrained")
    FigureCanvasAgg(figure)
    cold, hot, pump = figure.subplots(3, 1, sharex=True)
    glycol, percent = answer.share.glycols[0], exact(_PERCENT)
    figure.suptitle(f"{glycol.pure.title.capitalize()} and water: margins by the percent")
    freezes, _ = freezing(percent, glycol, answer.share.basis)
    _line(cold, freezes, "#006BA4", "-", "first crystals")
    if answer.setting.coldest is not None:
        coldest = float(answer.setting.coldest.value)
        cold.axhline(coldest, color="#595959", linestyle=":", label=f"coldest, {coldest:.0f} C")
    for cap in answer.caps:
        found = cap_margins(
            cap.state, cap.gauge, answer.circuit, percent, glycol, answer.share.basis
        )
        colour, dashes, name = _STYLES[cap.state]
        _line(hot, found.boils, colour, dashes, name)
        if np.isfinite(found.head.value).any():
            _line(pump, found.head, colour, dashes, name)
    _finish(answer, (cold, hot, pump))
    stream = BytesIO()
    figure.savefig(stream, format=form, dpi=120)
    return stream.getvalue()


def _line(axes: "Axes", estimate: Estimate, colour: str, dashes: str, name: str) -> None:
    axes.fill_between(_PERCENT, estimate.lower, estimate.upper, color=colour, alpha=0.2, lw=0)
    axes.plot(_PERCENT, estimate.value, color=colour, linestyle=dashes, label=name)


def _finish(answer: MarginsAnswer, panels: "tuple[Axes, Axes, Axes]") -> None:
    """Name the axes, mark the coolant's own share, and say what is not known."""
    labels = ("freezing [deg C]", "boiling [deg C]", "head at the pump [m]")
    share = answer.share.percent
    for axes, label in zip(panels, labels, strict=True):
        axes.set_ylabel(label)
        axes.grid(visible=True, alpha=0.3)
        axes.axvspan(float(share.lower), float(share.upper), color="#ABABAB", alpha=0.3, lw=0)
        axes.axvline(float(share.value), color="#ABABAB", label="this coolant")
    pump = panels[2]
    pump.set_xlabel("glycol [vol%]")
    pump.set_xlim(0.0, 60.0)
    if np.isnan(answer.circuit.inlet_temperature.value):
        pump.text(
            0.5, 0.5, "temperature at the pump's inlet not given",
            transform=pump.transAxes, ha="center", va="center",
        )  # fmt: skip
    else:
        pump.axhline(0.0, color="black", lw=0.8)
        inlet = float(answer.circuit.inlet_temperature.value)
        pump.set_ylabel(f"{labels[2]} at {inlet:.0f} C")
    for axes in panels[:2]:
        axes.legend(loc="best", fontsize="small")
