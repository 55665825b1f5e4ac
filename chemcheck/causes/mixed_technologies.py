"""Coolant of another technology in a fill: which, how much of it, and what does not agree."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from chemcheck.causes.reading_ends import COVERAGE, ends_of
from chemcheck.chemistry.mixing_fraction import mixing_fraction
from chemcheck.chemistry.range_record import Range
from chemcheck.judging.record import Judged
from chemcheck.limit_library.records import Evidence
from chemcheck.limit_library.settings import (
    Setting,
    check_file_node,
    read_evidence,
    read_settings,
)


@dataclass(frozen=True, slots=True)
class Band:
    """What a share of another coolant asks for.

    Parameters
    ----------
    upto : float
        Greatest share of the band [1].
    do : str
        What to do.
    source, evidence : str
        Who says so, and how well it is known.
    """

    upto: float
    do: str
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class MixedTechnology:
    """Another technology found in a fill.

    Parameters
    ----------
    technology : str
        Key of the other technology.
    fraction : Range
        Its share of the coolant, 95 % [1].
    value : float
        The best estimate [1].
    left : float
        What both together are of an undiluted fill [1].
    tracers, disagree : tuple of str
        Analytes that tell the two apart, and those of them that do not lie with the fit.
    bands : tuple of Band
        What the share asks for, from the lower to the upper end.
    """

    technology: str
    fraction: Range
    value: float
    left: float
    tracers: tuple[str, ...]
    disagree: tuple[str, ...]
    bands: tuple[Band, ...]


@cache
def mixed_coolant_settings() -> tuple[tuple[str, ...], Mapping[str, Setting], tuple[Band, ...]]:
    """Return tracers, numbers and bands of the library.

    Examples
    --------
    >>> tracers, numbers, bands = mixed_coolant_settings()
    >>> [band.upto for band in bands]
    [0.1, 0.25, 1.0]
    """
    names = ("version", "tracers", "tracers_source", "tracers_evidence", "values", "bands")
    fields = check_file_node("mixed_coolants").fields(names, names)
    keys = ("upto", "do", "source", "evidence")
    bands = []
    for node in fields["bands"].entries():
        band = node.fields(keys, keys)
        bands.append(
            Band(
                band["upto"].number(),
                band["do"].text(),
                band["source"].text(),
                read_evidence(band["evidence"]),
            )
        )
    tracers = tuple(node.text() for node in fields["tracers"].entries())
    return tracers, read_settings(fields["values"]), tuple(bands)


def mixed_technologies(
    judged: Judged, row: int, fresh: int, others: Mapping[str, int]
) -> MixedTechnology | None:
    """Look for a coolant of another technology in a sample.

    Parameters
    ----------
    judged : Judged
        All samples.
    row, fresh : int
        Positions of the sample and of its fresh fill.
    others : mapping of str to int
        By technology, the position of a fresh-fill sample of it.

    Returns
    -------
    MixedTechnology or None
        That of which the tracers show most; None where none makes them fit better than the
        sample's own coolant, thinned with water, does.
    """
    tracers, settings, bands = mixed_coolant_settings()
    own_technology = judged.readings.samples["technology"].iloc[fresh]
    known = [name for name in tracers if ends_of(judged, row, name) is not None]
    found, own = _levels(judged, row, known), _levels(judged, fresh, known)
    best: tuple[float, MixedTechnology] | None = None
    for technology, place in others.items():
        if technology == own_technology:
            continue
        other = _levels(judged, place, known)
        answer = _fit(known, found, own, other, settings)
        if answer is None:
            continue
        gain, fraction, value, left, used, disagree = answer
        if gain >= settings["least_gain"].value and (best is None or gain > best[0]):
            mixed = MixedTechnology(
                technology, fraction, value, left, used, disagree, _bands(fraction, bands)
            )
            best = gain, mixed
    return None if best is None else best[1]


def _fit(
    names: list[str],
    found: tuple[np.ndarray, np.ndarray],
    own: tuple[np.ndarray, np.ndarray],
    other: tuple[np.ndarray, np.ndarray],
    settings: Mapping[str, Setting],
) -> tuple[float, Range, float, float, tuple[str, ...], tuple[str, ...]] | None:
    """Fit one other coolant by the tracers in which the two differ."""
    ratio = settings["least_ratio"].value
    low, high = np.minimum(own[0], other[0]), np.maximum(own[0], other[0])
    apart = high > ratio * low + COVERAGE * np.maximum(own[1], other[1])
    used = np.flatnonzero(apart & np.isfinite(found[0]))
    if used.size < 2:
        return None
    change = settings["relative_change"].value
    spread = np.sqrt(found[1] ** 2 + np.maximum(own[1], other[1]) ** 2 + (change * found[0]) ** 2)
    # Near zero a tracer is known no better than a share of what the stronger coolant holds.
    spread = np.maximum(spread, 0.25 * change * high)
    fit = mixing_fraction(*(one[np.newaxis, used] for one in (found[0], own[0], other[0], spread)))
    if np.isnan(fit.fraction[0]):
        return None
    freedom = max(used.size - 2, 1)
    scatter = max(float(fit.chi_square[0]) / freedom, 1.0)
    gain = (float(fit.without[0]) - float(fit.chi_square[0])) / scatter
    return (
        gain,
        Range(fit.lower[0], fit.upper[0]),
        float(fit.fraction[0]),
        float(fit.left[0]),
        tuple(names[k] for k in used),
        tuple(names[k] for k, far in zip(used, fit.disagree[0], strict=True) if far),
    )


def _levels(judged: Judged, row: int, names: list[str]) -> tuple[np.ndarray, np.ndarray]:
    """Return middles and standard deviations of readings; NaN where there is none."""
    ends = [ends_of(judged, row, name) for name in names]
    low = np.array([np.nan if one is None else float(one.lower) for one in ends])
    high = np.array([np.nan if one is None else float(one.upper) for one in ends])
    high = np.where(np.isfinite(high), high, np.nan)
    return 0.5 * (low + high), (high - low) / (2.0 * COVERAGE)


def _bands(fraction: Range, bands: tuple[Band, ...]) -> tuple[Band, ...]:
    """Return the bands that an interval reaches into."""
    answer, before = [], -1.0
    for band in bands:
        if float(fraction.lower) <= band.upto and float(fraction.upper) > before:
            answer.append(band)
        before = band.upto
    return tuple(answer)
