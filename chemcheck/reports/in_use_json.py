"""What becomes of a stretch of waters in a system, as JSON."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.water_in_use import SetInUse, WaterInUse
from chemcheck.judging.water_figures import WaterFigures
from chemcheck.remedies.deposit import Deposit, Ends
from chemcheck.remedies.softening import BROKEN, LEFT, MENDED, MET, UNREAD
from chemcheck.reports.json_text import json_value
from chemcheck.reports.text_pieces import Pieces, numbers, of_texts

Floats = npt.NDArray[np.float64]
Writer = Callable[[slice, WaterFigures], Iterator[Pieces]]

# No figure of scale is known better.
_DIGITS = 6
_EXACT, _INTERVAL, _NONE = 0, 1, 2
_EFFECTS = (("mends", MENDED), ("leaves", LEFT), ("breaks", BROKEN), ("unread", UNREAD))
_KINDS = 5  # of effects
_POTENTIAL = "ccpp_mg_per_kg"


@dataclass(frozen=True, slots=True)
class _Coded:
    """One of few texts for every sample."""

    texts: tuple[str, ...]
    code: npt.NDArray[np.intp]

    def of(self, rows: slice) -> Pieces:
        return of_texts(self.texts, self.code[rows])


def in_use_writer(found: WaterInUse, n_samples: int) -> Writer:
    """Return what writes ``softening``, ``deposit`` and ``hold_up`` of a stretch of samples.

    Parameters
    ----------
    found : WaterInUse
        Of all samples.
    n_samples : int
        How many there are.

    Returns
    -------
    callable
        Takes the stretch and its figures; gives pieces begun with a comma. ``softening`` is
        null for samples that no set for water judges, ``deposit`` and ``hold_up`` where
        nothing was said of a system.
    """
    softened = _softening(found, n_samples)
    finished = _finished(found, n_samples)

    def of(rows: slice, figures: WaterFigures) -> Iterator[Pieces]:
        size = rows.stop - rows.start
        yield from (pieces(rows) for pieces in softened)
        if found.deposit is None:
            yield _same(', "deposit": null', size)
        else:
            yield from _deposit(found, found.deposit, rows, figures)
        if found.held_back is None:
            yield _same(', "hold_up": null', size)
        else:
            yield from (pieces(rows) for pieces in finished)

    return of


def _softening(found: WaterInUse, n: int) -> list[Callable[[slice], Pieces]]:
    """Return what writes the effect of a softener, piece by piece."""
    none = ', "softening": null'
    texts: dict[str, int] = {none: 0}
    code = np.zeros(n, dtype=np.intp)
    lower, upper, change = np.full((3, n), np.nan)
    for part in found.sets:
        softening = part.softening
        powers = _KINDS ** np.arange(len(softening.bounds), dtype=np.int64)
        number, kinds = pd.factorize(softening.effect.astype(np.int64) @ powers)
        places = [texts.setdefault(_effect_text(part, int(kind)), len(texts)) for kind in kinds]
        code[part.rows] = np.array(places, dtype=np.intp)[number] if places else 0
        lower[part.rows], upper[part.rows] = softening.sodium_lower, softening.sodium_upper
        change[part.rows] = softening.index_change
    told = _Coded(tuple(texts), code)
    judged = code > 0
    return [
        told.of,
        *_numbers('"lower": ', lower, judged),
        *_numbers(', "upper": ', upper, judged),
        *_numbers('}, "saturation_index_change_at_most": ', change, judged, "}"),
    ]


def _numbers(
    opening: str, values: Floats, where: npt.NDArray[np.bool_], closing: str = ""
) -> list[Callable[[slice], Pieces]]:
    """Return what writes a number or null, and nothing where nothing is said of the sample."""
    return [
        lambda rows: of_texts([opening, ""], (~where[rows]).astype(np.intp)),
        lambda rows: _number(values[rows], where[rows]),
        lambda rows: of_texts([closing, ""], (~where[rows]).astype(np.intp)),
    ]


def _effect_text(part: SetInUse, kind: int) -> str:
    """Write the lists of bounds for one combination of effects."""
    keys = [bound.key for bound in part.softening.bounds]
    effects = [kind // _KINDS**place % _KINDS for place in range(len(keys))]
    cures = int(MENDED) in effects and all(one in (int(MET), int(MENDED)) for one in effects)
    lists = {
        name: list(dict.fromkeys(k for k, one in zip(keys, effects, strict=True) if one == state))
        for name, state in _EFFECTS
    }
    said = json_value({"cures": cures, **lists})
    return f', "softening": {said[:-1]}, "sodium_added_mg_per_l": {{'


def _deposit(
    found: WaterInUse, scale: Deposit, rows: slice, figures: WaterFigures
) -> Iterator[Pieces]:
    opening = ', "deposit": {'
    for name, ends in (
        ("mass_g", scale.mass),
        ("thickness_mm", scale.thickness),
        ("temperature_rise_c", scale.rise),
        ("from_fill_g", scale.fill),
        ("from_top_ups_g", scale.top_ups),
        ("left_after_leak_g", scale.after_leak),
        ("all_hardness_g", scale.all_hardness),
    ):
        yield from _figure(f'{opening}"{name}": ', (ends[0][rows], ends[1][rows]))
        opening = ", "
    yield from _figure(', "water_alone_g": ', _alone(found, figures))
    by = np.where(scale.by_alkalinity[rows], 0, 1)
    yield of_texts(
        [f', "bounded_by": "{name}"}}' for name in ("carbonate_hardness", "total_hardness")], by
    )


def _alone(found: WaterInUse, figures: WaterFigures) -> Ends:
    """Return what the water alone leaves at the hottest temperature asked for [g]."""
    hottest = max(
        figures.temperatures,
        key=lambda one: -np.inf if one.celsius is None else one.celsius,
        default=None,
    )
    use = found.system
    if hottest is None or use is None:
        nothing = np.full(figures.left_out.size, np.nan)
        return nothing, nothing
    potential = figures.closed[hottest.label][_POTENTIAL]
    litres = (
        use.water[0] + float(use.top_ups.lower),
        use.water[1] + float(use.top_ups.upper),
    )
    return (
        np.maximum(potential.lower, 0.0) * litres[0] / 1e3,
        np.maximum(potential.upper, 0.0) * litres[1] / 1e3,
    )


def _finished(found: WaterInUse, n: int) -> list[Callable[[slice], Pieces]]:
    """Return what writes the water of the finished fill, piece by piece."""
    volumes = found.held_back
    if volumes is None:
        return []
    head = f', "hold_up": {{"held_l": {json_value(volumes.held)}, "added_l": '
    head += f'{json_value(volumes.added)}, "deionised_rinses": '
    judged = np.zeros(n, dtype=np.bool_)
    rinses = np.full(n, np.nan)
    controls: dict[str, int] = {"null": 0}
    control = np.zeros(n, dtype=np.intp)
    meets = np.full(n, 2, dtype=np.intp)
    keys = list(dict.fromkeys(k for p in found.sets if p.finished for k in p.finished.analytes))
    held = {
        (name, key): (np.full(n, np.nan), np.full(n, np.nan))
        for name in ("without", "after")
        for key in keys
    }
    for part in found.sets:
        finished = part.finished
        if finished is None:
            continue
        judged[part.rows] = True
        rinses[part.rows] = np.where(finished.known, finished.rinses, np.nan)
        names = [controls.setdefault(json_value(b.key), len(controls)) for b in finished.bounds]
        control[part.rows] = np.array([*names, 0])[finished.controlled_by]
        meets[part.rows] = np.where(
            finished.meets, np.where(finished.known, 0, 2), 1
        )  # a bound that is broken is so whatever was not read
        for name, ends in (("without", finished.without), ("after", finished.after)):
            for place, key in enumerate(finished.analytes):
                for column, values in zip(held[name, key], ends, strict=True):
                    column[part.rows] = values[:, place]
    where = (~judged).astype(np.intp)

    def amounts(name: str) -> Iterator[Callable[[slice], Pieces]]:
        for place, key in enumerate(keys):
            unit = json_value(analyte_of(key).unit)
            lower, upper = held[name, key]
            comma = ", " if place else ""
            yield from _numbers(f'{comma}"{key}": {{"lower": ', lower, judged)
            yield from _numbers(', "upper": ', upper, judged, f', "unit": {unit}}}')

    return [
        lambda rows: of_texts([head, ', "hold_up": null'], where[rows]),
        *_numbers("", rinses, judged, ', "controlled_by": '),
        lambda rows: of_texts(
            [*controls, ""], np.where(judged[rows], control[rows], len(controls))
        ),
        *_constant(', "meets_bounds": ', where),
        lambda rows: of_texts(
            ["true", "false", "null", ""], np.where(judged[rows], meets[rows], 3)
        ),
        *_constant(', "without_rinse": {', where),
        *amounts("without"),
        *_constant('}, "after_rinses": {', where),
        *amounts("after"),
        *_constant("}}", where),
    ]


def _constant(text: str, where: npt.NDArray[np.intp]) -> list[Callable[[slice], Pieces]]:
    """Return what writes a text, and nothing where nothing is said of the sample."""
    return [lambda rows: of_texts([text, ""], where[rows])]


def _figure(opening: str, ends: Ends) -> Iterator[Pieces]:
    """Write a number, an interval with null for an open end, or null."""
    lower, upper = ends
    known = np.isfinite(lower)
    form = np.where(~known, _NONE, np.where(lower == upper, _EXACT, _INTERVAL))
    yield of_texts([opening, opening + '{"lower": ', opening + "null"], form)
    yield _number(lower, form < _NONE)
    yield of_texts(["", ', "upper": ', ""], form)
    yield _number(upper, form == _INTERVAL)
    yield of_texts(["", "}", ""], form)


def _number(values: Floats, written: npt.NDArray[np.bool_]) -> Pieces:
    """Write numbers, null for what is open or unknown, and nothing where none is wanted."""
    pieces = numbers(np.where(written, values, np.nan), "null", "", _DIGITS)
    if written.all():
        return pieces
    table = pa.concat_arrays([pieces.table, pa.array([""], pa.large_string())])
    return Pieces(table, np.where(written, pieces.code, len(table) - 1))


def _same(text: str, size: int) -> Pieces:
    return of_texts([text], np.zeros(size, dtype=np.intp))
