"""What of a mixed coolant does not follow from amounts in proportion, and what must be measured."""

from collections.abc import Iterator

import numpy as np

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.sample_levels import FREEZING, GLYCOL, PH, Floats, SampleLevels
from chemcheck.judging.glycol_of_concentrate import GLYCOLS
from chemcheck.limit_library.glycol_properties import glycol_properties
from chemcheck.remedies.cold_margin import freezing
from chemcheck.remedies.estimate import Estimate, between, joined


def with_unmixed(
    levels: SampleLevels, lower: Floats, upper: Floats, share: float
) -> tuple[Floats, Floats]:
    """Fill in what does not mix in proportion, as far as that can be said.

    Parameters
    ----------
    levels : SampleLevels
        What the sample holds.
    lower, upper : ndarray, shape (n_columns,)
        Ends of the levels that a remedy leads to [canonical units].
    share : float
        Of the system that it replaces [1].

    Returns
    -------
    lower, upper : ndarray, shape (n_columns,)
        pH lies between that of both liquids where the fresh fill is known, the freezing point
        follows from the glycol; NaN for the rest.
    """
    lower, upper = lower.copy(), upper.copy()
    fresh_lower, fresh_upper = levels.of_fresh
    for place, key in enumerate(levels.analytes):
        if levels.mixes[place] or np.isnan(levels.lower[place]):
            continue
        lower[place] = upper[place] = np.nan
        if key == PH and not np.isnan(fresh_lower[place]) and share > 0.0:
            # Of two buffered liquids of one kind a mix lies between the two.
            lower[place] = min(levels.lower[place], fresh_lower[place])
            upper[place] = max(levels.upper[place], fresh_upper[place])
            if share == 1.0:
                lower[place], upper[place] = fresh_lower[place], fresh_upper[place]
        elif key == FREEZING:
            found = _freezing(levels, lower, upper)
            if found is not None:
                lower[place], upper[place] = float(found.lower), float(found.upper)
    return lower, upper


def _freezing(levels: SampleLevels, lower: Floats, upper: Floats) -> Estimate | None:
    """Return the freezing point by the glycol that is reached."""
    place = levels.place(GLYCOL)
    if place is None or np.isnan(lower[place]):
        return None
    percent = between(lower[place], upper[place])
    kinds = GLYCOLS if levels.glycol_type not in GLYCOLS else (levels.glycol_type,)
    found = joined([freezing(percent, glycol_properties(one))[0] for one in kinds])
    return None if np.isnan(found.lower) or np.isnan(found.upper) else found


def to_measure(levels: SampleLevels, lower: Floats) -> Iterator[str]:
    """Name what was read and judged, and cannot be foretold.

    Parameters
    ----------
    levels : SampleLevels
        What the sample holds.
    lower : ndarray, shape (n_columns,)
        Lower ends of the levels foretold; NaN where not known.
    """
    width = len(levels.analytes)
    judged = levels.judged.decisive[levels.row, :width] >= 0
    lost = judged & ~np.isnan(levels.lower) & np.isnan(lower)
    titles = [analyte_of(levels.analytes[k]).title for k in np.flatnonzero(lost)]
    if titles:
        yield f"{', '.join(titles)} afterwards: it cannot be reckoned, measure it"
