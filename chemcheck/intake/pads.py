"""Readings of a test strip: what its chart makes of the numbers written down."""

import numpy as np
import numpy.typing as npt

from chemcheck.intake.cell_records import CellValues, Measured
from chemcheck.intake.cells import ParsedCells
from chemcheck.intake.choices import Choices, StripChart
from chemcheck.intake.strips import pad_intervals
from chemcheck.limit_library.records import Method
from chemcheck.readings.record import READ, REJECTED

NUMBERED = "numbered"
UNKNOWN_LOT = "lot of the strips not known: each reading spans to the neighbouring pads"


def chart_of(analyte: str, method: Method | None, choices: Choices) -> StripChart | None:
    """Return the chart that an analyte's readings were held against.

    Parameters
    ----------
    analyte : str
        A key of the vocabulary.
    method : Method or None
        What the readings were measured by.
    choices : Choices
        The user's own charts come first.

    Returns
    -------
    StripChart or None
        None where they are no readings of a strip, or its steps are not known.
    """
    if method is None or method.kind != "strip":
        return None
    if analyte in choices.strip_charts:
        return choices.strip_charts[analyte]
    steps = method.steps.get(analyte)
    return None if steps is None else StripChart(tuple(steps), analyte in method.doubling)


def open_problem(chart: StripChart, unit: str) -> str:
    """Say that small whole numbers may be places on a chart."""
    steps = ", ".join(f"{step:.6g}" for step in chart.steps[:4])
    return (
        f"places on the chart, or values? it has no such value ({steps}, … {unit}); say "
        "'pads: numbered' or 'pads: values' in a columns file (--columns)"
    )


def places_on_chart(
    values: CellValues, parsed: ParsedCells, chart: StripChart
) -> npt.NDArray[np.bool_]:
    """Say which texts may be places of pads rather than values.

    Parameters
    ----------
    values : CellValues
        The readings [canonical unit].
    parsed : ParsedCells
        The numbers as written.
    chart : StripChart
        The strips' own.

    Returns
    -------
    ndarray of bool, shape (n,)
        Whole numbers from one to the number of pads, without a unit, none of which is a
        value of the chart.
    """
    count = len(chart.steps)
    found = (values.status == READ) & (parsed.unit < 0)
    for written, meant in ((parsed.lower, values.lower), (parsed.upper, values.upper)):
        whole = (written >= 1) & (written <= count) & (written == np.floor(written))
        found &= whole & ~_is_step(meant, chart)
    return np.asarray(found)


def _is_step(value: npt.NDArray[np.float64], chart: StripChart) -> npt.NDArray[np.bool_]:
    steps = np.asarray(chart.steps)
    nearest = np.abs(value[:, None] - steps).min(axis=1)
    return np.asarray(nearest <= 1e-6 * max(float(np.abs(steps).max()), 1.0))


def read_pads(
    values: CellValues,
    parsed: ParsedCells,
    chart: StripChart,
    choices: Choices,
    *,
    floor: float,
    widened: bool,
    open_choice: int,
) -> None:
    """Let readings of a strip span to the midpoints of their neighbours.

    Parameters
    ----------
    values : CellValues
        The readings as values [canonical unit]; they are changed.
    parsed : ParsedCells
        The numbers as written.
    chart : StripChart
        The strips' own.
    choices : Choices
        What the user settled.
    floor : float
        The least possible value [canonical unit].
    widened : bool
        Whether readings span to the neighbouring pads themselves.
    open_choice : int
        The number of what is said of small whole numbers that nobody explains.
    """
    if choices.pads != "values":
        places = places_on_chart(values, parsed, chart)
        if choices.pads == NUMBERED:
            steps = np.asarray(chart.steps)
            for written, meant in ((parsed.lower, values.lower), (parsed.upper, values.upper)):
                meant[places] = steps[written[places].astype(np.int64) - 1]
        else:
            values.status[places] = REJECTED
            values.lower[places] = values.upper[places] = np.nan
            values.open[places] = open_choice
    values.lower[:], values.upper[:] = pad_intervals(
        values.lower,
        values.upper,
        chart.steps,
        floor=floor,
        doubling=chart.doubling,
        widened=widened,
    )


def is_widened(analyte: str, measured: Measured, choices: Choices) -> tuple[bool, bool]:
    """Say whether readings span to the neighbouring pads, and whether for want of a lot."""
    unknown_lot = not measured.lot_known and analyte not in choices.strip_charts
    return unknown_lot or choices.strips_late, unknown_lot and not choices.strips_late
