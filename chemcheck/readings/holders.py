"""What a sample was taken of, in a person's word: a unit, a water source or a tank."""

import pandas as pd

from chemcheck.readings.sample_types import BULK_TANK, NEW_COOLANT


def holder_of(samples: pd.DataFrame, row: int) -> str:
    """Return the word for what the unit column names in one sample.

    Parameters
    ----------
    samples : DataFrame
        With ``material`` and ``sample_type``.
    row : int
        Position of the sample.

    Returns
    -------
    str
        ``source`` of water, ``tank``, ``delivery`` of new coolant, else ``unit``.

    Examples
    --------
    >>> samples = pd.DataFrame({
    ...     "material": ["water", "coolant", "coolant"],
    ...     "sample_type": ["routine", "bulk tank", "routine"],
    ... })
    >>> [holder_of(samples, row) for row in range(3)]
    ['source', 'tank', 'unit']
    """
    kind = samples["sample_type"].iloc[row]
    if samples["material"].iloc[row] == "water":
        return "source"
    if kind == BULK_TANK:
        return "tank"
    return "delivery" if kind in NEW_COOLANT else "unit"
