"""Limits that do not decide, by another reading of the sample."""

import numpy as np
import pytest

from chemcheck.limit_library.records import Condition
from tests.builders import bound, limit, limit_set, readings
from tests.judging.conftest import SetPrecision
from tests.judging.judged import by_one, decisive, states, verdicts

PURE = Condition("conductivity", 20.0, None, "not judged", "invented", "memory")
SOFT = Condition("conductivity", 100.0, None, "undecided", "invented", "memory")
WATER = limit_set(
    limit("ph", bound("lower", 5.5), bound("upper", 9.0), conditions=[PURE, SOFT]),
    limit("chloride", bound("upper", 40.0)),
    essential=["ph", "chloride"],
    material="water",
)
NITRITE = limit_set(
    limit(
        "nitrite",
        bound("lower", 800.0),
        conditions=[Condition("molybdenum", None, 180.0, "not judged", "invented", "memory")],
    ),
    limit("glycol", bound("lower", 33.0)),
    essential=["nitrite", "glycol"],
)


def water(**columns: object) -> object:
    return readings({"chloride": [5.0], **columns}, material="water")  # type: ignore[dict-item]


@pytest.mark.parametrize(
    ("conductivity", "ph", "state", "verdict"),
    [
        # Deionised water is fit without a pH that means anything.
        (2.0, 5.1, "not judged", "fit"),
        (50.0, 7.0, "undecided", "undecided"),
        (50.0, 4.0, "undecided", "undecided"),
        (300.0, 7.0, "inside", "fit"),
        (300.0, 4.0, "outside", "unfit"),
        # An interval that only overlaps a condition.
        ((10.0, 30.0), 7.0, "undecided", "undecided"),
        ((90.0, 150.0), 7.0, "undecided", "undecided"),
        ((90.0, 150.0), 4.0, "undecided", "undecided"),
    ],
)
def test_conditions_in_their_order(
    precision: SetPrecision, conductivity: object, ph: float, state: str, verdict: str
) -> None:
    judged = by_one(water(ph=[ph], conductivity=[conductivity]), WATER)
    assert states(judged, "ph") == [state]
    assert verdicts(judged) == [verdict]


def test_an_essential_that_does_not_apply_is_not_missed(precision: SetPrecision) -> None:
    assert verdicts(by_one(water(conductivity=[2.0]), WATER)) == ["fit"]
    assert verdicts(by_one(water(conductivity=[2.0], ph=["rejected"]), WATER)) == ["fit"]
    assert verdicts(by_one(water(conductivity=[300.0]), WATER)) == ["undecided"]


def test_the_condition_is_named_as_what_decided(precision: SetPrecision) -> None:
    judged = by_one(water(ph=[7.0], conductivity=[50.0]), WATER)
    assert decisive(judged, "ph")[0][:2] == (None, "condition")
    assert judged.bounds[judged.decisive[0, 1]].consequence == (
        "pH is undecided where conductivity at 25 C is below 100 uS/cm."
    )


def test_a_missing_conductivity_leaves_it_open_unless_ions_settle_it(
    precision: SetPrecision,
) -> None:
    assert states(by_one(water(ph=[7.0]), WATER), "ph") == ["undecided"]
    # 100 mg/L of hardness is 2 meq/L of salt, which conducts 180 uS/cm at the least.
    assert states(by_one(water(ph=[7.0], total_hardness=[100.0]), WATER), "ph") == ["inside"]
    assert states(by_one(water(ph=[7.0], total_hardness=[40.0]), WATER), "ph") == ["undecided"]
    # 200 mg/L dissolved solids conduct at least 222 uS/cm.
    assert states(by_one(water(ph=[4.0], total_dissolved_solids=[200.0]), WATER), "ph") == [
        "outside"
    ]
    # A measured conductivity counts before an implied one.
    hard = water(ph=[7.0], total_hardness=[100.0], conductivity=[50.0])
    assert states(by_one(hard, WATER), "ph") == ["undecided"]


@pytest.mark.parametrize(
    ("nitrite", "molybdenum", "state", "verdict"),
    [
        (1500.0, 250.0, "not judged", "fit"),
        (100.0, 250.0, "not judged", "fit"),
        (100.0, 10.0, "outside", "unfit"),
        # A missing reading does not take a limit out of force.
        (1500.0, None, "inside", "fit"),
        (100.0, None, "outside", "unfit"),
        # It may apply and may not: that only matters where it is broken.
        (1500.0, (150.0, 300.0), "inside", "fit"),
        (100.0, (150.0, 300.0), "undecided", "undecided"),
    ],
)
def test_a_limit_that_another_inhibitor_replaces(
    precision: SetPrecision, nitrite: float, molybdenum: object, state: str, verdict: str
) -> None:
    read = readings({"glycol": [50.0], "nitrite": [nitrite], "molybdenum": [molybdenum]})
    judged = by_one(read, NITRITE)
    assert states(judged, "nitrite") == [state]
    assert verdicts(judged) == [verdict]


def test_the_uncertainty_of_the_other_reading_counts(precision: SetPrecision) -> None:
    precision(relative=0.05)
    read = water(ph=[7.2], conductivity=[105.0])
    assert states(by_one(read, WATER, "overlap"), "ph") == ["undecided"]
    assert states(by_one(read, WATER, "simple"), "ph") == ["inside"]


def test_ions_imply_nothing_in_coolant(precision: SetPrecision) -> None:
    coolant = limit_set(limit("ph", bound("lower", 7.0), conditions=[SOFT]))
    read = readings({"ph": [8.0], "total_hardness": [100.0]})
    assert states(by_one(read, coolant), "ph") == ["undecided"]


def test_a_condition_only_concerns_samples_of_its_set(precision: SetPrecision) -> None:
    from chemcheck.judging import judge

    plain = limit_set(limit("ph", bound("lower", 5.5)), id="plain", material="water")
    read = readings({"ph": [7.0, 7.0], "conductivity": [50.0, 50.0]}, material="water")
    judged = judge(read, [WATER, plain], np.array([0, 1], dtype=np.int16), name="both")
    assert states(judged, "ph") == ["undecided", "inside"]


def test_a_reading_leaves_no_more_open_than_its_absence(precision: SetPrecision) -> None:
    # Uncertainty would reach below zero, where no concentration lies.
    precision(0.5)
    below_zero = Condition("fluoride", 0.0, None, "undecided", "invented", "memory")
    by = limit_set(limit("chloride", bound("upper", 40.0), conditions=[below_zero]))
    for fluoride in ({"fluoride": [0.0]}, {}):
        judged = by_one(readings({"chloride": [5.0], **fluoride}), by)
        assert states(judged, "chloride") == ["inside"]
