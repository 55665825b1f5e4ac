"""Scale in a system: the worked example, leak against evaporation, intervals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.scale_deposit import scale_left_after_leak
from chemcheck.chemistry.top_up import after_leak
from chemcheck.errors import QuantityError
from chemcheck.remedies.deposit import deposit
from chemcheck.remedies.estimate import between, exact
from chemcheck.remedies.system_in_use import SystemInUse


def column(*ends: float) -> tuple[np.ndarray, np.ndarray]:
    return np.array([ends[0]]), np.array([ends[-1]])


NONE = column(np.nan)


def use(**changes) -> SystemInUse:
    # Worked example ("computed here"): 40 L, half of it water; 26 L of top-ups; 500 cm2 hot area.
    told = {
        "top_ups": exact(26.0), "hot_area": exact(500.0), "heat_flux": exact(200.0),
    } | changes  # fmt: skip
    return SystemInUse(exact(40.0), **told)


def test_worked_example():
    found = deposit(column(300.0), column(400.0), use(loss="evaporation"))
    assert found.fill[1] == pytest.approx(6.0)
    assert found.top_ups[1] == pytest.approx(7.8)
    assert found.mass[0] == found.mass[1] == pytest.approx(13.8)
    assert found.thickness[1] == pytest.approx(0.10, abs=0.005)
    # 10 C at 2 W/(m K), 20 C at 1.
    assert found.rise[0] == pytest.approx(10.0, abs=0.5)
    assert found.rise[1] == pytest.approx(20.0, abs=0.5)


def test_only_carbonate_hardness_counts_and_all_hardness_bounds_it():
    found = deposit(column(300.0), column(120.0), use(loss="evaporation"))
    assert found.mass[1] == pytest.approx(13.8 * 120 / 300)
    assert found.all_hardness[1] == pytest.approx(13.8)
    unread = deposit(column(300.0), NONE, use(loss="evaporation"))
    assert unread.mass[1] == pytest.approx(13.8)
    assert not unread.by_alkalinity[0]
    assert np.isnan(deposit(NONE, column(120.0), use()).mass[1][0])


def test_a_leak_takes_part_of_it_away():
    found = deposit(column(300.0), column(400.0), use(loss="leak"))
    # 26 000 steps of a millilitre, by the balance of each top-up.
    coolant = after_leak(150.0, 300.0, 0.001, 40.0, 26_000)
    assert found.mass[0] == pytest.approx(coolant * 40.0 / 1000.0, rel=1e-4)
    assert found.mass[1] == pytest.approx(13.8)
    assert found.mass[0] < found.mass[1]


def test_what_is_not_told_gives_no_figure():
    found = deposit(column(300.0), column(400.0), SystemInUse(exact(40.0)))
    assert found.mass[1] == pytest.approx(6.0)
    assert np.isnan(found.thickness[1][0])
    assert np.isnan(found.rise[1][0])


@given(st.floats(0, 500), st.floats(0, 500), st.floats(0, 100), st.floats(0, 30), st.floats(0, 30))
def test_a_wider_input_never_narrows_the_deposit(hardness, alkalinity, width, top_ups, more):
    for loss in ("leak", "evaporation", None):
        narrow = deposit(
            column(hardness), column(alkalinity), use(loss=loss, top_ups=exact(top_ups))
        )
        wide = deposit(
            column(max(hardness - width, 0.0), hardness + width),
            column(max(alkalinity - width, 0.0), alkalinity + width),
            use(loss=loss, top_ups=between(top_ups, top_ups + more)),
        )
        for one, other in ((narrow.mass, wide.mass), (narrow.rise, wide.rise)):
            assert other[0][0] <= one[0][0] + 1e-9
            assert other[1][0] >= one[1][0] - 1e-9


def test_more_top_ups_leave_no_less():
    left = scale_left_after_leak(300.0, 20.0, [0.0, 10.0, 26.0, 1e6], 40.0)
    assert (np.diff(left) > 0).all()
    assert left[-1] == pytest.approx(12.0)  # all of the system is the top-up's water


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"system": exact(0.0)}, "the system's volume must be above zero"),
        ({"drains": exact(50.0)}, "more drains"),
        ({"fill": exact(60.0), "strength": exact(50.0)}, "cannot have more than its concentrate"),
        ({"hot_area": exact(0.0)}, "the hot area must be above 0"),
        ({"conductivity": exact(0.0)}, "the conductivity of scale must be above 0"),
        ({"efficiency": exact(0.0)}, "the mixing efficiency must be above 0"),
    ],
)
def test_what_cannot_be_is_refused(changes, said):
    with pytest.raises(QuantityError, match=said):
        SystemInUse(**({"system": exact(40.0)} | changes))
