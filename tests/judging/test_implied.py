"""What ions say of a conductivity that nobody measured."""

import numpy as np
import pytest

from chemcheck.judging.implied import implied_conductivity

NOTHING = np.array([np.nan])


def implied(**read: float) -> tuple[float, float]:
    ends = {key: (np.array([value]), np.array([value])) for key, value in read.items()}
    lower, upper = implied_conductivity(lambda key: ends.get(key, (NOTHING, NOTHING)), 1)
    return float(lower[0]), float(upper[0])


# Specific conductance at 25 C of potassium chloride and sodium chloride solutions of
# 0.001 mol/L, CRC Handbook (memory): 147 and 124 uS/cm; sodium bicarbonate about 93.
@pytest.mark.parametrize(
    ("ions", "measured"),
    [
        ({"potassium": 39.1, "chloride": 35.45}, 147.0),
        ({"sodium": 22.99, "chloride": 35.45}, 124.0),
        ({"sodium": 22.99, "total_alkalinity": 50.04}, 93.0),
    ],
)
def test_the_bound_is_below_what_salts_conduct(ions: dict[str, float], measured: float) -> None:
    lower, _ = implied(**ions)
    assert 0.5 * measured < lower <= measured


def test_charges_balance_so_one_side_is_enough() -> None:
    assert implied(chloride=35.45)[0] == pytest.approx(90, abs=0.1)
    assert implied(chloride=35.45, calcium=20.04)[0] == pytest.approx(90, abs=0.1)
    assert implied(total_hardness=50.04, calcium=20.04)[0] == pytest.approx(90, abs=0.1)


def test_no_more_than_natural_waters_are_counted() -> None:
    # Standard seawater, 19 400 mg/L chloride (memory), conducts some 53 000 uS/cm.
    assert implied(chloride=19400.0)[0] == pytest.approx(450.0)


def test_dissolved_solids_bound_it_on_both_sides() -> None:
    lower, upper = implied(total_dissolved_solids=340.0)
    assert (round(lower), round(upper)) == (378, 680)
    assert implied() == (0.0, np.inf)
