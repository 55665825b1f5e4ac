"""Sums, ratios and combinations as three-valued logic over intervals."""

import numpy as np
import pytest

from chemcheck.limit_library.records import Combination, Comparison, Condition, Rule
from tests.builders import limit_set, readings
from tests.judging.conftest import SetPrecision
from tests.judging.judged import by_one, decisive, states, verdicts

# Water without antifreeze, an engine maker's fluid specification (published): chloride and
# sulfate together at most 200 mg/L.
SUM = Comparison("sum", (("chloride", 1.0), ("sulfate", 1.0)), "upper", 200.0, "mg/L")
# ASTM D6210 (memory, unverified): nitrite at least 1200, or nitrite with molybdate at least
# 780 with each at least 300 mg/kg; molybdate is 1.667 times molybdenum.
MOLYBDATE = 1.667
LINERS = Combination(
    "any_of",
    (
        Comparison("sum", (("nitrite", 1.0),), "lower", 1200.0),
        Combination(
            "all_of",
            (
                Comparison("sum", (("nitrite", 1.0), ("molybdenum", MOLYBDATE)), "lower", 780.0),
                Comparison("sum", (("nitrite", 1.0),), "lower", 300.0),
                Comparison("sum", (("molybdenum", MOLYBDATE),), "lower", 300.0),
            ),
        ),
    ),
)
# Sodium to chloride by mass in common salt, 22.990 / 35.45 (atomic weights).
RATIO = Comparison("ratio", (("sodium", 1.0), ("chloride", 1.0)), "upper", 0.65)


def rule(requirement: Comparison | Combination, kind: str = "action", **more: object) -> Rule:
    words = {"consequence": "Something happens.", "source": "invented", "evidence": "memory"}
    return Rule("rule", "a rule", kind, requirement, **{"conditions": (), **words, **more})  # type: ignore[arg-type]


def state_of(requirement: Comparison | Combination, kind: str = "action", **cells: object) -> str:
    read = readings({name: [cell] for name, cell in cells.items()})  # type: ignore[list-item]
    return states(by_one(read, limit_set(rules=[rule(requirement, kind)])), "rule")[0]


@pytest.mark.parametrize(
    ("chloride", "sulfate", "expected"),
    [
        (100.0, 100.0, "inside"),
        (101.0, 100.0, "outside"),
        ((0.0, 50.0), 100.0, "inside"),
        ((0.0, 150.0), 100.0, "undecided"),
        ((120.0, 150.0), 100.0, "outside"),
        # A missing term is all it may be: it cannot be below 0.
        (100.0, None, "undecided"),
        (201.0, None, "outside"),
        (None, None, "no result"),
        # Something was read of it, but nobody knows what.
        ("rejected", None, "undecided"),
    ],
)
def test_sum(precision: SetPrecision, chloride: object, sulfate: object, expected: str) -> None:
    assert state_of(SUM, chloride=chloride, sulfate=sulfate) == expected


def test_uncertainties_of_a_sum_add_in_quadrature(precision: SetPrecision) -> None:
    # u of both is 5, of the sum 7.07: 1.96 of it is 13.9; linear addition would give 19.6.
    precision(absolute=5.0)
    assert state_of(SUM, chloride=93.0, sulfate=93.0) == "inside"
    assert state_of(SUM, chloride=93.2, sulfate=93.0) == "undecided"
    assert state_of(SUM, chloride=107.0, sulfate=107.0) == "outside"
    assert state_of(SUM, chloride=106.8, sulfate=107.0) == "undecided"


@pytest.mark.parametrize(
    ("nitrite", "molybdenum", "expected"),
    [
        (1300.0, 0.0, "inside"),
        (500.0, 200.0, "inside"),
        # 500 + 167 is below 780, and so is either alone.
        (500.0, 100.0, "outside"),
        # Each must be at least 300.
        (200.0, 600.0, "outside"),
        (900.0, 100.0, "outside"),
        (900.0, None, "undecided"),
        (1300.0, None, "inside"),
        (200.0, None, "outside"),
        (None, 600.0, "undecided"),
        # Without enough molybdate nitrite alone must do it, and may.
        (None, 10.0, "undecided"),
        ((1100.0, 1400.0), 0.0, "undecided"),
        ((1100.0, 1400.0), 200.0, "inside"),
    ],
)
def test_alternatives(
    precision: SetPrecision, nitrite: object, molybdenum: object, expected: str
) -> None:
    assert state_of(LINERS, nitrite=nitrite, molybdenum=molybdenum) == expected


@pytest.mark.parametrize(
    ("sodium", "chloride", "expected"),
    [
        (65.0, 100.0, "inside"),
        (66.0, 100.0, "outside"),
        ((60.0, 70.0), 100.0, "undecided"),
        (10.0, (0.0, 100.0), "undecided"),
        (10.0, (20.0, 100.0), "inside"),
        (0.0, 0.0, "inside"),
        (10.0, None, "undecided"),
        (None, 100.0, "undecided"),
    ],
)
def test_ratio(precision: SetPrecision, sodium: object, chloride: object, expected: str) -> None:
    assert state_of(RATIO, sodium=sodium, chloride=chloride) == expected


def test_a_shared_factor_cancels_in_a_ratio_but_not_in_a_sum(precision: SetPrecision) -> None:
    # ppm may be mg/kg or mg/L: both readings are 1.07 times larger, or neither.
    cells = {"sodium": [(60.0, 64.2)], "chloride": [(95.0, 101.65)]}
    both = {name: [1.07] for name in cells}
    judge = limit_set(rules=[rule(RATIO)])
    together = by_one(readings(cells, shared=both), judge)
    assert states(together, "rule") == ["inside"]
    apart = by_one(readings(cells), judge)
    assert states(apart, "rule") == ["undecided"]
    one = by_one(readings(cells, shared={"sodium": [1.07]}), judge)
    assert states(one, "rule") == ["undecided"]
    total = Comparison("sum", (("sodium", 1.0), ("chloride", 1.0)), "upper", 160.0)
    summed = by_one(readings(cells, shared=both), limit_set(rules=[rule(total)]))
    assert states(summed, "rule") == ["undecided"]


def test_a_reading_below_its_own_uncertainty_never_lowers_a_sum(precision: SetPrecision) -> None:
    # Sulfate 0 with u = 5 cannot be below 0: the sum is no less sure than chloride alone.
    precision(absolute=5.0)
    least = Comparison("sum", (("chloride", 1.0), ("sulfate", 1.0)), "lower", 90.0)
    assert state_of(least, chloride=100.0, sulfate=None) == "inside"
    assert state_of(least, chloride=100.0, sulfate=0.0) == "inside"
    # What is surely there still counts: 100 + 20 - 1.96 * 7.07 = 106.
    more = Comparison("sum", (("chloride", 1.0), ("sulfate", 1.0)), "lower", 106.0)
    assert state_of(more, chloride=100.0, sulfate=20.0) == "inside"


def test_a_warning_rule_never_makes_a_sample_unfit(precision: SetPrecision) -> None:
    assert state_of(SUM, "warning", chloride=300.0, sulfate=0.0) == "warning"
    assert state_of(SUM, "warning", chloride=100.0, sulfate=None) == "warning"
    assert state_of(SUM, "warning", chloride=100.0, sulfate=0.0) == "inside"


def test_a_rule_decides_the_verdict(precision: SetPrecision) -> None:
    read = readings({"chloride": [150.0, 50.0, 150.0], "sulfate": [100.0, 50.0, None]})
    judged = by_one(read, limit_set(rules=[rule(SUM)]))
    assert verdicts(judged) == ["unfit", "fit", "undecided"]
    assert decisive(judged, "rule")[0] == ("upper", "action", 200.0)


def test_a_rule_with_a_condition(precision: SetPrecision) -> None:
    condition = Condition("ph", None, 9.0, "not judged", "invented", "memory")
    read = readings({"chloride": [150.0, 150.0], "sulfate": [100.0, 100.0], "ph": [10.0, 7.0]})
    judged = by_one(read, limit_set(rules=[rule(SUM, conditions=(condition,))]))
    assert states(judged, "rule") == ["not judged", "outside"]


def test_a_rule_only_concerns_samples_of_its_set(precision: SetPrecision) -> None:
    from chemcheck.judging import judge

    with_rule, without = limit_set(rules=[rule(SUM)], id="a"), limit_set(id="b")
    read = readings({"chloride": [300.0, 300.0], "sulfate": [1.0, 1.0]})
    judged = judge(read, [with_rule, without], np.array([0, 1], dtype=np.int16), name="both")
    assert states(judged, "rule") == ["outside", "no result"]


def test_a_sum_of_negative_readings(precision: SetPrecision) -> None:
    # Freezing points may lie below 0, so that a missing one says nothing.
    total = Comparison("sum", (("freezing_point", 1.0),), "upper", -34.0)
    assert state_of(total, freezing_point=-36.0) == "inside"
    precision(absolute=2.0)
    assert state_of(total, freezing_point=-36.0) == "undecided"
