"""Potassium written as 0 because it was counted with sodium.

Old analyses report sodium and potassium together, as sodium; the 0 that then stands for
potassium is no measurement, for every natural water holds some (Hem, Study and interpretation
of the chemical characteristics of natural water, US Geological Survey Water-Supply Paper 2254:
"sodium plus potassium", computed by difference; memory).
"""

from dataclasses import replace

import numpy as np

from chemcheck.analytes import find_analyte
from chemcheck.intake.assemble import FileResults
from chemcheck.intake.choices import MEASURED, Choices
from chemcheck.readings.record import BLANK, READ, ReadingColumn

_SODIUM, _POTASSIUM = ReadingColumn("sodium"), ReadingColumn("potassium")


def without_lumped_potassium(results: FileResults, choices: Choices) -> FileResults:
    """Take a potassium of 0 beside sodium as not measured apart.

    Parameters
    ----------
    results : FileResults
        Of one file; its arrays are changed.
    choices : Choices
        ``zero: measured`` of a column of potassium keeps the zeros.

    Returns
    -------
    FileResults
        With a line that says how many waters this is about.
    """
    if not {_SODIUM, _POTASSIUM} <= set(results.columns) or _zeros_are_measured(choices):
        return results
    sodium, potassium = (results.columns.index(one) for one in (_SODIUM, _POTASSIUM))
    zero = (results.status[:, potassium] == READ) & (results.upper[:, potassium] == 0)
    zero &= (results.status[:, sodium] == READ) & (results.lower[:, sodium] > 0)
    if not zero.any():
        return results
    zero &= (results.samples["material"] == "water").to_numpy(dtype=bool)
    if not zero.any():
        return results
    results.status[zero, potassium] = BLANK
    results.lower[zero, potassium] = results.upper[zero, potassium] = np.nan
    said = (
        f"potassium is written as 0 beside sodium in {int(zero.sum()):,} waters: counted with the "
        "sodium, not measured apart; 'zero: measured' in a columns file says otherwise"
    )
    lines = replace(results.lines, assumptions=[*results.lines.assumptions, (None, said)])
    return replace(results, lines=lines)


def _zeros_are_measured(choices: Choices) -> bool:
    return any(
        choice.zero == MEASURED
        and (choice.analyte or find_analyte(choice.title)) == _POTASSIUM.analyte
        for choice in (*choices.columns.values(), *choices.analytes.values())
    )
