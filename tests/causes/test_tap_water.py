"""Tap water as what moves are held against.

A water's salts come in its own ratio, and a soft or deionised one brings no hardness (algebra
of mixing). The waters and the coolant here are invented.
"""

from collections.abc import Mapping

import numpy as np
import pandas as pd
import pytest

from chemcheck.causes import Causes, find_causes
from chemcheck.chemistry.range_record import Range
from tests.builders import readings
from tests.causes.cases import HEAVY_DUTY

# Water of some hardness whose salts rose in the coolant, all of them by 0.9 of what it holds.
HARD = {"total_hardness": 200.0, "calcium": 60.0, "magnesium": 12.2, "chloride": 50.0,
        "sulfate": 70.0, "sodium": 20.0}  # fmt: skip
SOFT = {"total_hardness": 20.0, "calcium": 6.0, "magnesium": 1.2, "chloride": 50.0,
        "sulfate": 10.0, "sodium": 30.0}  # fmt: skip
OTHER_SALTS = {**HARD, "sulfate": 4.0, "magnesium": 40.0}


def _salts(row: Mapping[str, float], share: float) -> dict[str, float]:
    return {key: HEAVY_DUTY.get(key, 0.0) + share * value for key, value in row.items()}


def _causes(
    *waters: tuple[str, Mapping[str, float]],
    fluid: str | None = None,
    stated: Mapping[str, Range] | None = None,
) -> Causes:
    """Return the causes of a unit topped up with hard water, beside samples of waters."""
    moved = {**HEAVY_DUTY, **_salts(HARD, 0.9), "phosphate": 500.0, "silicon": 50.0}
    columns = {
        key: [HEAVY_DUTY.get(key, 0.0), moved[key], *(water.get(key) for _, water in waters)]
        for key in moved
    }
    n = 2 + len(waters)
    read = readings(
        columns,
        material=["coolant"] * 2 + ["water"] * len(waters),
        unit_id=["A", "A", *[None] * len(waters)],
        sampling_point=[None, None, *(name for name, _ in waters)],
        taken_on=["2031-01-10", "2031-09-10"] + ["2031-01-05"] * len(waters),
        technology=["heavy_duty_additive"] * 2 + [None] * len(waters),
        glycol_type=["ethylene_glycol"] * 2 + [None] * len(waters),
    )
    log = None
    if fluid is not None:
        log = pd.DataFrame(
            {"unit_id": ["A"], "date": pd.to_datetime(["2031-05-01"]), "hours": [np.nan],
             "distance": [np.nan], "event": ["top-up"], "litres": [5.0], "fluid": [fluid]}
        )  # fmt: skip
    found = find_causes(read, log, top_up_water=stated)
    assert found is not None
    assert len(read.samples) == n
    return found


def _weight(causes: Causes, cause: str = "hard_water_top_up") -> float:
    place = [one.key for one in causes.plan.causes].index(cause)
    return float(causes.ranked(slice(1, 2)).weight[place, 0])


def test_salts_in_the_ratio_of_the_tap_water_speak_for_it() -> None:
    assert _weight(_causes(("tap", HARD))) > _weight(_causes()) + 0.3
    assert _weight(_causes(("tap", OTHER_SALTS))) < _weight(_causes()) - 0.3


def test_soft_tap_water_speaks_against_a_top_up_with_hard() -> None:
    soft = _causes(("tap", SOFT))
    assert _weight(soft) < _weight(_causes()) - 1
    told = next(one for one in soft.of_sample(1) if one.cause == "hard_water_top_up")
    against = [said for said in told.evidence_against if "of the tap water 20 mg/L" in said]
    assert against == [
        "total hardness of the tap water 20 mg/L as CaCO3; expected above 60 mg/L as CaCO3"
    ]


def test_what_the_water_may_bring_is_no_salt_from_elsewhere() -> None:
    assert _weight(_causes(("tap", HARD)), "road_salt") < _weight(_causes(), "road_salt") - 0.5


def test_unknown_tap_water_says_nothing_and_is_named_as_missing() -> None:
    without = _causes()
    assert not any(feature.of_tap_water for feature in without.plan.features)
    told = next(one for one in without.of_sample(1) if one.cause == "hard_water_top_up")
    assert "total hardness of the tap water" in told.missing
    known = next(
        one for one in _causes(("tap", HARD)).of_sample(1) if one.cause == "hard_water_top_up"
    )
    assert not any("tap water" in name for name in known.missing)
    # What is missing may speak either way, so that it widens what the weight may be.
    assert told.least < known.weight_of_evidence < told.most


@pytest.mark.parametrize(
    ("fluid", "hardness"),
    [
        ("tap water Northam", (200.0, 200.0)),
        ("tap water Southam", (20.0, 20.0)),
        # Nobody said which: it may be either.
        (None, (20.0, 200.0)),
        ("tap water", (20.0, 200.0)),
    ],
)
def test_the_log_says_which_water(fluid: str | None, hardness: tuple[float, float]) -> None:
    found = _causes(("Northam yard", HARD), ("Southam yard", SOFT), fluid=fluid).plan.tap_water
    low, high, _ = found.ends["total_hardness"]
    place = found.of_sample[1]
    assert (low[place], high[place]) == hardness


@pytest.mark.parametrize("fluid", ["deionised water", "50/50 premix"])
def test_a_unit_that_had_no_tap_water_is_held_against_none(fluid: str) -> None:
    causes = _causes(("tap", SOFT), fluid=fluid)
    assert np.isnan(causes.plan.tap_water.ends["chloride"][0][causes.plan.tap_water.of_sample[1]])
    assert _weight(causes) == pytest.approx(_weight(_causes()), abs=1e-5)


def test_deionised_water_among_the_samples_is_no_tap_water() -> None:
    found = _causes(("deionised, workshop", {**SOFT, "chloride": 0.1}), ("tap", HARD)).plan
    low, high, _ = found.tap_water.ends["chloride"]
    assert low[found.tap_water.of_sample[1]] == high[found.tap_water.of_sample[1]] == 50


def test_what_the_user_states_comes_first() -> None:
    stated = {"total_hardness": Range(np.asarray(20.0), np.asarray(25.0))}
    found = _causes(("tap", HARD), stated=stated).plan.tap_water
    low, high, _ = found.ends["total_hardness"]
    assert (low[found.of_sample[1]], high[found.of_sample[1]]) == (20.0, 25.0)
    assert found.ends["chloride"][0][found.of_sample[1]] == 50.0
