"""What is taken for granted of all waters for their figures, and whether all can be reckoned."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from chemcheck.chemistry.waters import PUBLISHED_TEMPERATURES
from chemcheck.judging.water_analysis import (
    ASSUMED_WORDS,
    BY_CEILING,
    LABORATORY_TEMPERATURE,
    TAP_TEMPERATURE,
    water_analysis,
)
from chemcheck.judging.water_figures import IndexTemperature, kinds_of_reckoning
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.record import Readings

# Up to so many waters are searched for files, some milliseconds each.
MOST_SEARCHED = 2_000
_AT_ONCE = 1 << 15
_TEMPERATURES = {TAP_TEMPERATURE: "tap", LABORATORY_TEMPERATURE: "laboratory"}


@dataclass(frozen=True, slots=True)
class FigurePlan:
    """How the figures of all waters are reckoned.

    Parameters
    ----------
    searched : bool
        Whether files hold the figures of waters that take a search; False where these are more
        than `MOST_SEARCHED`.
    assumptions : tuple of str
        What is taken for granted, each in one line with the number of waters.
    """

    searched: bool
    assumptions: tuple[str, ...]


def figure_plan(readings: Readings, temperatures: Sequence[IndexTemperature]) -> FigurePlan:
    """Look at what all waters lack for their figures.

    Parameters
    ----------
    readings : Readings
        All samples.
    temperatures : sequence of IndexTemperature
        What is asked for.

    Returns
    -------
    FigurePlan
        A stretch of waters is looked at at a time.
    """
    n, searched, known = len(readings.samples), 0, 0
    counts: Counter[tuple[str, str]] = Counter()
    for start in range(0, n, _AT_ONCE):
        analysis = water_analysis(readings, np.arange(start, min(start + _AT_ONCE, n)))
        corners, search = kinds_of_reckoning(analysis)
        searched += int(np.count_nonzero(search))
        known += int(np.count_nonzero(corners | search))
        for key, where in analysis.assumed.items():
            counts[key] += int(np.count_nonzero(where & (corners | search)))
    said = list(_said(counts)) if known else []
    beyond = PUBLISHED_TEMPERATURES[1]
    if known and any(one.celsius is not None and one.celsius > beyond for one in temperatures):
        said.append(
            f"figures above {beyond:g} C: constants extrapolated, as their sources end there"
        )
    if searched > MOST_SEARCHED:
        said.append(
            f"figures of {searched:,} waters whose readings are intervals are left out of files; "
            "ask for fewer waters at a time"
        )
    return FigurePlan(searched <= MOST_SEARCHED, tuple(said))


def _said(counts: Counter[tuple[str, str]]) -> Iterator[str]:
    """Say what is taken for granted, inputs alike in one line."""
    together: dict[tuple[int, str, str], list[str]] = {}
    for (name, how), count in counts.items():
        if count:
            together.setdefault((count, how, _detail(name, how)), []).append(name)
    for (count, how, detail), names in together.items():
        waters = f"{count:,} {'water' if count == 1 else 'waters'}"
        yield f"figures of {waters}: {' and '.join(names)} {ASSUMED_WORDS[how]}{detail}"


def _detail(name: str, how: str) -> str:
    """Return the number that is assumed, and how well it is known."""
    settings = check_settings("water_analysis")
    if how in _TEMPERATURES:
        lower, upper = (
            settings[f"{_TEMPERATURES[how]}_temperature_{end}"] for end in ("lower", "upper")
        )
        return f" ({lower.value:g} to {upper.value:g} C, {lower.evidence})"
    if how == BY_CEILING:
        ceiling = settings[f"{name}_ceiling"]
        return f" ({ceiling.value:g} mg/L, {ceiling.evidence})"
    return ""
