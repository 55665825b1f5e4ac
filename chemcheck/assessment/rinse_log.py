"""A log of rinses kept as a file: what was read before the first and after each."""

import numpy as np

from chemcheck.errors import QuantityError
from chemcheck.intake.read import read_results
from chemcheck.readings.record import READ
from chemcheck.remedies.estimate import between, exact
from chemcheck.remedies.rinse_text import CONDUCTIVITY, GLYCOL, RinseReadings

# A fall takes one reading before the first rinse and one after it.
LEAST = 2


def read_rinse_log(path: str) -> RinseReadings:
    """Read the readings of all rinses from a file, in the order of its rows.

    Parameters
    ----------
    path : str
        A file with a row before the first rinse and one after each, with conductivity or
        glycol. Where both were read throughout, conductivity counts: it sees the last traces.

    Returns
    -------
    RinseReadings
        The rinse water itself reads nothing.

    Raises
    ------
    QuantityError
        If neither was read in every row, or a reading has no upper end.
    IntakeError
        If the file cannot be read.
    """
    readings = read_results([path], material="coolant")
    if len(readings.samples) < LEAST:
        expected = "expected one before the first rinse and one after each"
        problem = f"{path}: {len(readings.samples)} row, {expected}"
        raise QuantityError(problem)
    for analyte in (CONDUCTIVITY, GLYCOL):
        place = readings.position(analyte)
        if place is None or not (readings.status[:, place] == READ).all():
            continue
        lower, upper = readings.lower[:, place], readings.upper[:, place]
        if not np.isfinite(upper).all():
            row = int(readings.samples["row"].iloc[int(np.argmax(~np.isfinite(upper)))])
            problem = f"{path}: row {row}: {analyte} above its range, expected a number"
            raise QuantityError(problem)
        values = tuple(
            exact(low) if low == high else between(low, high)
            for low, high in zip(lower, upper, strict=True)
        )
        return RinseReadings(analyte, values, exact(0.0))
    problem = f"{path}: neither conductivity nor glycol stands in every row"
    raise QuantityError(problem)
