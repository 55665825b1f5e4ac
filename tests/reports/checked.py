"""A check with one of everything, for tests of what is written of it."""

from dataclasses import replace

import pandas as pd

from chemcheck.assessment.check import check
from chemcheck.assessment.record import Assessment
from chemcheck.limit_library.records import Comparison, Rule
from tests.builders import bound, limit, limit_set, readings

HOSTILE = ("=cmd|' /C calc'!A0", 'a "b", c', "-34", "@x\ny", "ordinary")

SUM = Rule(
    "chloride_and_sulfate",
    "chloride and sulfate together",
    "action",
    Comparison("sum", (("chloride", 1.0), ("sulfate", 1.0)), "upper", 200.0, "mg/L"),
    (),
    "Something happens.",
    'invented, "quoted"',
    "memory",
)
SET = limit_set(
    limit("chloride", bound("upper", 40.0), bound("upper", 30.0, "warning")),
    limit("glycol", bound("lower", 33.0)),
    id="first",
    essential=["glycol"],
    rules=[SUM],
)
OTHER = limit_set(limit("glycol", bound("lower", 55.0)), id="second", technologies=["hybrid"])


def checked(hostile: tuple[str | None, ...] = HOSTILE) -> Assessment:
    """Check five samples with ids that do harm where they are not escaped."""
    read = readings(
        {
            "chloride": [100.0, 32.0, (0.0, 60.0), 5.0, (300.0, float("inf"))],
            "sulfate": [150.0, 20.0, None, 1.0, 7.25],
            "glycol": [50.0, None, 50.0, 50.0, "rejected"],
            "freezing_point": [-34.0, -36.4, None, None, None],
        },
        sample_id=list(hostile),
        unit_id=["A", "A", None, "B", "B"],
        technology=["hybrid", None, "hybrid", "organic_acid", "hybrid"],
        taken_on=pd.to_datetime(["2031-05-01", None, "2031-05-02", "2031-05-03", "2031-05-03"]),
    )
    rejected = pd.DataFrame(
        {
            "file": ["built.csv"],
            "row": pd.array([6], dtype="Int64"),
            "column": ["Glycol"],
            "text": ["=1+1"],
            "problem": ["expected a number"],
            "cells": [1],
        }
    )
    questions = pd.DataFrame(
        {
            "file": ["built.csv"],
            "row": pd.array([None], dtype="Int64"),
            "column": ["pH"],
            "text": ["+SUM(1)"],
            "question": ["unusual; is it right?"],
        }
    )
    return check(replace(read, rejected=rejected, questions=questions), [SET, OTHER])
