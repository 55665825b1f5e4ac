"""What a sample holds, reading and method together: the ends of the 95 % interval."""

import numpy as np

from chemcheck.chemistry.hardness import hardness_as_caco3
from chemcheck.chemistry.range_record import Range
from chemcheck.judging.record import Judged
from chemcheck.readings.record import READ

# Two-sided 95 % of a normal distribution, in standard deviations.
COVERAGE = 1.96
_HARDNESS, _OF_HARDNESS = "total_hardness", ("calcium", "magnesium")


def column_read(judged: Judged, row: int, analyte: str) -> int | None:
    """Return the first column in which a sample has a reading of an analyte.

    Parameters
    ----------
    judged : Judged
        All samples.
    row : int
        Position of the sample.
    analyte : str
        A key of the vocabulary.
    """
    readings = judged.readings
    for place, column in enumerate(readings.columns):
        if column.analyte == analyte and readings.status[row, place] == READ:
            return place
    return None


def ends_in(judged: Judged, row: int, place: int) -> Range:
    """Return the ends of a reading with 1.96 standard uncertainties of its method.

    Parameters
    ----------
    judged : Judged
        All samples.
    row, place : int
        Sample and column of readings.

    Returns
    -------
    Range
        [canonical unit]; an amount does not go below zero, an open end stays open.
    """
    readings = judged.readings
    uncertainty = float(judged.uncertainty[row, place])
    spread = 0.0 if np.isnan(uncertainty) else COVERAGE * uncertainty
    lower, upper = float(readings.lower[row, place]), float(readings.upper[row, place])
    least = max(lower - spread, 0.0) if lower >= 0.0 else lower - spread
    return Range(np.asarray(least), np.asarray(upper + spread))


def ends_of(judged: Judged, row: int, analyte: str) -> Range | None:
    """Return what a sample holds of an analyte, None where it was not read.

    Hardness that was not read is that of calcium and magnesium.

    Parameters
    ----------
    judged, row, analyte
        As for `column_read`.

    Returns
    -------
    Range or None
        [canonical unit].
    """
    place = column_read(judged, row, analyte)
    if place is not None:
        return ends_in(judged, row, place)
    if analyte != _HARDNESS:
        return None
    calcium, magnesium = (ends_of(judged, row, key) for key in _OF_HARDNESS)
    if calcium is None or magnesium is None:
        return None
    return Range(
        np.asarray(hardness_as_caco3(calcium.lower, magnesium.lower)),
        np.asarray(hardness_as_caco3(calcium.upper, magnesium.upper)),
    )


def joined(parts: list[Range]) -> Range:
    """Return the range that holds all of some."""
    return Range(
        np.min([one.lower for one in parts], axis=0), np.max([one.upper for one in parts], axis=0)
    )
