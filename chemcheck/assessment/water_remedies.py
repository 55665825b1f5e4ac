"""What can be done for one fill water: blend it with deionised water, or leave it."""

from collections.abc import Iterator

import numpy as np

from chemcheck.assessment.remedy_record import Draft
from chemcheck.assessment.sample_levels import Floats, SampleLevels
from chemcheck.remedies.deionised_water import deionised_water
from chemcheck.remedies.estimate import exact
from chemcheck.remedies.part_replaced import levels_after
from chemcheck.remedies.water_blend import blend_with_deionised

_CAUTIONS = ("maker_and_local_rules",)
# Of ten litres, so that the step can be carried out with a can.
_CAN = 10.0
_TO_MEASURE = "pH of the water that is used: it does not mix in proportion, measure it"


def water_drafts(levels: SampleLevels) -> Iterator[Draft]:
    """Give the remedies of one water.

    Parameters
    ----------
    levels : SampleLevels
        What it holds, and its bounds.
    """
    if not (levels.troubled & levels.mixes).any():
        return

    def reading_of(key: str, basis: str | None) -> tuple[Floats, Floats]:
        for place, column in enumerate(levels.judged.readings.columns):
            if column.analyte == key and basis in (None, column.basis):
                if np.isnan(levels.lower[place]):
                    continue
                low, high = levels.lower[place], levels.upper[place]
                more = levels.margin[place]
                return np.array([max(low - more, 0.0)]), np.array([high + more])
        return np.array([np.nan]), np.array([np.nan])

    blend = blend_with_deionised(levels.limit_set, deionised_water(), reading_of, 1)
    share = float(blend.share.largest[0]) if bool(blend.known[0]) else np.nan
    # Rounded down to whole percent, as it can be measured out.
    share = np.floor(100.0 * share) / 100.0 if np.isfinite(share) else 0.0
    if 0.0 < share < 1.0:
        yield _blend(levels, share)
    yield _blend(levels, 0.0)


def _blend(levels: SampleLevels, share: float) -> Draft:
    pure = deionised_water()
    pure_low, pure_high = np.full((2, len(levels.analytes)), np.nan)
    for place, key in enumerate(levels.analytes):
        if key in pure:
            pure_low[place], pure_high[place] = pure[key].lower, pure[key].upper
    replaced = exact(1.0 - share)
    low, high = levels_after(levels.lower, levels.upper, pure_low, pure_high, replaced)
    title = "Use deionised water alone"
    steps: tuple[str, ...] = ("Fill deionised water in place of this water.",)
    if share:
        tap, rest = _CAN * share, _CAN * (1.0 - share)
        title = "Blend with deionised water"
        steps = (
            f"Mix at most {100.0 * share:.0f} % of this water with deionised water: in "
            f"{_CAN:g} L {tap:.2g} L of it and {rest:.2g} L of deionised water.",
            "Measure the blend before it meets the concentrate.",
        )
    return Draft(title, steps, low, high, 1.0 - share, _CAUTIONS, (_TO_MEASURE,))
