"""Scale and corrosion figures of one water, in a table and in words."""

import math
from collections.abc import Iterator, Mapping

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.box_search import HYDROXYAPATITE, OTHER_FIGURES, POTENTIAL
from chemcheck.chemistry.index_classes import INDEX_CLASSES, chloride_sulfate_class, index_class
from chemcheck.chemistry.intervals import Range
from chemcheck.chemistry.normal import quantile
from chemcheck.chemistry.waters import PUBLISHED_TEMPERATURES
from chemcheck.judging.water_analysis import ASSUMED_WORDS
from chemcheck.judging.water_cross_checks import Interval
from chemcheck.judging.water_figures import FILM, NOT_READ, IndexTemperature, WaterFigures
from chemcheck.reports.document import FigureTable
from chemcheck.reports.numbers import interval, number

Floats = npt.NDArray[np.float64]

TITLE = "Scale and corrosion figures of this water alone"
ALONE = (
    "Scale and corrosion figures describe the water alone: a rinse, running on water, a top-up "
    "before it mixes. None of them describes inhibited coolant."
)
METHOD = (
    "pH, saturation indices and precipitation potential: ion association with activities, heated "
    "closed at constant total carbonate and alkalinity; positive precipitates."
)
SHORT_FORMULA = (
    "Langelier, Ryznar and Puckorius: saturation pH by the short formula (UFC 3-240-13FN, appendix "
    "B), Puckorius with 1.465; the measured pH at every temperature; for 0 to 90 C and dissolved "
    "solids of 10 to 10,000 mg/L, without a value outside. They and the saturation index "
    "differ by 0.1 to 0.3."
)
PHOSPHATE_NOTE = (
    "Hydroxyapatite is the calcium phosphate that dissolves least. It forms slowly: waters far "
    "above saturation often deposit nothing for long."
)
# Figure, its name, and its decimals.
ROWS = (
    ("ph", "pH", 2),
    ("calcite_si", "calcite index", 2),
    ("aragonite_si", "aragonite index", 2),
    ("gypsum_si", "gypsum index", 2),
    ("anhydrite_si", "anhydrite index", 2),
    ("brucite_si", "brucite index", 2),
    ("amorphous_silica_si", "amorphous silica index", 2),
    ("hydroxyapatite_si", "hydroxyapatite index", 2),
    ("ccpp_mg_per_kg", "CaCO3 that forms, mg/kg", 0),
    ("langelier_index", "Langelier", 2),
    ("ryznar_index", "Ryznar", 2),
    ("puckorius_index", "Puckorius", 2),
)
INDEX_NAMES = {
    "langelier_index": "Langelier",
    "ryznar_index": "Ryznar",
    "puckorius_index": "Puckorius",
}
_COVERAGE = float(quantile(0.975))


def figure_table(
    figures: WaterFigures, place: int, uncertainty: Mapping[str, Floats]
) -> FigureTable | None:
    """Return what is said of the figures of one water.

    Parameters
    ----------
    figures : WaterFigures
        Of some waters.
    place : int
        Position of the water among them.
    uncertainty : mapping of str to ndarray
        Standard uncertainty of the potentials by the label of the temperature.

    Returns
    -------
    FigureTable or None
        None where no figure could be reckoned.
    """
    rows = []
    for key, name, decimals in ROWS:
        by_label = _source(figures, key)
        cells = [
            _cell(by_label[one.label][key], place, decimals) if by_label else ""
            for one in figures.temperatures
        ]
        if any(cells):
            rows.append((name, *(cell or "-" for cell in cells)))
            if key == POTENTIAL:
                rows.append(_uncertain(figures, place, uncertainty))
    if not rows and figures.why_none()[place] == NOT_READ:
        return None
    return FigureTable(
        title=TITLE,
        columns=("figure", *(_head(figures, one, place) for one in figures.temperatures)),
        rows=tuple(rows),
        notes=tuple(_notes(figures, place)),
    )


def _source(figures: WaterFigures, key: str) -> Mapping[str, Mapping[str, Range]] | None:
    return figures.others if key in OTHER_FIGURES else figures.closed


def _uncertain(
    figures: WaterFigures, place: int, uncertainty: Mapping[str, Floats]
) -> tuple[str, ...]:
    """Return the row of what the methods' uncertainty makes of the potential."""
    cells = []
    for one in figures.temperatures:
        half = _COVERAGE * uncertainty[one.label][place]
        cells.append(f"± {number(half, 2)}" if math.isfinite(half) else "-")
    return ("by the methods' uncertainty (95 %)", *cells)


def _head(figures: WaterFigures, one: IndexTemperature, place: int) -> str:
    if one.celsius is None:
        low, high = (
            ends["temperature"][place] for ends in (figures.analysis.lower, figures.analysis.upper)
        )
        return f"as sampled, {interval(low, high)} C"
    degrees = f"{number(one.celsius)} C"
    return f"film, {degrees}" if one.label == FILM else degrees


def _when(one: IndexTemperature) -> str:
    if one.celsius is None:
        return "as sampled"
    degrees = f"{number(one.celsius)} C"
    return f"in a film at {degrees}" if one.label == FILM else f"at {degrees}"


def method_notes(figures: WaterFigures) -> tuple[str, ...]:
    """Say what holds of the figures of all waters: what for, and by what method.

    Parameters
    ----------
    figures : WaterFigures
        Of some waters.
    """
    beyond = PUBLISHED_TEMPERATURES[1]
    extrapolated = (
        f"Above {beyond:g} C the constants are extrapolated: their sources end there (water kept "
        "liquid by pressure)."
    )
    hot = any(one.celsius is not None and one.celsius > beyond for one in figures.temperatures)
    return (ALONE, METHOD, SHORT_FORMULA, *([extrapolated] if hot else []))


def _notes(figures: WaterFigures, place: int) -> Iterator[str]:
    """Say what holds of the figures of one water."""
    why = str(figures.why_none()[place])
    if why:
        yield f"No saturation index and no potential: {why}."
    mixed = _mixed(figures, place)
    if mixed:
        yield mixed
    if figures.others is not None and any(
        _cell(by_figure[HYDROXYAPATITE], place, 2) for by_figure in figures.others.values()
    ):
        yield PHOSPHATE_NOTE
    yield from _class_words(figures, place)
    yield from _vented(figures, place)
    yield from _ratios(figures, place)
    balance = figures.charge_balance
    if not math.isnan(balance.lower[place]):
        yield (
            f"Charge balance: {_cell(balance, place, 1)} % of all charges (positive: cations are "
            "more)."
        )
    yield from _assumed(figures, place)


def _mixed(figures: WaterFigures, place: int) -> str:
    """Say what this water may leave behind where it is mixed."""
    hottest = max(
        figures.temperatures,
        key=lambda one: -math.inf if one.celsius is None else one.celsius,
        default=None,
    )
    hardness = figures.analysis.total_hardness.upper[place]
    if hottest is None or not math.isfinite(hardness):
        return ""
    potential = figures.closed[hottest.label]["ccpp_mg_per_kg"].lower[place]
    least = max(potential, 0.0) if math.isfinite(potential) else 0.0
    return (
        f"Mixed with concentrate it may leave from {least:.0f} (the water alone "
        f"{_when(hottest)}) to {max(hardness, least):.0f} mg of CaCO3 a litre (all "
        "of its hardness): not a prediction for inhibited coolant. Phosphate and silicate types "
        "are stricter."
    )


def _class_words(figures: WaterFigures, place: int) -> Iterator[str]:
    """Say the words that sources give for the indices, where both ends share one."""
    for key, name in INDEX_NAMES.items():
        told: dict[str, list[str]] = {}
        for one in figures.temperatures:
            word = _word(key, figures.closed[one.label][key], place)
            if word:
                told.setdefault(word, []).append(_when(one))
        if told:
            classes = INDEX_CLASSES[key]
            words = "; ".join(f"{word} {' and '.join(when)}" for word, when in told.items())
            yield f"{name}: {words} ({classes.source}; {classes.evidence})."


def _word(key: str, ends: Range, place: int) -> str:
    words = {str(index_class(key, end[place])) for end in (ends.lower, ends.upper)}
    return words.pop() if len(words) == 1 else ""


def _vented(figures: WaterFigures, place: int) -> Iterator[str]:
    """Say the other bound: the water open to air."""
    if figures.vented is None:
        return
    told = []
    for one in figures.temperatures:
        by_figure = figures.vented[one.label]
        index, potential = (
            _cell(by_figure[key], place, decimals)
            for key, decimals in (("calcite_si", 2), ("ccpp_mg_per_kg", 0))
        )
        if one.celsius is not None and index:
            told.append(f"{index} and {potential or '-'} mg/kg {_when(one)}")
    if told:
        yield (
            "Vented to air, the other bound to the closed system, calcite index and potential are "
            f"{', '.join(told)}."
        )


def _ratios(figures: WaterFigures, place: int) -> Iterator[str]:
    larson = _cell(figures.larson_skold, place, 2)
    if larson:
        classes = INDEX_CLASSES["larson_skold"]
        word = _word("larson_skold", figures.larson_skold, place)
        said = f": {word}" if word else ""
        yield f"Larson-Skold ratio {larson}{said} ({classes.source}; {classes.evidence})."
    mass_ratio = _cell(figures.chloride_sulfate_ratio, place, 2)
    if mass_ratio:
        words = {
            str(chloride_sulfate_class(ratio[place], alkalinity[place]))
            for ratio in (
                figures.chloride_sulfate_ratio.lower,
                figures.chloride_sulfate_ratio.upper,
            )
            for alkalinity in (figures.analysis.alkalinity.lower, figures.analysis.alkalinity.upper)
        }
        word = words.pop() if len(words) == 1 else ""
        said = f": potential for galvanic lead corrosion {word}" if word else ""
        yield (
            f"Chloride-sulfate mass ratio {mass_ratio}{said} (made for lead and solder on copper; "
            "bands as quoted from USGS SIR 2016-5092, second-hand)."
        )
    aggressive = _cell(figures.aggressive_index, place, 1)
    if aggressive:
        classes = INDEX_CLASSES["aggressive_index"]
        word = _word("aggressive_index", figures.aggressive_index, place)
        said = f": {word} to asbestos-cement pipe" if word else ""
        yield f"Aggressive index {aggressive}{said} ({classes.source}; {classes.evidence})."


def _assumed(figures: WaterFigures, place: int) -> Iterator[str]:
    """Say what was not read, and between what it was taken to lie."""
    told = []
    for (name, how), where in figures.analysis.assumed.items():
        if where[place]:
            ends = _ends(figures, name, place)
            span = f" {ends}" if ends else ""
            told.append(f"{name}{span} ({ASSUMED_WORDS[how]})")
    if told:
        yield f"Not read, and taken for these figures: {', '.join(told)}."


def _ends(figures: WaterFigures, name: str, place: int) -> str:
    analysis = figures.analysis
    if name not in analysis.lower:
        return ""
    ends = Interval(analysis.lower[name], analysis.upper[name])
    unit = {"temperature": "C", "alkalinity": "mg/L as CaCO3"}
    lower, upper = ends.lower[place], ends.upper[place]
    return f"{interval(lower, upper, 3)} {unit.get(name, 'mg/L')}" if np.isfinite(lower) else ""


def _cell(ends: Range | Interval, place: int, decimals: int) -> str:
    """Write a figure or the interval it lies in; empty where there is none."""
    lower, upper = ends.lower[place], ends.upper[place]
    if not (math.isfinite(lower) or math.isfinite(upper)):
        return ""
    low, high = (f"{end:.{decimals}f}" if math.isfinite(end) else "" for end in (lower, upper))
    if not low:
        return f"at most {high}"
    if not high:
        return f"at least {low}"
    return low if low == high else f"{low} to {high}"
