"""Lines about what was set aside, added once readings are at hand."""

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from chemcheck.errors import Problem
from chemcheck.readings.record import PROBLEM_COLUMNS, Readings

_TYPES = {name: "str" for name in PROBLEM_COLUMNS} | {"row": "Int64", "cells": "int64"}


def with_problems(readings: Readings, problems: Sequence[Problem]) -> Readings:
    """Return readings with more lines about what was set aside, none of them about a cell.

    Parameters
    ----------
    readings : Readings
        As read.
    problems : sequence of Problem
        What else is wrong.

    Returns
    -------
    Readings
        The same ones where there is none.
    """
    if not problems:
        return readings
    rows = [(p.file, p.row, p.column, p.text, p.problem, 0) for p in problems]
    more = pd.DataFrame(rows, columns=list(PROBLEM_COLUMNS)).astype(_TYPES)
    known = [table for table in (readings.rejected,) if len(table)]
    return replace(readings, rejected=pd.concat([*known, more], ignore_index=True))
