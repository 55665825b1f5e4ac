"""Scale and corrosion figures of a stretch of waters as JSON."""

from collections.abc import Iterator, Mapping

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.chemistry.intervals import FIGURES, OTHER_FIGURES, Range
from chemcheck.judging.water_cross_checks import Interval
from chemcheck.judging.water_figures import INDEX_FIGURES, IndexTemperature, WaterFigures
from chemcheck.reports.json_text import json_strings, json_value
from chemcheck.reports.text_pieces import Pieces, each_row, numbers, of_texts

# No figure is known better.
FIGURE_DIGITS = 6
_EXACT, _INTERVAL, _NONE = 0, 1, 2


def figure_pieces(
    figures: WaterFigures, uncertainty: Mapping[str, npt.NDArray[np.float64]]
) -> Iterator[Pieces]:
    """Write the figures of each water, begun with a comma.

    Parameters
    ----------
    figures : WaterFigures
        Of the waters.
    uncertainty : mapping of str to ndarray
        Standard uncertainty of the potentials by the label of the temperature.

    Yields
    ------
    Pieces
        ``indices`` by temperature, ``vented`` and ``other_indices`` where asked,
        ``ccpp_u_mg_per_kg`` the standard uncertainty that the methods give the potential,
        ``indices_why_empty`` (null where there are figures), and what readings alone give. A
        figure is a number, ``lower`` and ``upper`` of an interval (null where that end is
        open), or null.
    """
    sampled = Interval(figures.analysis.lower["temperature"], figures.analysis.upper["temperature"])
    yield from _by_temperature("indices", figures.closed, INDEX_FIGURES, figures, sampled)
    if figures.vented is not None:
        yield from _by_temperature("vented", figures.vented, FIGURES, figures, sampled)
    if figures.others is not None:
        yield from _by_temperature("other_indices", figures.others, OTHER_FIGURES, figures, sampled)
    opening = ', "ccpp_u_mg_per_kg": {'
    for one in figures.temperatures:
        u = uncertainty[one.label]
        yield from _figure(f"{opening}{json_value(one.label)}: ", Interval(u, u))
        opening = ", "
    yield _same("}", sampled.lower.size)
    why = pa.array(figures.why_none().tolist(), pa.large_string())
    texts = json_strings(pc.replace_with_mask(why, pc.equal(why, ""), pa.scalar(None, why.type)))
    yield _same(', "indices_why_empty": ', len(texts))
    yield each_row(texts)
    for name, ends in (
        ("larson_skold", figures.larson_skold),
        ("chloride_sulfate_ratio", figures.chloride_sulfate_ratio),
        ("aggressive_index", figures.aggressive_index),
        ("charge_balance_percent", figures.charge_balance),
    ):
        yield from _figure(f', "{name}": ', ends)


def _by_temperature(
    name: str,
    by_label: Mapping[str, Mapping[str, Range]],
    keys: tuple[str, ...],
    figures: WaterFigures,
    sampled: Interval,
) -> Iterator[Pieces]:
    size = sampled.lower.size
    opening = f', "{name}": {{'
    for one in figures.temperatures:
        start = f"{opening}{json_value(one.label)}: {{"
        yield from _figure(f'{start}"temperature_c": ', _temperature(one, sampled))
        for key in keys:
            yield from _figure(f', "{key}": ', by_label[one.label][key])
        opening = "}, "
    yield _same("}}" if figures.temperatures else f"{opening}}}", size)


def _temperature(one: IndexTemperature, sampled: Interval) -> Interval:
    if one.celsius is None:
        return sampled
    same = np.full(sampled.lower.shape, one.celsius)
    return Interval(same, same)


def _figure(opening: str, ends: Range | Interval) -> Iterator[Pieces]:
    """Write a number, an interval or null."""
    finite = np.isfinite(ends.lower) | np.isfinite(ends.upper)
    form = np.where(~finite, _NONE, np.where(ends.lower == ends.upper, _EXACT, _INTERVAL))
    yield of_texts([opening, opening + '{"lower": ', opening + "null"], form)
    yield _number(ends.lower, form < _NONE)
    yield of_texts(["", ', "upper": ', ""], form)
    yield _number(ends.upper, form == _INTERVAL)
    yield of_texts(["", "}", ""], form)


def _number(values: npt.NDArray[np.float64], written: npt.NDArray[np.bool_]) -> Pieces:
    """Write numbers, null for an open end, and nothing where there is no number."""
    if not written.any():
        return _same("", written.size)
    pieces = numbers(np.where(written, values, np.nan), "null", "", FIGURE_DIGITS)
    if written.all():
        return pieces
    table = pa.concat_arrays([pieces.table, pa.array([""], pa.large_string())])
    return Pieces(table, np.where(written, pieces.code, len(table) - 1))


def _same(text: str, size: int) -> Pieces:
    return of_texts([text], np.zeros(size, dtype=np.intp))
