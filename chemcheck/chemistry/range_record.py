"""A range of values, by its ends."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Range:
    """Ends between which something lies.

    Parameters
    ----------
    lower, upper : numpy.ndarray
        Of one shape, equal where exact; NaN where it is not known or cannot be, infinite
        where an end is open.
    """

    lower: Floats
    upper: Floats
