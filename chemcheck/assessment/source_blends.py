"""The worst sample of each water source: which share of it holds all the year round."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from chemcheck.judging.water_source import worst_month
from chemcheck.limit_library.records import LimitSet
from chemcheck.remedies.water_blend import WaterBlend

SOURCE_BLEND_COLUMNS = (
    "source",
    "samples",
    "tap_share_max",
    "controlled_by",
    "worst_taken_on",
    "worst_file",
    "worst_row",
    "worst_month",
)
# A set, the positions of the waters it judges, and their blends.
Part = tuple[LimitSet, np.ndarray[tuple[int, ...], np.dtype[np.intp]], WaterBlend]


def source_blends(samples: pd.DataFrame, parts: Sequence[Part]) -> pd.DataFrame:
    """Find the sample of each source that allows the least tap water.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``unit_id``, the source, and ``taken_on``.
    parts : sequence of (LimitSet, ndarray, WaterBlend)
        The blends of the samples that each set judges.

    Returns
    -------
    DataFrame
        ``SOURCE_BLEND_COLUMNS``, a row for each source with two or more samples whose share is
        known: the share that meets every bound in all of them [1], NaN where in one of them no
        share does; what controls there; the sample; and the month, 1 to 12, in which the share
        is least, missing where too few months were sampled or none stands out.
    """
    share, control = np.full(len(samples), np.nan), np.full(len(samples), None, dtype=object)
    known = np.zeros(len(samples), dtype=np.bool_)
    for _, rows, blend in parts:
        keys = np.array([*(bound.key for bound in blend.bounds), None], dtype=object)
        share[rows], control[rows] = blend.share.largest, keys[blend.share.largest_by]
        known[rows] = blend.known
    source, names = pd.factorize(samples["unit_id"])
    at = np.flatnonzero(known & (source >= 0))
    # No share at all is worse than any.
    least = np.nan_to_num(share, nan=-1.0)
    at = at[np.lexsort((least[at], source[at]))]
    found = []
    for part in np.split(at, np.flatnonzero(np.diff(source[at])) + 1):
        if part.size < 2:
            continue
        worst = samples.iloc[part[0]]
        dates = samples["taken_on"].iloc[part].reset_index(drop=True)
        month = worst_month(dates, -least[part]) if dates.notna().any() else None
        found.append(
            (
                str(names[source[part[0]]]),
                part.size,
                share[part[0]],
                control[part[0]],
                worst["taken_on"],
                worst["file"],
                int(worst["row"]),
                month,
            )
        )
    table = pd.DataFrame(found, columns=list(SOURCE_BLEND_COLUMNS))
    return table.astype({"worst_month": "Int64"})
