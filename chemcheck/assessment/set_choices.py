"""Which limit set judges which sample."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.errors import UnknownTechnologyError
from chemcheck.limit_library import choose, load_set, technologies
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.sample_types import OF_THE_LABORATORY, rows_of_type
from chemcheck.readings.text_codes import text_codes


@dataclass(frozen=True, slots=True)
class SetChoice:
    """One way of choosing a set for each sample.

    Parameters
    ----------
    name : str
        As the user would name it.
    sets : tuple of LimitSet
        The sets it takes.
    set_of_sample : ndarray of int16, shape (n_samples,)
        Position in ``sets``; -1 where none applies.
    """

    name: str
    sets: tuple[LimitSet, ...]
    set_of_sample: npt.NDArray[np.int16]


def default_choice(samples: pd.DataFrame) -> tuple[SetChoice, tuple[str, ...]]:
    """Choose the library's default set by material, technology and glycol.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``material``, ``technology`` and ``glycol_type``.

    Returns
    -------
    choice : SetChoice
        A coolant of unknown technology gets what holds for every technology.
    assumptions : tuple of str
        One for each technology that the library does not know, or has no set for.
    """
    strata = [text_codes(samples[name]) for name in ("material", "technology", "glycol_type")]
    (material, materials), (technology, technologies), (glycol, glycols) = strata
    width_t, width_g = len(technologies) + 1, len(glycols) + 1
    mixed = ((material + 1) * width_t + technology + 1) * width_g + glycol + 1
    sets: dict[str, LimitSet] = {}
    place = np.full(int(mixed.max(initial=0)) + 1, -1, dtype=np.int16)
    unknown: dict[str, str] = {}
    for k in np.flatnonzero(np.bincount(mixed)):
        m, t, g = k // (width_t * width_g), k // width_g % width_t, k % width_g
        chosen = _default_set(
            materials[m - 1] if m else None,
            technologies[t - 1] if t else None,
            glycols[g - 1] if g else None,
            unknown,
        )
        if chosen is not None:
            place[k] = list(sets).index(chosen.id) if chosen.id in sets else len(sets)
            sets.setdefault(chosen.id, chosen)
    name = next(iter(sets)) if len(sets) == 1 else "by material and technology"
    chosen_sets = _of_units(samples, place[mixed])
    return SetChoice(name, tuple(sets.values()), chosen_sets), tuple(unknown.values())


def named_choices(
    samples: pd.DataFrame, limits: Sequence[str | Path | LimitSet]
) -> tuple[SetChoice, ...]:
    """Apply the sets that the user names.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``material``, ``technology`` and ``glycol_type``.
    limits : sequence of str, Path or LimitSet
        Ids, files or sets.

    Returns
    -------
    tuple of SetChoice
        First the headline: for each sample the first set that applies to it. Then every
        other set by itself.
    """
    sets = tuple(x if isinstance(x, LimitSet) else load_set(x) for x in limits)
    applies = np.array([_applies(each, samples) for each in sets])
    applies[:, rows_of_type(samples, OF_THE_LABORATORY)] = False
    first = np.where(applies.any(axis=0), applies.argmax(axis=0), -1).astype(np.int16)
    used = np.unique(first[first >= 0])
    name = sets[used[0]].id if used.size == 1 else " or ".join(s.id for s in sets)
    headline = SetChoice(name if used.size else sets[0].id, sets, first)
    others = [
        SetChoice(each.id, (each,), np.where(applies[k], 0, -1).astype(np.int16))
        for k, each in enumerate(sets)
        if k > 0
    ]
    return (headline, *others)


def _of_units(samples: pd.DataFrame, set_of_sample: npt.NDArray[np.int16]) -> npt.NDArray[np.int16]:
    """Leave blanks, standards and spikes without a set: they show no unit."""
    set_of_sample[rows_of_type(samples, OF_THE_LABORATORY)] = -1
    return set_of_sample


def _default_set(
    material: str | None, technology: str | None, glycol: str | None, unknown: dict[str, str]
) -> LimitSet | None:
    """Return the default set; a technology that the library does not know counts as unknown."""
    if material is None:
        return None
    try:
        chosen = choose(material, technology, glycol)
    except UnknownTechnologyError as error:
        unknown[str(technology)] = f"{error}; its samples are judged as of unknown technology"
        return choose(material, None, glycol)
    if chosen is None and technology is not None and technologies()[technology].limit_set is None:
        title = technologies()[technology].title
        unknown[technology] = (
            f"{title}: no set of the library judges it; name the maker's or your own with --limits"
        )
    return chosen


def _applies(limit_set: LimitSet, samples: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """Return which samples a set applies to: not those of another material or technology.

    A user who names a set for samples of unknown technology says by that what they are.
    """
    answer = np.ones(len(samples), dtype=np.bool_)
    for column, allowed, or_unknown in (
        ("material", {limit_set.material}, False),
        ("technology", limit_set.technologies, True),
        ("glycol_type", limit_set.glycols, True),
    ):
        if allowed:
            codes, names = text_codes(samples[column])
            answer &= np.array([*(name in allowed for name in names), or_unknown])[codes]
    return answer
