"""What a sample was taken for, by the ``sample_type`` of its row."""

from collections.abc import Collection

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.readings.text_codes import text_codes

ROUTINE = "routine"
FRESH_FILL = "fresh fill"
# Reckoned for a refill, not measured: a reference until a sample shows the fill.
EXPECTED_FILL = "expected fill"
DUPLICATE = "duplicate"
BLANK_SAMPLE = "blank"
CHECK_STANDARD = "check standard"
SPIKE = "spike"
QUALITY_CONTROL = "quality control"
NEW_CONCENTRATE = "new concentrate"
PREMIX = "premix"
BULK_TANK = "bulk tank"

# These say how a laboratory works, not how a unit is: they are never judged as a unit's.
OF_THE_LABORATORY = (BLANK_SAMPLE, CHECK_STANDARD, SPIKE, QUALITY_CONTROL)
# New coolant before it is in any unit: no part of a unit's history.
NEW_COOLANT = (NEW_CONCENTRATE, PREMIX, BULK_TANK)
NOT_OF_A_UNIT = (*OF_THE_LABORATORY, *NEW_COOLANT)


def rows_of_type(samples: pd.DataFrame, types: Collection[str]) -> npt.NDArray[np.intp]:
    """Return the positions of samples of some types.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``sample_type``.
    types : collection of str
        The types.

    Returns
    -------
    ndarray of int
        In order.

    Examples
    --------
    >>> samples = pd.DataFrame({"sample_type": ["routine", "blank", "routine"]})
    >>> rows_of_type(samples, OF_THE_LABORATORY)
    array([1])
    """
    # One pass that costs next to nothing where, as usual, every sample is routine.
    codes, names = text_codes(samples["sample_type"])
    wanted = np.array([*(name in types for name in names), False])
    if not wanted.any():
        return np.zeros(0, dtype=np.intp)
    return np.flatnonzero(wanted[codes])


def types_present(samples: pd.DataFrame) -> frozenset[str]:
    """Return the types that any sample has.

    Examples
    --------
    >>> sorted(types_present(pd.DataFrame({"sample_type": ["routine", "blank", "routine"]})))
    ['blank', 'routine']
    """
    return frozenset(text_codes(samples["sample_type"])[1])
