"""Limits that hang on technology or glycol within one set."""

import numpy as np

from chemcheck.judging.strata import stratify
from tests.builders import bound, limit, limit_set, readings, samples
from tests.judging.conftest import SetPrecision
from tests.judging.judged import by_one, states, verdicts

NITRITE = limit_set(
    limit("glycol", bound("lower", 33.0)),
    limit("nitrite", bound("lower", 800.0), technologies=["heavy_duty_additive"]),
    essential=["glycol", "nitrite"],
)
CELLS = {"glycol": [50.0] * 4, "nitrite": [100.0, 100.0, 100.0, None]}
TECHNOLOGY = ["heavy_duty_additive", "organic_acid", None, "organic_acid"]


def test_a_limit_of_one_technology(precision: SetPrecision) -> None:
    judged = by_one(readings(CELLS, technology=TECHNOLOGY), NITRITE)
    assert states(judged, "nitrite") == ["outside", "not judged", "not judged", "no result"]
    # Of another technology nitrite is no essential; of an unknown one nobody can say.
    assert verdicts(judged) == ["unfit", "fit", "undecided", "fit"]


def test_a_partial_set_never_finds_a_sample_fit(precision: SetPrecision) -> None:
    partial = limit_set(limit("glycol", bound("lower", 33.0)), partial="Nitrite is not judged.")
    judged = by_one(readings({"glycol": [50.0, 20.0]}), partial)
    assert verdicts(judged) == ["undecided", "unfit"]


def test_strata_only_divide_where_limits_do() -> None:
    table = samples(3, technology=["hybrid", "organic_acid", None])
    place = np.array([0, 0, -1], dtype=np.int16)
    plain = stratify(table, [limit_set(limit("iron", bound("upper", 1.0)))], place)
    assert plain.code.tolist() == [0, 0, -1]
    divided = stratify(table, [NITRITE], place)
    assert [each.technology for each in divided.kinds] == ["hybrid", "organic_acid"]
    assert divided.code.tolist() == [0, 1, -1]
