"""Readings made of intervals are judged as those of a file are."""

import numpy as np

from chemcheck.assessment.check import check
from chemcheck.intake.intervals_given import readings_of_intervals
from chemcheck.intake.quantities import read_quantities
from chemcheck.readings.record import ABSENT, READ, ReadingColumn

VALUES = {"chloride": "30-50", "sulfate": "20", "hardness": "100 mg/L", "pH": "7.5"}


def test_the_verdict_is_that_of_the_same_readings_from_a_person():
    person = read_quantities(VALUES, name="options", material="water")
    ends = {
        column: (person.lower[:, k], person.upper[:, k]) for k, column in enumerate(person.columns)
    }
    made = readings_of_intervals(["one"], ends, file="made")
    for key in ("verdict", "outside", "undecided"):
        assert check(made).verdicts[key].tolist() == check(person).verdicts[key].tolist()


def test_what_is_not_there_is_absent_and_methods_are_kept():
    ends = {ReadingColumn("chloride"): (np.array([1.0, np.nan]), np.array([2.0, np.nan]))}
    made = readings_of_intervals(["a", "b"], ends, file="made", methods=["strip", None])
    assert made.status[:, 0].tolist() == [READ, ABSENT]
    assert made.method.codes[:, 0].tolist() == [0, -1]
    assert made.method.names == ("strip",)
