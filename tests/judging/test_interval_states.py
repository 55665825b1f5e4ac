"""Which side of its bounds a reading lies on, by the three decision rules."""

import numpy as np
import pytest

from tests.builders import bound, limit, limit_set, readings
from tests.judging.conftest import SetPrecision
from tests.judging.judged import by_one, decisive, states, verdicts

BOTH = limit_set(
    limit(
        "glycol",
        bound("lower", 33.0),
        bound("upper", 65.0),
        bound("lower", 40.0, "warning"),
        bound("upper", 60.0, "warning"),
    )
)


def test_an_exact_reading_without_uncertainty_is_decided(precision: SetPrecision) -> None:
    read = readings({"glycol": [30, 33, 36, 40, 50, 60, 63, 65, 70]})
    assert states(by_one(read, BOTH), "glycol") == [
        "outside", "warning", "warning", "inside", "inside",
        "inside", "warning", "warning", "outside",
    ]  # fmt: skip


def test_what_decided_is_the_bound_broken_or_the_nearest(precision: SetPrecision) -> None:
    read = readings({"glycol": [30, 36, 41, 59, 63, 70, None]})
    assert decisive(by_one(read, BOTH), "glycol") == [
        ("lower", "action", 33.0),
        ("lower", "warning", 40.0),
        ("lower", "warning", 40.0),
        ("upper", "warning", 60.0),
        ("upper", "warning", 60.0),
        ("upper", "action", 65.0),
        None,
    ]


# The interval of 95 % of a reading of 40 with u = 1 is 38.04 to 41.96.
@pytest.mark.parametrize(
    ("rule", "at", "expected"),
    [
        ("overlap", 38.0, "inside"),
        ("overlap", 38.1, "undecided"),
        ("overlap", 41.9, "undecided"),
        ("overlap", 42.0, "outside"),
        ("simple", 40.0, "inside"),
        ("simple", 40.01, "outside"),
        ("guarded", 38.35, "inside"),
        ("guarded", 38.36, "undecided"),
        ("guarded", 40.0, "undecided"),
        ("guarded", 40.01, "outside"),
    ],
)
def test_decision_rules_at_an_upper_bound(
    precision: SetPrecision, rule: str, at: float, expected: str
) -> None:
    precision(absolute=1.0)
    judged = by_one(
        readings({"chloride": [at]}), limit_set(limit("chloride", bound("upper", 40.0))), rule
    )
    assert states(judged, "chloride") == [expected]


@pytest.mark.parametrize(
    ("rule", "at", "expected"),
    [
        ("overlap", 9.97, "inside"),
        ("overlap", 9.95, "undecided"),
        ("overlap", 6.05, "undecided"),
        ("overlap", 6.03, "outside"),
        ("simple", 7.99, "outside"),
        ("guarded", 9.65, "inside"),
        ("guarded", 9.64, "undecided"),
        ("guarded", 7.99, "outside"),
    ],
)
def test_decision_rules_at_a_lower_bound(
    precision: SetPrecision, rule: str, at: float, expected: str
) -> None:
    precision(absolute=1.0)
    judged = by_one(readings({"ph": [at]}), limit_set(limit("ph", bound("lower", 8.0))), rule)
    assert states(judged, "ph") == [expected]


@pytest.mark.parametrize("rule", ["overlap", "simple", "guarded"])
def test_a_strip_pad_that_spans_the_bound_is_undecided_by_every_rule(
    precision: SetPrecision, rule: str
) -> None:
    # A hardness pad of 120, between 50 and 250, cannot decide 170 (common practice, no source).
    read = readings({"total_hardness": [(85, 185), (185, 340), (0, 37)]}, material="water")
    judged = by_one(read, limit_set(limit("total_hardness", bound("upper", 170.0))), rule)
    assert states(judged, "total_hardness") == ["undecided", "outside", "inside"]


def test_open_ends(precision: SetPrecision) -> None:
    read = readings({"chloride": [(0, 0.5), (0, 60), (300, np.inf), (20, np.inf)]})
    judged = by_one(read, limit_set(limit("chloride", bound("upper", 40.0))))
    assert states(judged, "chloride") == ["inside", "undecided", "outside", "undecided"]


def test_a_relative_uncertainty_grows_with_the_reading(precision: SetPrecision) -> None:
    precision(relative=0.1)
    read = readings({"iron": [(10, 10), (21, 21), (10, np.inf)]})
    judged = by_one(read, limit_set(limit("iron", bound("upper", 20.0))))
    # 10 +- 1.96 is inside 20; 21 -+ 4.1 spans it; what is open above has the lower end's u.
    assert states(judged, "iron") == ["inside", "undecided", "undecided"]
    assert judged.uncertainty[:, 0].tolist() == pytest.approx([1.0, 2.1, 1.0])


def test_blank_rejected_and_absent_cells_have_no_result(precision: SetPrecision) -> None:
    read = readings({"iron": [None, "rejected", "absent", 1.0]})
    judged = by_one(read, limit_set(limit("iron", bound("upper", 20.0))))
    assert states(judged, "iron") == ["no result", "no result", "no result", "inside"]
    assert judged.decisive[:, 0].tolist() == [-1, -1, -1, 0]


def test_a_reading_without_a_limit_is_not_judged(precision: SetPrecision) -> None:
    read = readings({"iron": [1.0], "sodium": [5.0]})
    judged = by_one(read, limit_set(limit("iron", bound("upper", 20.0))))
    assert states(judged, "sodium") == ["not judged"]
    assert verdicts(judged) == ["fit"]


def test_bases_are_never_compared_with_each_other(precision: SetPrecision) -> None:
    read = readings({"iron:dissolved": [50.0], "iron:digested": [1.0]})
    judged = by_one(read, limit_set(limit("iron", bound("upper", 20.0), basis="digested")))
    assert judged.state[0].tolist() == [4, 0]
    assert verdicts(judged) == ["fit"]


def test_only_warning_bounds_never_make_a_sample_unfit(precision: SetPrecision) -> None:
    read = readings({"azoles": [(50, 500), 50.0, 500.0]})
    judged = by_one(read, limit_set(limit("azoles", bound("lower", 200.0, "warning"))))
    assert states(judged, "azoles") == ["warning", "warning", "inside"]
    assert verdicts(judged) == ["fit", "fit", "fit"]


def test_sets_differ_by_sample_in_one_pass(precision: SetPrecision) -> None:
    from chemcheck.judging import judge

    strict = limit_set(limit("iron", bound("upper", 5.0)), id="strict")
    loose = limit_set(
        limit("copper", bound("upper", 5.0)), limit("iron", bound("upper", 50.0)), id="loose"
    )
    read = readings({"iron": [10, 10, 10], "copper": [10, 1, 1]})
    judged = judge(read, [strict, loose], np.array([0, 1, -1], dtype=np.int16), name="mixed")
    assert states(judged, "iron") == ["outside", "inside", "not judged"]
    assert states(judged, "copper") == ["not judged", "inside", "not judged"]
    assert verdicts(judged) == ["unfit", "fit", "undecided"]
    assert judged.decisive[:, 0].tolist() == [0, 2, -1]


def test_an_unknown_decision_rule_is_refused() -> None:
    with pytest.raises(
        ValueError, match="'overlaps' is no decision rule known here; nearest: overlap"
    ):
        by_one(readings({"iron": [1.0]}), limit_set(), "overlaps")
