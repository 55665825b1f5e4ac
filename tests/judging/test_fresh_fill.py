"""Bounds that are a fraction of the fresh fill."""

import numpy as np
import pytest

from tests.builders import bound, limit, limit_set, readings
from tests.judging.conftest import SetPrecision
from tests.judging.judged import by_one, states, verdicts

HALF = limit_set(
    limit("reserve_alkalinity", bound("lower", 0.5, of_fresh=True)),
    limit("glycol", bound("lower", 33.0)),
    essential=["glycol"],
)
CELLS = {"reserve_alkalinity": [8.0, 5.0, 3.0, 3.0], "glycol": [50.0, 50.0, 50.0, 50.0]}
FRESH = np.array([0, 0, 0, -1])


def test_the_bound_follows_the_fresh_fill_of_each_sample(precision: SetPrecision) -> None:
    judged = by_one(readings(CELLS), HALF, fresh=FRESH)
    assert states(judged, "reserve_alkalinity") == ["inside", "inside", "outside", "not judged"]
    assert verdicts(judged) == ["fit", "fit", "unfit", "fit"]
    assert judged.bound_value[:, 0].tolist() == pytest.approx([4, 4, 4, np.nan], nan_ok=True)


def test_without_any_fresh_fill_the_bound_is_not_judged(precision: SetPrecision) -> None:
    judged = by_one(readings(CELLS), HALF)
    assert states(judged, "reserve_alkalinity") == ["not judged"] * 4
    # The bound that could not be resolved is named.
    assert [judged.bounds[k].of_fresh for k in judged.decisive[:, 0]] == [True] * 4


def test_an_essential_whose_bound_cannot_be_resolved_is_missing(precision: SetPrecision) -> None:
    strict = limit_set(
        limit(
            "reserve_alkalinity",
            bound("lower", 0.5, of_fresh=True),
            bound("upper", 20.0, "warning"),
        ),
        essential=["reserve_alkalinity"],
    )
    judged = by_one(readings({"reserve_alkalinity": [5.0, 5.0]}), strict, fresh=np.array([0, -1]))
    assert states(judged, "reserve_alkalinity") == ["inside", "inside"]
    assert verdicts(judged) == ["fit", "undecided"]


def test_the_fresh_fill_is_an_interval_too(precision: SetPrecision) -> None:
    cells = {"reserve_alkalinity": [(7.0, 9.0), 4.2, 4.6, 3.4]}
    judged = by_one(readings(cells), HALF, fresh=np.zeros(4, dtype=int))
    # Half of 7 to 9 is 3.5 to 4.5.
    assert states(judged, "reserve_alkalinity")[1:] == ["undecided", "inside", "outside"]


def test_the_fresh_fill_has_the_uncertainty_of_its_method(precision: SetPrecision) -> None:
    precision(absolute=0.5)
    cells = {"reserve_alkalinity": [8.0, 5.0, 5.1, 2.9, 3.0]}
    fresh = np.zeros(5, dtype=int)
    judged = by_one(readings(cells), HALF, fresh=fresh)
    # u of the reading less half of the fresh fill is 0.559, 1.96 times that 1.096.
    assert states(judged, "reserve_alkalinity")[1:] == [
        "undecided", "inside", "outside", "undecided",
    ]  # fmt: skip
    # By guarded acceptance 1.645 times 0.559 is 0.92, and below 4 is outside.
    judged = by_one(
        readings({"reserve_alkalinity": [8.0, 4.9, 4.93, 3.9]}), HALF, "guarded", fresh=fresh[:4]
    )
    assert states(judged, "reserve_alkalinity")[1:] == ["undecided", "inside", "outside"]
