"""Which limits a sample has: by its limit set, its technology and its glycol."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.limit_library.records import AnalyteLimit, LimitSet, Rule
from chemcheck.readings.text_codes import text_codes


@dataclass(frozen=True, slots=True)
class Stratum:
    """Samples that have the same limits.

    Parameters
    ----------
    limit_set : int
        Position among the sets.
    technology, glycol : str or None
        None where unknown, or where no limit depends on it.
    """

    limit_set: int
    technology: str | None
    glycol: str | None

    def has(self, limit: AnalyteLimit | Rule) -> bool:
        """Return whether a limit of the set applies to these samples."""
        return _applies(limit.technologies, self.technology) and _applies(
            limit.glycols, self.glycol
        )

    def excludes(self, limit: AnalyteLimit | Rule) -> bool:
        """Return whether a limit certainly does not apply: what it hangs on is known."""
        return _excluded(limit.technologies, self.technology) or _excluded(
            limit.glycols, self.glycol
        )


@dataclass(frozen=True, slots=True)
class Strata:
    """The stratum of each sample.

    Parameters
    ----------
    kinds : tuple of Stratum
        The strata.
    code : ndarray of int16, shape (n_samples,)
        Position in ``kinds``; -1 where no set applies.
    """

    kinds: tuple[Stratum, ...]
    code: npt.NDArray[np.int16]


def stratify(
    samples: pd.DataFrame, sets: Sequence[LimitSet], set_of_sample: npt.NDArray[np.int16]
) -> Strata:
    """Divide samples by what their limits hang on.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``technology`` and ``glycol_type``.
    sets : sequence of LimitSet
        The sets in use.
    set_of_sample : ndarray of int16, shape (n_samples,)
        Position in ``sets``; -1 where none applies.

    Returns
    -------
    Strata
        One stratum a set, unless limits within a set depend on technology or glycol.
    """
    limits: list[AnalyteLimit | Rule] = []
    for each in sets:
        limits += [*each.limits, *each.rules]
    by_technology = any(limit.technologies for limit in limits)
    by_glycol = any(limit.glycols for limit in limits)
    technology, technologies = _codes_if(by_technology, samples, "technology")
    glycol, glycols = _codes_if(by_glycol, samples, "glycol_type")
    width_t, width_g = len(technologies) + 1, len(glycols) + 1
    mixed = (set_of_sample.astype(np.int64) * width_t + technology + 1) * width_g + glycol + 1
    mixed = np.where(set_of_sample < 0, -1, mixed)
    present = np.flatnonzero(np.bincount(mixed + 1)) - 1
    present = present[present >= 0]
    position = np.full(present.max(initial=-1) + 2, -1, dtype=np.int16)
    position[present] = np.arange(present.size, dtype=np.int16)
    kinds = tuple(
        Stratum(
            int(k // (width_t * width_g)),
            _name(technologies, int(k // width_g % width_t)),
            _name(glycols, int(k % width_g)),
        )
        for k in present
    )
    return Strata(kinds, position[mixed])


def _codes_if(
    needed: bool, samples: pd.DataFrame, column: str
) -> tuple[npt.NDArray[np.int64], tuple[str, ...]]:
    """Return the codes of a column of text, or all unknown if nothing depends on it."""
    if needed:
        return text_codes(samples[column])
    return np.full(len(samples), -1, dtype=np.int64), ()


def _name(names: tuple[str, ...], code: int) -> str | None:
    return None if code == 0 else names[code - 1]


def _applies(to: frozenset[str], value: str | None) -> bool:
    return not to or value in to


def _excluded(to: frozenset[str], value: str | None) -> bool:
    return bool(to) and value is not None and value not in to
