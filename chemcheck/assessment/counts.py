"""How many rows, samples and cells there were, and what became of them."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from chemcheck.judging.glycol_of_concentrate import CONCENTRATE, GLYCOL
from chemcheck.judging.record import FIT, NOT_DECIDED, NOT_JUDGED, UNFIT, Judged
from chemcheck.judging.verdicts import was_judged
from chemcheck.readings.record import BLANK, READ, REJECTED, Readings

COUNT_KEYS = (
    "rows_read",
    "samples",
    "duplicate_rows",
    "rejected_rows",
    "fit",
    "unfit",
    "undecided",
    "cells_read",
    "cells_judged",
    "cells_not_judged",
    "cells_blank",
    "cells_rejected",
)


def count_all(readings: Readings, judged: Judged) -> Mapping[str, int]:
    """Count rows, samples and cells.

    Parameters
    ----------
    readings : Readings
        What was read.
    judged : Judged
        The headline.

    Returns
    -------
    mapping of str to int
        ``COUNT_KEYS``. Cells are those of the samples; the lines of the rejected table say
        which of them were rejected, with whole columns that could not be read.
    """
    verdict = np.bincount(judged.verdict, minlength=3)
    cells = {"judged": 0, "not_judged": 0, "blank": 0, "rejected": 0}
    for j in range(len(readings.columns)):
        status, state = readings.status[:, j], judged.state[:, j]
        in_file = status == READ
        cells["judged"] += int(np.count_nonzero(was_judged(state) & in_file))
        cells["not_judged"] += int(np.count_nonzero((state == NOT_JUDGED) & in_file))
        cells["blank"] += int(np.count_nonzero(status == BLANK))
        cells["rejected"] += int(np.count_nonzero(status == REJECTED))
    through_glycol = _judged_through_glycol(judged)
    cells["judged"] += through_glycol
    cells["not_judged"] -= through_glycol
    # Cells set aside with a column that could not be read stand in no column here.
    cells["rejected"] = max(cells["rejected"], int(readings.rejected["cells"].sum()))
    return MappingProxyType(
        {
            "rows_read": sum(file.rows_read for file in readings.files),
            "samples": len(readings.samples),
            "duplicate_rows": sum(file.duplicate_rows for file in readings.files),
            "rejected_rows": sum(file.rejected_rows for file in readings.files),
            "fit": int(verdict[FIT]),
            "unfit": int(verdict[UNFIT]),
            "undecided": int(verdict[NOT_DECIDED]),
            "cells_read": sum(cells.values()),
            **{f"cells_{name}": number for name, number in cells.items()},
        }
    )


def _judged_through_glycol(judged: Judged) -> int:
    """Count the shares of concentrate that were judged through the glycol in them alone."""
    readings = judged.readings
    if GLYCOL not in readings.columns:
        return 0
    glycol = readings.columns.index(GLYCOL)
    derived = (readings.status[:, glycol] != READ) & was_judged(judged.state[:, glycol])
    count = 0
    for j, column in enumerate(readings.columns):
        if column.analyte == CONCENTRATE:
            count += int(np.count_nonzero(derived & (judged.state[:, j] == NOT_JUDGED)))
    return count
