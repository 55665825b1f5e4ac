"""What the uncertainty of the readings makes of the precipitation potential."""

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.box_search import POTENTIAL
from chemcheck.chemistry.hardness import CACO3_PER_CALCIUM
from chemcheck.chemistry.intervals import figure_ranges
from chemcheck.judging.water_analysis import WaterAnalysis
from chemcheck.judging.water_figures import IndexTemperature
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]

# What decides the potential, the readings that give it, and by what factor; the first counts.
_INPUTS: Mapping[str, tuple[tuple[str, float], ...]] = {
    "ph": (("ph", 1.0),),
    "alkalinity": (("total_alkalinity", 1.0), ("bicarbonate", 0.82016)),
    "calcium": (
        ("calcium", 1.0),
        ("calcium_hardness", 1.0 / CACO3_PER_CALCIUM),
        ("total_hardness", 1.0 / CACO3_PER_CALCIUM),
    ),
}


def potential_uncertainty(
    readings: Readings,
    uncertainty: npt.NDArray[np.floating],
    rows: npt.NDArray[np.intp],
    analysis: WaterAnalysis,
    temperatures: Sequence[IndexTemperature],
) -> dict[str, Floats]:
    """Return the standard uncertainty of the precipitation potential of some waters.

    Parameters
    ----------
    readings : Readings
        All samples.
    uncertainty : ndarray, shape (n_samples, n_columns)
        Standard uncertainty of every reading [canonical unit].
    rows : ndarray of int, shape (n,)
        Positions of the samples in question.
    analysis : WaterAnalysis
        Of these samples.
    temperatures : sequence of IndexTemperature
        What is asked for.

    Returns
    -------
    dict of str to ndarray, shape (n,)
        By the label of the temperature [mg CaCO3 per kg of water]; NaN where there is no
        potential, or an end of a reading is open.

    Notes
    -----
    Differences over one standard uncertainty to either side of pH, alkalinity and calcium, in
    quadrature [1]_, about the middle of readings that are intervals. What an interval leaves
    open is not in it: the potential is an interval then.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.3, note 2: the sensitivity by finite differences.
    """
    low, high = analysis.lower, analysis.upper
    middle = {name: _finite(0.5 * (low[name] + high[name])) for name in low}
    asked = [one.celsius for one in temperatures]
    total: Floats = np.zeros((len(asked), rows.size))
    for name, ways in _INPUTS.items():
        u = _standard_uncertainty(readings, uncertainty, rows, ways)
        ends = []
        for sign in (1.0, -1.0):
            moved = {**middle, name: np.maximum(middle[name] + sign * u, 0.0)}
            found = figure_ranges(moved, moved, asked, turning=False)
            ends.append(np.stack([found[celsius][POTENTIAL].lower for celsius in asked]))
        total = total + (0.5 * (ends[0] - ends[1])) ** 2
    return {
        one.label: np.asarray(np.sqrt(row)) for one, row in zip(temperatures, total, strict=True)
    }


def _standard_uncertainty(
    readings: Readings,
    uncertainty: npt.NDArray[np.floating],
    rows: npt.NDArray[np.intp],
    ways: Sequence[tuple[str, float]],
) -> Floats:
    """Return the uncertainty of an input by the first reading that gives it, else none."""
    answer = np.full(rows.size, np.nan)
    for analyte, factor in ways:
        for place, column in enumerate(readings.columns):
            if column.analyte == analyte:
                take = np.isnan(answer) & ~np.isnan(readings.lower[rows, place])
                answer[take] = factor * uncertainty[rows[take], place]
    return np.asarray(np.nan_to_num(answer))


def _finite(values: Floats) -> Floats:
    return np.where(np.isfinite(values), values, np.nan)
