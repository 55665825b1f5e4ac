"""Water held back by a rinse: the worked example, and bounds of both sides."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.limit_library import load_set
from chemcheck.remedies.deionised_water import AssumedValue, deionised_water
from chemcheck.remedies.estimate import exact
from chemcheck.remedies.finished_fill import finished_fill, held_back
from chemcheck.remedies.system_in_use import SystemInUse
from chemcheck.remedies.water_blend import LinearBound, linear_bounds
from tests.remedies.test_softening import reader

BOUNDS, _ = linear_bounds(load_set("fill_water_default"), deionised_water())
# 12 L of which 8 L drain, half concentrate: 4 L held back, 2 L of deionised water added.
VOLUMES = held_back(SystemInUse(exact(12.0), exact(8.0)))
NOTHING_IN_IT = {
    key: AssumedValue(key, 0.0, 0.0, "invented", "memory")
    for key in ("total_hardness", "chloride", "sulfate", "total_dissolved_solids")
}


def test_worked_example():
    # Worked example ("computed here"): 4 L of 310 mg/L and 2 L deionised: 207; one deionised
    # rinse of 8 L first: 69.
    tap = reader({"total_hardness": 310.0, "chloride": 10.0, "sulfate": 10.0})
    found = finished_fill(BOUNDS, NOTHING_IN_IT, tap, VOLUMES, 1)
    place = found.analytes.index("total_hardness")
    assert found.without[1][0, place] == pytest.approx(207, abs=0.5)
    assert found.after[1][0, place] == pytest.approx(69, abs=0.5)
    assert found.rinses[0] == 1
    assert found.bounds[found.controlled_by[0]].key == "total_hardness"
    assert (found.meets[0], found.meets_after[0], found.known[0]) == (False, True, True)


def test_a_soft_water_needs_no_deionised_rinse():
    tap = reader({"total_hardness": 100.0, "chloride": 10.0, "sulfate": 10.0})
    found = finished_fill(BOUNDS, deionised_water(), tap, VOLUMES, 1)
    assert (found.rinses[0], found.controlled_by[0], found.meets[0]) == (0, -1, True)


def test_what_was_not_read_is_not_promised():
    tap = reader({"total_hardness": 100.0, "chloride": 10.0})
    assert not finished_fill(BOUNDS, deionised_water(), tap, VOLUMES, 1).known[0]


def test_a_bound_below_what_deionised_water_brings_is_never_met():
    bound = LinearBound(
        "chloride", "chloride", (("chloride", None, 1.0),), "upper", 0.5, "mg/L", True
    )
    found = finished_fill((bound,), deionised_water(), reader({"chloride": 10.0}), VOLUMES, 1)
    assert np.isnan(found.rinses[0])
    assert found.controlled_by[0] == 0
    assert not found.meets_after[0]


def test_a_lower_bound_is_broken_by_thinning():
    bound = LinearBound("silica", "silica", (("silicon", None, 1.0),), "lower", 5.0, "mg/L", True)
    values = {"silicon": AssumedValue("silicon", 0.0, 0.0, "invented", "memory")}
    kept = finished_fill((bound,), values, reader({"silicon": 9.0}), VOLUMES, 1)
    thinned = finished_fill((bound,), values, reader({"silicon": 6.0}), VOLUMES, 1)
    # Two thirds of the water are the rinse's: 6 and 4 mg/L.
    assert kept.meets[0]
    assert not thinned.meets[0]


@given(st.floats(0, 2000), st.floats(0, 200), st.floats(1.0, 11.0), st.floats(0.2, 1.0))
def test_the_rinses_named_are_enough_and_one_fewer_is_not(hardness, chloride, drains, mixing):
    volumes = held_back(
        SystemInUse(exact(12.0), exact(drains), fill=exact(5.0), efficiency=exact(mixing))
    )
    tap = {"total_hardness": hardness, "chloride": chloride, "sulfate": 1.0}
    found = finished_fill(BOUNDS, deionised_water(), reader(tap), volumes, 1)
    if np.isnan(found.rinses[0]):
        return
    assert found.meets_after[0]
    if found.rinses[0] > 0:
        key = found.bounds[found.controlled_by[0]].key
        value = found.bounds[found.controlled_by[0]].value
        pure = deionised_water()[key].upper
        inside = pure + (tap[key] - pure) * volumes.kept ** (found.rinses[0] - 1)
        total = volumes.held + volumes.added
        assert (volumes.held * inside + volumes.added * pure) / total > value


def test_without_a_volume_that_drains_nothing_is_held_back():
    assert held_back(SystemInUse(exact(12.0))) is None
