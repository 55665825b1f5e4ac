"""Worked examples of JCGM 106:2012, from memory: the text was not at hand.

JCGM 106:2012, Evaluation of measurement data: the role of measurement uncertainty in
conformity assessment. Numbers of sections and values are remembered (evidence: memory).
"""

import pytest

from chemcheck.chemistry.normal import interval_probability_outside
from chemcheck.judging import probability_outside
from tests.builders import bound, limit, limit_set, readings
from tests.judging.conftest import SetPrecision
from tests.judging.judged import by_one, states


def test_breakdown_voltage_of_a_zener_diode(precision: SetPrecision) -> None:
    """Section 7.3.3, memory: -5.47 V with u = 0.05 V, at most -5.40 V, conforms with 0.92."""
    precision(absolute=0.05)
    read = readings({"freezing_point": [-5.47]})
    judged = by_one(read, limit_set(limit("freezing_point", bound("upper", -5.40))))
    place = judged.state.nonzero()  # undecided, so its code is not 0
    least, greatest = probability_outside(judged, *place)
    assert least == pytest.approx(1 - 0.92, abs=0.005)
    assert greatest == least
    assert states(judged, "freezing_point") == ["undecided"]


def test_viscosity_of_a_motor_oil(precision: SetPrecision) -> None:
    """Section 7.4, memory: 13.6 with u = 1.8, from 12.5 to 16.3 mm2/s, conforms with 0.66."""
    least, greatest = interval_probability_outside(13.6, 13.6, 1.8, 12.5, 16.3)
    assert least == greatest == pytest.approx(1 - 0.66, abs=0.005)
    precision(absolute=1.8)
    both = limit_set(limit("glycol", bound("lower", 12.5), bound("upper", 16.3)))
    assert states(by_one(readings({"glycol": [13.6]}), both), "glycol") == ["undecided"]


@pytest.mark.parametrize(("speed", "sure"), [(107.0, True), (106.0, False)])
def test_speed_limit(precision: SetPrecision, speed: float, sure: bool) -> None:
    """Section 8.3.3, memory: u is 2 %; from 107 km/h a limit of 100 is broken with 99.9 %."""
    precision(relative=0.02)
    read = readings({"total_hardness": [speed]}, material="water")
    judged = by_one(read, limit_set(limit("total_hardness", bound("upper", 100.0))))
    least, _ = probability_outside(judged, *judged.state.nonzero())
    assert bool(least[0] >= 0.999) is sure


def test_guarded_acceptance(precision: SetPrecision) -> None:
    """Section 8.3.2, memory: a guard band of 1.645 u leaves 5 % risk at the acceptance limit."""
    precision(absolute=2.0)
    acceptance_limit = 40.0 - 1.645 * 2.0
    read = readings({"chloride": [acceptance_limit - 1e-9, acceptance_limit + 1e-9]})
    judged = by_one(read, limit_set(limit("chloride", bound("upper", 40.0))), "guarded")
    assert states(judged, "chloride") == ["inside", "undecided"]
    _, risk = interval_probability_outside(
        acceptance_limit, acceptance_limit, 2.0, -float("inf"), 40.0
    )
    assert risk == pytest.approx(0.05, abs=1e-4)


# Area under the standard normal curve to the right of z, as in the table of any textbook
# of statistics (memory).
@pytest.mark.parametrize(
    ("z", "tail"),
    [(0.0, 0.5), (0.5, 0.3085), (1.0, 0.1587), (1.645, 0.0500), (1.96, 0.0250), (2.5, 0.0062)],
)
def test_normal_tail(precision: SetPrecision, z: float, tail: float) -> None:
    precision(absolute=4.0)
    read = readings({"chloride": [40.0 - 4.0 * z]})
    judged = by_one(read, limit_set(limit("chloride", bound("upper", 40.0))), "simple")
    least, greatest = probability_outside(judged, *((judged.state >= 0).nonzero()))
    assert least == greatest == pytest.approx(tail, abs=5e-5)
