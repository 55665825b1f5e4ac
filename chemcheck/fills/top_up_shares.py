"""What share of a system each logged top-up exchanged, and with what fluid."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.event_order import events_before
from chemcheck.fills.fill_numbers import STARTS_A_FILL, Fills
from chemcheck.limit_library import limit_folder
from chemcheck.units import read_yaml

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

FILE = "dilution.yaml"
WATER, CONCENTRATE, PREMIX, UNKNOWN = "water", "concentrate", "premix", "unknown"
# A top-up of more than this share is no top-up; its share is cut to it.
MOST = 0.95


@dataclass(frozen=True, slots=True)
class DilutionLibrary:
    """What top-ups do, as the library has it.

    Parameters
    ----------
    diluted : frozenset of str
        Analytes that a trend corrects for dilution.
    references : tuple of str
        What only dilution changes, the best first.
    fluids : mapping of str to tuple of str
        Words for each fluid.
    settings : mapping of str to float
        As in the file.
    """

    diluted: frozenset[str]
    references: tuple[str, ...]
    fluids: Mapping[str, tuple[str, ...]]
    settings: Mapping[str, float]


@cache
def dilution_library() -> DilutionLibrary:
    """Read what top-ups do, once.

    Examples
    --------
    >>> dilution_library().references[0]
    'glycol'
    """
    page = read_yaml(limit_folder() / FILE)
    words = page["fluids"]
    return DilutionLibrary(
        diluted=frozenset(page["diluted"]["analytes"]),
        references=tuple(page["references"]["analytes"]),
        fluids={
            kind: tuple(str(word).casefold() for word in words[kind])
            for kind in (PREMIX, CONCENTRATE, WATER)
        },
        settings={name: float(entry["value"]) for name, entry in page["settings"].items()},
    )


@cache
def fluid_kind(text: str) -> str:
    """Return what kind of fluid a text names.

    Examples
    --------
    >>> fluid_kind("premix 50/50"), fluid_kind("tap water"), fluid_kind("blue")
    ('premix', 'water', 'unknown')
    """
    folded = text.casefold()
    for kind, words in dilution_library().fluids.items():
        if any(word in folded for word in words):
            return kind
    return UNKNOWN


@dataclass(frozen=True, slots=True)
class TopUps:
    """What was logged as added to the unit of each sample, up to it.

    Parameters
    ----------
    premixes, concentrates, waters, doses : ndarray of int64, shape (n_samples,)
        How many of each.
    log_kept : ndarray of float64, shape (n_samples,)
        Sum, over top-ups with coolant, of ln(1 - share exchanged).
    log_kept_water : ndarray of float64, shape (n_samples,)
        The same over top-ups with water.
    without_share, water_without_share : ndarray of int64, shape (n_samples,)
        How many top-ups with coolant, or water, are of an unknown share.
    """

    premixes: Integers
    concentrates: Integers
    waters: Integers
    doses: Integers
    log_kept: Floats
    log_kept_water: Floats
    without_share: Integers
    water_without_share: Integers


def top_ups_before(
    samples: pd.DataFrame,
    fills: Fills,
    events: pd.DataFrame | None,
    volume: Floats,
) -> TopUps:
    """Sum up what was logged as added to each sample's unit before it was drawn.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``taken_on``, ``hours``, ``distance`` and ``sample_type``.
    fills : Fills
        Of the same samples.
    events : DataFrame or None
        The log; a column ``share`` gives the share exchanged where it is known without litres.
    volume : ndarray, shape (n_units,)
        What each unit's system holds [L]; NaN where unknown.

    Returns
    -------
    TopUps
        A share is litres over volume: what leaked out or was drained was the mixed coolant.

    Examples
    --------
    >>> from chemcheck.fills.fill_numbers import number_fills
    >>> samples = pd.DataFrame({
    ...     "unit_id": ["A", "A"], "taken_on": pd.to_datetime(["2031-01-01", "2031-03-01"]),
    ...     "hours": np.nan, "distance": np.nan, "sample_type": "routine",
    ... })
    >>> log = pd.DataFrame({
    ...     "unit_id": ["A"], "date": pd.to_datetime(["2031-02-01"]), "hours": [np.nan],
    ...     "distance": [np.nan], "event": ["top-up"], "litres": [4.0], "fluid": ["premix"],
    ... })
    >>> found = top_ups_before(samples, number_fills(samples), log, np.array([40.0]))
    >>> np.exp(found.log_kept).round(6), found.premixes
    (array([1. , 0.9]), array([0, 1]))
    """
    n = len(samples)
    none = np.zeros(n, dtype=np.int64)
    if events is None or not len(events):
        return TopUps(none, none, none, none, np.zeros(n), np.zeros(n), none, none)
    unit = fills.unit_ids.get_indexer(pd.Index(events["unit_id"])).astype(np.int64)
    event = events["event"].to_numpy(dtype=object)
    texts = pd.Series(events["fluid"]).fillna("").astype(str)
    codes, distinct = pd.factorize(texts)
    kind = np.array([fluid_kind(text) for text in distinct], dtype=object)[codes]
    share = _shares(events, unit, volume)
    added = (event == "top-up") & (unit >= 0)

    def count(which: npt.NDArray[np.bool_]) -> Integers:
        return _before(samples, fills, events, unit, which)[0]

    coolant = added & np.isin(kind, (PREMIX, CONCENTRATE))
    water = added & (kind == WATER)
    known = np.isfinite(share)
    return TopUps(
        premixes=count(added & (kind == PREMIX)),
        concentrates=count(added & (kind == CONCENTRATE)),
        waters=count(water),
        doses=count((event == "dose") & (unit >= 0)),
        log_kept=_sum_before(samples, fills, events, unit, coolant & known, share),
        log_kept_water=_sum_before(samples, fills, events, unit, water & known, share),
        without_share=count(coolant & ~known),
        water_without_share=count(water & ~known),
    )


def volumes_by_changes(fills: Fills, events: pd.DataFrame | None) -> Floats:
    """Return what each unit takes by its logged changes: the most litres of any.

    Parameters
    ----------
    fills : Fills
        Of the samples.
    events : DataFrame or None
        The log.

    Returns
    -------
    ndarray, shape (n_units,)
        [L]; NaN where no full change with litres is logged.
    """
    volume = np.full(len(fills.unit_ids), -np.inf)
    if events is not None and len(events):
        unit = fills.unit_ids.get_indexer(pd.Index(events["unit_id"]))
        litres = events["litres"].to_numpy(dtype=np.float64)
        full = (events["event"] == STARTS_A_FILL[0]).to_numpy() & (unit >= 0) & (litres > 0)
        np.maximum.at(volume, unit[full], litres[full])
    return np.where(np.isfinite(volume), volume, np.nan)


def _shares(events: pd.DataFrame, unit: Integers, volume: Floats) -> Floats:
    litres = events["litres"].to_numpy(dtype=np.float64)
    share = litres / np.append(volume, np.nan)[unit]
    if "share" in events:
        stated = events["share"].to_numpy(dtype=np.float64)
        share = np.where(np.isfinite(stated), stated, share)
    return np.where(share > 0.0, np.minimum(share, MOST), np.nan)


def _before(
    samples: pd.DataFrame,
    fills: Fills,
    events: pd.DataFrame,
    unit: Integers,
    which: npt.NDArray[np.bool_],
) -> tuple[Integers, Integers]:
    rows = np.flatnonzero(which)
    if not rows.size:
        return np.zeros(len(samples), dtype=np.int64), rows
    return events_before(samples, fills.unit, events.iloc[rows], unit[rows])[0], rows


def _sum_before(
    samples: pd.DataFrame,
    fills: Fills,
    events: pd.DataFrame,
    unit: Integers,
    which: npt.NDArray[np.bool_],
    share: Floats,
) -> Floats:
    """Sum ln(1 - share) over the events before each sample: the first so many of its unit."""
    passed, rows = _before(samples, fills, events, unit, which)
    if not rows.size:
        return np.zeros(len(samples))
    places = [events[name].to_numpy() for name in ("distance", "hours", "date")]
    rows = rows[np.lexsort((*[place[rows] for place in places], unit[rows]))]
    running = np.concatenate(([0.0], np.cumsum(np.log1p(-share[rows]))))
    first = np.searchsorted(unit[rows], np.maximum(fills.unit, 0))
    total: Floats = running[first + passed] - running[first]
    return np.where(fills.unit >= 0, total, 0.0)
