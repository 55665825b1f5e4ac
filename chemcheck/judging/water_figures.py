"""Scale and corrosion figures of waters at several temperatures, from what was read of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.activity import IONIC_STRENGTH_LIMIT
from chemcheck.chemistry.box_search import FIGURES, OTHER_FIGURES, PHOSPHATE
from chemcheck.chemistry.box_search import IONS as CHEMISTRY_IONS
from chemcheck.chemistry.formula_ranges import formula_range
from chemcheck.chemistry.intervals import Range, figure_ranges
from chemcheck.chemistry.ions import CALCIUM_CARBONATE_MOLAR_MASS, IONS, ionic_strength
from chemcheck.judging.charge_balance_check import charge_balance
from chemcheck.judging.water_analysis import WaterAnalysis, water_analysis
from chemcheck.judging.water_cross_checks import Interval
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

COLD, FILM = "cold", "film"
SCALE_INDICES = ("langelier_index", "ryznar_index", "puckorius_index")
INDEX_FIGURES = (*FIGURES, *SCALE_INDICES)
# Why a water has no figures.
NOT_READ = "no pH, or nothing that bounds calcium and magnesium"
NOT_SEARCHED = "an interval: left out among so many; ask for this water alone"
TOO_STRONG = "too salty: ionic strength above 0.5 mol/kg, as of seawater, is outside the model"
IMPOSSIBLE = "no water can be so: alkalinity impossible at the pH, or outside the model"
# Inputs that alone need no search between the corners of a box, and up to which pH.
_WITHOUT_TURNING = ("sodium", "potassium", "chloride", "temperature")
_PH_WITHOUT_TURNING = 8.5


@dataclass(frozen=True, slots=True)
class IndexTemperature:
    """A temperature that figures are asked for.

    Parameters
    ----------
    label : str
        ``cold``, ``film``, or the temperature as it is written.
    celsius : float or None
        [deg C]; None is the temperature of sampling.
    """

    label: str
    celsius: float | None


def usual_temperatures() -> tuple[IndexTemperature, ...]:
    """Return the temperatures that are asked for unless others are told.

    Examples
    --------
    >>> [(one.label, one.celsius) for one in usual_temperatures()][1:]
    [('25', 25.0), ('60', 60.0), ('90', 90.0), ('film', 110.0)]
    """
    return (
        IndexTemperature(COLD, None),
        *(IndexTemperature(f"{degrees:g}", degrees) for degrees in (25.0, 60.0, 90.0)),
        IndexTemperature(FILM, film_temperature()),
    )


def film_temperature() -> float:
    """Return the temperature of water on a hot wall, unless another is told [deg C]."""
    return check_settings("water_analysis")["film_temperature"].value


@dataclass(frozen=True, slots=True)
class WaterFigures:
    """Figures of some waters.

    Parameters
    ----------
    temperatures : tuple of IndexTemperature
        What was asked for.
    analysis : WaterAnalysis
        What they were reckoned from.
    closed : mapping of str to mapping of str to Range, shape (n,)
        By the label of the temperature, then by `INDEX_FIGURES`: the water closed from
        sampling on. Equal ends are an exact figure; NaN where there is none.
    vented : mapping, or None
        The same without the published indices, the water open to air; None where not asked.
    others : mapping, or None
        The closed water's `OTHER_FIGURES`, NaN or infinite where an ion was not read; None where
        not asked.
    larson_skold, chloride_sulfate_ratio, aggressive_index : Range
        By readings alone.
    charge_balance : Interval
        100 (cations - anions) / (cations + anions) [%]; NaN where the analysis is not complete.
    left_out : ndarray of bool, shape (n,)
        Where figures would take a search of intervals that was not asked for.
    """

    temperatures: tuple[IndexTemperature, ...]
    analysis: WaterAnalysis
    closed: Mapping[str, Mapping[str, Range]]
    vented: Mapping[str, Mapping[str, Range]] | None
    others: Mapping[str, Mapping[str, Range]] | None
    larson_skold: Range
    chloride_sulfate_ratio: Range
    aggressive_index: Range
    charge_balance: Interval
    left_out: Bools

    def why_none(self) -> npt.NDArray[np.str_]:
        """Return for each water why it has no figures of the chemistry, '' where it has."""
        analysis = self.analysis
        none = np.ones(self.left_out.shape, dtype=np.bool_)
        for by_figure in self.closed.values():
            for figure in FIGURES:
                ends = by_figure[figure]
                if figure != "ph":
                    none &= ~(np.isfinite(ends.lower) | np.isfinite(ends.upper))
        unknown = np.isnan(analysis.lower["ph"])
        return np.select(
            [~none, unknown, self.left_out, _least_strength(analysis) > IONIC_STRENGTH_LIMIT],
            ["", NOT_READ, NOT_SEARCHED, TOO_STRONG],
            IMPOSSIBLE,
        )


def water_figures(
    readings: Readings,
    rows: npt.NDArray[np.intp],
    temperatures: Sequence[IndexTemperature],
    *,
    vented: bool = False,
    others: bool = False,
    search: bool = True,
) -> WaterFigures:
    """Reckon the figures of some samples.

    Parameters
    ----------
    readings : Readings
        All samples.
    rows : ndarray of int, shape (n,)
        Positions of the samples in question; those that are no water have no figures.
    temperatures : sequence of IndexTemperature
        What is asked for.
    vented : bool
        Whether the water open to air is asked for too.
    others : bool
        Whether brucite, amorphous silica and hydroxyapatite are asked for too.
    search : bool
        Whether waters are reckoned that take a search: readings that are intervals, other than
        of temperature, sodium, potassium and chloride. Some milliseconds each.

    Returns
    -------
    WaterFigures
        Of these samples, in their order.

    Notes
    -----
    The measured pH at the temperature of sampling sets total carbonate, which heating of a
    closed water does not change; open to air, carbon dioxide is that of air at every
    temperature. See `chemcheck.chemistry.intervals` and `chemcheck.chemistry.scale_indices`.
    """
    analysis = water_analysis(readings, rows)
    at_corners, searched = kinds_of_reckoning(analysis)
    left_out = np.zeros(rows.size, dtype=np.bool_) if search else searched
    parts = [(at_corners, False)]
    if search:
        parts.append((searched, True))
    found = _figures(analysis, parts, temperatures, vented=False, others=others)
    closed = {label: {key: ends[key] for key in FIGURES} for label, ends in found.items()}
    for one in temperatures:
        if one.celsius is None:  # as read
            closed[one.label]["ph"] = Range(analysis.lower["ph"], analysis.upper["ph"])
        low, high = (_formula_inputs(analysis, end, one) for end in ("lower", "upper"))
        for index in SCALE_INDICES:
            closed[one.label][index] = formula_range(index, low, high)
    low, high = (_formula_inputs(analysis, end) for end in ("lower", "upper"))
    return WaterFigures(
        temperatures=tuple(temperatures),
        analysis=analysis,
        closed=closed,
        vented=_figures(analysis, parts, temperatures, vented=True) if vented else None,
        others={label: {key: ends[key] for key in OTHER_FIGURES} for label, ends in found.items()}
        if others
        else None,
        larson_skold=formula_range("larson_skold", low, high),
        chloride_sulfate_ratio=formula_range("chloride_sulfate_ratio", low, high),
        aggressive_index=formula_range("aggressive_index", low, high),
        charge_balance=charge_balance(readings, rows),
        left_out=left_out,
    )


def _least_strength(analysis: WaterAnalysis) -> Floats:
    """Return the ionic strength by the lower ends, alkalinity as bicarbonate [mol/L]."""
    bicarbonate = 2.0 * IONS["bicarbonate"].molar_mass / CALCIUM_CARBONATE_MOLAR_MASS
    ions = {ion: analysis.lower[ion] for ion in CHEMISTRY_IONS}
    return ionic_strength({**ions, "bicarbonate": analysis.lower["alkalinity"] * bicarbonate})


def kinds_of_reckoning(analysis: WaterAnalysis) -> tuple[Bools, Bools]:
    """Return which waters the corners of their intervals decide, and which take a search.

    Parameters
    ----------
    analysis : WaterAnalysis
        Of some waters.

    Returns
    -------
    at_corners, searched : ndarray of bool
        Neither where the chemistry gives no figure.
    """
    known = ~np.isnan(analysis.lower["ph"])
    wide = np.zeros(known.shape, dtype=np.bool_)
    besides = wide.copy()
    for name, lower in analysis.lower.items():
        apart = lower < analysis.upper[name]
        wide |= apart
        if name not in _WITHOUT_TURNING:
            besides |= apart
    searched = known & (besides | (wide & (analysis.upper["ph"] > _PH_WITHOUT_TURNING)))
    return known & ~searched, searched


def _figures(
    analysis: WaterAnalysis,
    parts: Sequence[tuple[Bools, bool]],
    temperatures: Sequence[IndexTemperature],
    *,
    vented: bool,
    others: bool = False,
) -> dict[str, dict[str, Range]]:
    """Return the figures of the chemistry by the label of the temperature."""
    n = analysis.lower["ph"].size
    keys = (*FIGURES, *OTHER_FIGURES) if others else FIGURES
    ends = np.full((len(temperatures), len(keys), 2, n), np.nan)
    low = {**analysis.lower, PHOSPHATE: analysis.phosphate.lower}
    high = {**analysis.upper, PHOSPHATE: analysis.phosphate.upper}
    for chosen, turning in parts:
        at = np.flatnonzero(chosen)
        if not at.size:
            continue
        found = figure_ranges(
            {name: values[at] for name, values in low.items()},
            {name: values[at] for name, values in high.items()},
            [one.celsius for one in temperatures],
            vented=vented,
            turning=turning,
            others=others,
        )
        for step, one in enumerate(temperatures):
            for row, figure in enumerate(keys):
                ends[step, row, 0, at] = found[one.celsius][figure].lower
                ends[step, row, 1, at] = found[one.celsius][figure].upper
    return {
        one.label: {
            figure: Range(ends[step, row, 0], ends[step, row, 1]) for row, figure in enumerate(keys)
        }
        for step, one in enumerate(temperatures)
    }


def _formula_inputs(
    analysis: WaterAnalysis, end: str, temperature: IndexTemperature | None = None
) -> dict[str, Floats]:
    """Return one end of what the published indices take."""
    inputs: Mapping[str, Floats] = getattr(analysis, end)
    ends = {
        "ph": inputs["ph"],
        "alkalinity": getattr(analysis.alkalinity, end),
        "chloride": getattr(analysis.chloride, end),
        "sulfate": getattr(analysis.sulfate, end),
        "dissolved_solids": getattr(analysis.dissolved_solids, end),
        "calcium_hardness": getattr(analysis.calcium_hardness, end),
    }
    if temperature is not None:
        sampled = temperature.celsius is None
        ends["temperature"] = (
            inputs["temperature"] if sampled else np.full(ends["ph"].shape, temperature.celsius)
        )
    return ends
