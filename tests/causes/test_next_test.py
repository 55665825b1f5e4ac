"""The next test separates the leading two causes, and is not one that was done."""

import numpy as np
import pytest

from chemcheck import check, read_results
from tests.causes.cases import CASES, HEAVY_DUTY, Case, causes_of

BY_NAME = {case.cause: case for case in CASES}


def test_a_gas_leak_is_told_from_look_alikes_by_the_test_for_it() -> None:
    # Trade: the chemical test at the filler neck confirms a combustion gas leak.
    found = causes_of(BY_NAME["combustion_gas_leak"])
    assert found.next_test(1) == "test for combustion gas at the filler neck"


def test_what_was_tested_is_not_proposed_again() -> None:
    found = causes_of(
        BY_NAME["combustion_gas_leak"], combustion_gas_test=1.0, pressure_builds_fast=1.0
    )
    assert found.next_test(1) != "test for combustion gas at the filler neck"


def test_a_sound_sample_needs_no_test() -> None:
    same = Case("none", {}, "the same sample twice, no source needed")
    assert causes_of(same).next_test(1) is None
    assert causes_of(same).alike(1) == ()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.cause)
def test_a_test_proposed_reads_something_that_was_not_read(case: Case) -> None:
    from chemcheck.limit_library.cause_tests import cause_tests

    found = causes_of(case)
    named = found.next_test(1)
    if named is not None:
        test = next(one for one in cause_tests() if one.title == named)
        read = {key for key, value in {**HEAVY_DUTY, **case.moves}.items() if value is not None}
        assert test.tells - read


def test_field_tests_alone_leave_causes_alike() -> None:
    # pH alone cannot tell a gas leak from an acid cleaner (trade: they look the same).
    case = Case("low", {"ph": 6.6}, "trade: pH below 7 after a gas leak; memory for a cleaner")
    rest = tuple(key for key in HEAVY_DUTY if key not in ("ph", "glycol"))
    same = causes_of(case, without=rest).alike(1)
    assert len(same) >= 2
    assert "acid cleaner left in" in same or "combustion gas leaking into the coolant" in same


def test_samples_weighed_together_are_told_as_one_by_one() -> None:
    together, apart = (check(read_results("sample_results/lab_wide.csv")).causes for _ in range(2))
    assert together is not None
    assert apart is not None
    rows = np.arange(12)
    together.prepare(rows)
    for row in rows.tolist():
        assert together.of_sample(row) == apart.of_sample(row)
        assert together.next_test(row) == apart.next_test(row)
        assert together.alike(row) == apart.alike(row)
