"""What must always hold of evidence."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.causes import find_causes
from chemcheck.causes.evidence import evidence
from chemcheck.causes.plan import Plan
from chemcheck.causes.quantities import Quantities
from chemcheck.causes.sentences import unread, what_is_missing
from chemcheck.limit_library.ageing import ageing
from chemcheck.limit_library.cause_records import DERIVED
from chemcheck.limit_library.causes import signatures
from tests.builders import readings
from tests.causes.cases import CASES, HEAVY_DUTY, Case, causes_of, readings_of

# What only water moves, or is worked out of it, stands behind every move of every cause.
BEHIND_ALL = ("glycol", "molybdenum", "boron", "potassium", "sodium", "carboxylates")
FREE = tuple(key for key in HEAVY_DUTY if key not in BEHIND_ALL)
# What is worked out of many readings, and of which.
FINGERPRINT = ("silicon", "phosphate", "nitrate", "nitrite", "azoles", "ph", "reserve_alkalinity")
OF_MANY = {
    "part_foreign": FINGERPRINT,
    "wholly_foreign": FINGERPRINT,
    "renewed": (*FINGERPRINT, *ageing().may_hold, *ageing().may_gain),
}

cases = st.sampled_from(CASES)


def _weights(case: Case, **changed: float) -> dict[str, float]:
    """Return the sum of all evidence of each cause, thought of or not."""
    plan = causes_of(case, **changed).plan
    found = evidence(plan, np.array([1]))
    return {
        cause.key: float(found[where].sum())
        for cause, where in zip(plan.causes, plan.of_cause, strict=True)
    }


def _names(cause: str) -> set[str]:
    named: set[str] = set()
    for feature in signatures()[cause].features:
        named |= {feature.of, feature.to or feature.of}
        if feature.of == "freezing_point_gap":
            named |= {"freezing_point"}
        named |= set(OF_MANY.get(feature.of, ()))
        if feature.of == "nitrite_and_molybdate":
            named |= {"nitrite"}
    return named - set(DERIVED)


@settings(max_examples=25)
@given(case=cases, key=st.sampled_from(FREE), factor=st.floats(0.05, 20))
def test_what_a_cause_does_not_name_never_changes_its_weight(
    case: Case, key: str, factor: float
) -> None:
    value = {**(case.fill or HEAVY_DUTY), **case.moves}[key]
    if key in ("ph", "freezing_point") or value is None:
        value, factor = (value or -30.0), 1.0 + 0.02 * np.log(factor)
    before, after = _weights(case), _weights(case, **{key: value * factor})
    for cause, weight in before.items():
        if key not in _names(cause):
            assert after[cause] == pytest.approx(weight, abs=1e-5), cause


def _bounds(plan: Plan) -> dict[str, tuple[float, float]]:
    rows = np.array([1])
    quantities = Quantities(plan, rows)
    found = evidence(plan, rows)
    answer = {}
    for c, (cause, where) in enumerate(zip(plan.causes, plan.of_cause, strict=True)):
        _, least, most = what_is_missing(unread(plan, quantities, c, 1))
        weight = float(found[where].sum())
        answer[cause.key] = (weight - least, weight + most)
    return answer


@settings(max_examples=25)
@given(case=cases, key=st.sampled_from(FREE))
def test_a_missing_reading_never_raises_certainty(case: Case, key: str) -> None:
    whole, less = _bounds(causes_of(case).plan), _bounds(causes_of(case, without=(key,)).plan)
    for cause, (least, most) in whole.items():
        if any(one.once and one.of == key for one in signatures()[cause].features):
            continue  # another reading sees the same thing, and stands in
        if any(key in OF_MANY.get(one.of, ()) for one in signatures()[cause].features):
            continue  # a sum over several readings
        assert less[cause][0] <= least + 1e-5, cause
        assert less[cause][1] >= most - 1e-5, cause


@settings(max_examples=25)
@given(case=cases, order=st.permutations(range(len(HEAVY_DUTY))))
def test_the_order_of_columns_means_nothing(case: Case, order: list[int]) -> None:
    whole = readings_of(case)
    rest = list(range(len(order), len(whole.columns)))
    to = [*order, *rest]
    turned = replace(
        whole,
        columns=tuple(whole.columns[j] for j in to),
        lower=np.asfortranarray(whole.lower[:, to]),
        upper=np.asfortranarray(whole.upper[:, to]),
        status=whole.status[:, to],
    )
    one, other = find_causes(whole), find_causes(turned)
    assert one is not None
    assert other is not None
    told, again = one.of_sample(1), other.of_sample(1)
    assert [each.cause for each in told] == [each.cause for each in again]
    for left, right in zip(told, again, strict=True):
        assert left.weight_of_evidence == pytest.approx(right.weight_of_evidence, abs=0.011)


@settings(max_examples=25)
@given(case=cases, key=st.sampled_from(FREE), width=st.floats(1.01, 3))
def test_a_wider_reading_never_says_more(case: Case, key: str, width: float) -> None:
    if key in ("ph", "freezing_point", "nitrite"):
        return  # on other scales, and part of a sum
    cells = {**(case.fill or HEAVY_DUTY), **case.moves}
    fill = case.fill or HEAVY_DUTY

    def built(cell: object) -> Plan:
        found = find_causes(
            readings(
                {k: [fill.get(k), cell if k == key else cells[k]] for k in cells},  # type: ignore[list-item]
                unit_id=["A", "A"],
                taken_on=["2031-01-10", "2031-09-10"],
                technology=[case.technology] * 2,
            )
        )
        assert found is not None
        return found.plan

    value = cells[key]
    rows = np.array([1])
    sharp = built(value)
    wide = evidence(built((value / width, value * width)), rows)[:, 0]
    exact = evidence(sharp, rows)[:, 0]
    for k, feature in enumerate(sharp.features):
        if feature.of == key and feature.to is None and not feature.once:
            assert abs(wide[k]) <= abs(exact[k]) + 1e-5, (feature.of, feature.look)


def test_a_strip_that_reaches_across_says_nothing() -> None:
    # Pads 0, 30, 60, 100, 200, 500: "100" lies between the middles of its neighbours.
    found = find_causes(
        readings(
            {"chloride": [(0.0, 20.0), (17.0, 40.0)], "glycol": [50.0, 50.0]},
            unit_id=["A", "A"],
            taken_on=["2031-01-10", "2031-09-10"],
        )
    )
    assert found is not None
    assert not found.of_sample(1)


def test_weights_are_bounded() -> None:
    for case in CASES:
        plan = causes_of(case).plan
        found = evidence(plan, np.array([0, 1]))
        most = np.array([feature.weight for feature in plan.features])[:, None]
        least = -np.array([feature.against for feature in plan.features])[:, None]
        assert (found <= most + 1e-6).all()
        assert (found >= least - 1e-6).all()
