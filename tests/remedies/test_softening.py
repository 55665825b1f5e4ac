"""What a softener mends and what it leaves."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.limit_library import load_set
from chemcheck.remedies.deionised_water import deionised_water
from chemcheck.remedies.softening import (
    BROKEN,
    LEFT,
    MENDED,
    MET,
    UNREAD,
    soften,
    softened_water,
)
from chemcheck.remedies.water_blend import linear_bounds

BOUNDS, _ = linear_bounds(load_set("fill_water_default"), deionised_water())


def reader(values):
    def reading_of(key, basis):
        ends = values.get(key, np.nan)
        low, high = ends if isinstance(ends, tuple) else (ends, ends)
        return np.array([low]), np.array([high])

    return reading_of


def effects(**values):
    found = soften(BOUNDS, reader(values), 1)
    return found, {
        bound.key: code for bound, code in zip(found.bounds, found.effect[0], strict=True)
    }


def test_hardness_is_mended_and_chloride_and_sulfate_stay():
    found, effect = effects(total_hardness=310.0, chloride=85.0, sulfate=120.0)
    assert effect == {
        "total_hardness": MENDED, "chloride": LEFT, "sulfate": LEFT,
        "total_dissolved_solids": UNREAD,
    }  # fmt: skip
    assert not found.cures[0]
    # 0.4594 mg sodium a mg of hardness, from all but 17.1 mg/L to all of it.
    assert found.sodium_lower[0] == pytest.approx((310.0 - 17.1) * 0.4594, rel=1e-3)
    assert found.sodium_upper[0] == pytest.approx(310.0 * 0.4594, rel=1e-3)


def test_a_water_that_is_only_hard_is_cured():
    found, effect = effects(
        total_hardness=250.0, chloride=10.0, sulfate=10.0, total_dissolved_solids=250.0
    )
    assert set(effect.values()) == {MET, MENDED}
    assert found.cures[0]


def test_dissolved_solids_rise_and_can_pass_their_bound():
    # 250 mg/L of hardness bring 15 (all calcium) to 54 (all magnesium) mg/L.
    _, effect = effects(
        total_hardness=250.0, chloride=10.0, sulfate=10.0, total_dissolved_solids=330.0
    )
    assert effect["total_dissolved_solids"] == BROKEN


def test_metals_stand_in_for_hardness_that_was_not_read():
    found, _ = effects(calcium=100.0, magnesium=20.0, chloride=10.0, sulfate=10.0)
    hardness = 100.0 * 2.497 + 20.0 * 4.118
    assert found.sodium_upper[0] == pytest.approx(hardness * 0.4594, rel=1e-3)
    most_left = softened_water()["total_hardness"].upper / 2.497
    assert found.index_change[0] == pytest.approx(np.log10(most_left / 100.0), rel=1e-3)


@given(st.floats(0, 500), st.floats(0, 200), st.floats(0, 50))
def test_a_wider_reading_never_promises_more(hardness, chloride, width):
    narrow, _ = effects(total_hardness=hardness, chloride=chloride, sulfate=1.0)
    wide, _ = effects(
        total_hardness=(max(hardness - width, 0.0), hardness + width),
        chloride=(chloride, chloride + width),
        sulfate=1.0,
    )
    after_narrow = np.isin(narrow.effect[0], (MET, MENDED))
    after_wide = np.isin(wide.effect[0], (MET, MENDED))
    assert (after_narrow | ~after_wide).all()
