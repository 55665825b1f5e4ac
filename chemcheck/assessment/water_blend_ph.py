"""The pH of each water's blend with deionised water, at its largest share of tap water."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.box_search import IONS
from chemcheck.judging.water_analysis import water_analysis
from chemcheck.readings.record import Readings
from chemcheck.remedies.deionised_water import deionised_water
from chemcheck.remedies.tap_blend_ph import BlendPh, tap_blend_ph
from chemcheck.remedies.water_blend import WaterBlend

# Up to so many waters have it in a document: six to thirty thousand are reckoned in a second.
MOST_BLENDED = 100_000
_ANALYTES = {"alkalinity": "total_alkalinity"}


def water_blend_ph(
    readings: Readings,
    blends: Sequence[tuple[npt.NDArray[np.intp], WaterBlend]],
    rows: npt.NDArray[np.intp],
) -> BlendPh:
    """Reckon the pH of the blends of some waters.

    Parameters
    ----------
    readings : Readings
        All samples.
    blends : sequence of (ndarray of int, WaterBlend)
        Positions of the waters that a set judges, and their blends.
    rows : ndarray of int, shape (n,)
        Positions of the waters in question.

    Returns
    -------
    BlendPh
        Of these waters, in their order; NaN where no share can be promised or nothing is
        blended.
    """
    shares = np.full(len(readings.samples), np.nan)
    for part, blend in blends:
        shares[part] = np.where(blend.known, blend.share.largest, np.nan)
    analysis = water_analysis(readings, rows)
    assumed = deionised_water()
    lower, upper = (
        {name: getattr(assumed[_ANALYTES.get(name, name)], end) for name in ("alkalinity", *IONS)}
        for end in ("lower", "upper")
    )
    return tap_blend_ph(analysis.lower, analysis.upper, (lower, upper), shares[rows])
