"""What becomes of waters in a system, as columns of a CSV file."""

import numpy as np
import pandas as pd

from chemcheck.assessment.water_in_use import WaterInUse
from chemcheck.remedies.softening import LEFT, MENDED, Softening

_KINDS = 5  # of effects of a softener
_BETWEEN = "; "


def in_use_table(found: WaterInUse, n_samples: int) -> pd.DataFrame:
    """Return what a softener mends and leaves, scale, and deionised rinses.

    Parameters
    ----------
    found : WaterInUse
        Of all samples.
    n_samples : int
        How many there are.

    Returns
    -------
    DataFrame, n_samples rows
        ``softener_mends`` and ``softener_leaves``, keys of bounds; of a system the most scale
        ``scale_g``, ``scale_mm`` and ``metal_hotter_c``; of what drains ``deionised_rinses``,
        the last of so many, and what asks for them. Missing where there is nothing to say.
    """
    columns: dict[str, np.ndarray] = {}
    for name, state in (("softener_mends", MENDED), ("softener_leaves", LEFT)):
        column = np.full(n_samples, None, dtype=object)
        for part in found.sets:
            column[part.rows] = _keys(part.softening, int(state))
        columns[name] = column
    if found.deposit is not None:
        scale = found.deposit
        for name, ends in (
            ("scale_g", scale.mass),
            ("scale_mm", scale.thickness),
            ("metal_hotter_c", scale.rise),
        ):
            columns[name] = np.where(np.isfinite(ends[1]), ends[1], np.nan)
    if found.held_back is not None:
        rinses = np.full(n_samples, np.nan)
        control = np.full(n_samples, None, dtype=object)
        for part in found.sets:
            finished = part.finished
            if finished is None:
                continue
            rinses[part.rows] = np.where(finished.known, finished.rinses, np.nan)
            names = np.array([*(bound.key for bound in finished.bounds), None], dtype=object)
            control[part.rows] = names[finished.controlled_by]
        columns["deionised_rinses"] = rinses
        columns["rinses_controlled_by"] = control
    return pd.DataFrame(columns)


def _keys(softening: Softening, state: int) -> np.ndarray:
    """Return the keys of the bounds in a state, a text for each water; each distinct one once."""
    keys = [bound.key for bound in softening.bounds]
    powers = _KINDS ** np.arange(len(keys), dtype=np.int64)
    number, kinds = pd.factorize(softening.effect.astype(np.int64) @ powers)
    texts = np.full(len(kinds), None, dtype=object)
    for place, kind in enumerate(kinds.tolist()):
        told = [key for k, key in enumerate(keys) if kind // _KINDS**k % _KINDS == state]
        texts[place] = _BETWEEN.join(dict.fromkeys(told)) or None
    return np.asarray(texts[number])
