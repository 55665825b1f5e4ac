"""The simulated faults show what the trade says of them.

Every expected figure is one the trade quotes for the pattern: ratios of salt and sea water from
atomic weights and standard seawater (memory), the rest memory or common practice, no source.
"""

import numpy as np
import pytest

from tests.causes.simulated_faults import ANALYTES, Cases, draw_cases, ranges
from tests.causes.simulated_faults.moves import Acting, act, sound

NAMES = [pattern.name for pattern in ranges().patterns]


@pytest.fixture(scope="module")
def cases() -> Cases:
    return draw_cases(20_000, seed=20250403)


def alone(cases: Cases, name: str) -> np.ndarray:
    return (cases.causes[:, 0] == NAMES.index(name)) & (cases.causes[:, 1] < 0)


def rise(cases: Cases, rows: np.ndarray, analyte: str) -> np.ndarray:
    read = cases.upper[rows, cases.panel.readings.index(analyte)]
    return read - cases.units.previous[rows, ANALYTES.index(analyte)]


def ratio(cases: Cases, rows: np.ndarray, analyte: str) -> np.ndarray:
    read = cases.upper[rows, cases.panel.readings.index(analyte)]
    return read / cases.units.previous[rows, ANALYTES.index(analyte)]


def test_the_same_seed_draws_the_same_samples():
    one, two = draw_cases(200, seed=5), draw_cases(200, seed=5)
    np.testing.assert_array_equal(one.lower, two.lower)
    np.testing.assert_array_equal(one.causes, two.causes)
    assert not np.array_equal(one.lower, draw_cases(200, seed=6).lower)


def test_a_quarter_has_two_causes_a_fifth_of_the_readings_is_missing(cases: Cases):
    assert np.mean(cases.causes[:, 1] >= 0) == pytest.approx(0.25, abs=0.01)
    assert np.mean(cases.causes[:, 0] < 0) == pytest.approx(0.25, abs=0.01)
    assert np.mean(np.isnan(cases.lower)) == pytest.approx(0.2, abs=0.005)
    rows = np.arange(len(cases))
    for place in range(2):
        named = cases.causes[:, place] >= 0
        assert cases.possible[rows[named], cases.causes[named, place]].all()


def test_every_cause_occurs_at_every_third_of_its_strength(cases: Cases):
    third = np.digitize(cases.strengths[:, 0], [1 / 3, 2 / 3])
    for j in range(len(NAMES)):
        assert set(third[cases.causes[:, 0] == j]) == {0, 1, 2}


@pytest.mark.parametrize(
    ("cause", "analyte", "to_chloride"),
    [
        ("road_salt", "sodium", 0.65),
        ("sea_water", "sodium", 0.56),
        ("sea_water", "sulfate", 0.14),
    ],
)
def test_salt_brings_ions_in_its_own_ratio(
    cases: Cases, cause: str, analyte: str, to_chloride: float
):
    before = sound(cases.units)
    after = act(before, cases.units, Acting(NAMES.index(cause), 0, np.full((1, 1), 0.5)))
    brought = [after.mean[k] - before.mean[k] for k in map(ANALYTES.index, (analyte, "chloride"))]
    ratios = brought[0] / brought[1]
    np.testing.assert_allclose(ratios, to_chloride, atol=0.005)


def test_sea_water_brings_more_magnesium_than_calcium(cases: Cases):
    rows = alone(cases, "sea_water")
    assert np.nanmedian(rise(cases, rows, "magnesium")) > np.nanmedian(rise(cases, rows, "calcium"))


def test_water_takes_all_down_by_one_factor(cases: Cases):
    # Factors equal within about 10 % (common practice, no source).
    rows = alone(cases, "dilution")
    glycol, azoles = ratio(cases, rows, "glycol"), ratio(cases, rows, "azoles")
    assert np.nanmedian(np.abs(azoles / glycol - 1)) < 0.1
    assert np.mean(glycol[np.isfinite(glycol)] < 1) > 0.98


def test_boiling_off_takes_all_up_by_one_factor(cases: Cases):
    rows = alone(cases, "evaporation")
    glycol, sodium = ratio(cases, rows, "glycol"), ratio(cases, rows, "sodium")
    assert np.nanmedian(np.abs(sodium / glycol - 1)) < 0.1
    assert np.nanmedian(glycol) > 1.1


@pytest.mark.parametrize(
    ("cause", "analyte", "more_than"),
    [
        ("combustion_gas_leak", "sulfate", 20),
        ("ethylene_glycol_oxidation", "glycolate", 200),
        ("propylene_glycol_oxidation", "lactate", 200),
        ("hard_water", "calcium", 5),
        ("solder_attack", "lead", 10),
        ("copper_plating", "copper", 5),
        ("brazing_flux", "fluoride", 10),
        ("brazing_flux", "potassium", 50),
        ("stray_current", "nitrate", 50),
        ("nitrite_on_aluminium", "ammonium", 1),
        ("acid_attack", "iron", 10),
        ("alkaline_cleaner", "ph", 0.5),
        ("chromate", "chromium", 10),
        ("over_treated_additive", "boron", 10),
    ],
)
def test_a_cause_raises_what_it_is_known_by(
    cases: Cases, cause: str, analyte: str, more_than: float
):
    assert np.nanmedian(rise(cases, alone(cases, cause), analyte)) > more_than


def test_propylene_glycol_makes_no_glycolate(cases: Cases):
    rows = alone(cases, "propylene_glycol_oxidation")
    assert np.nanmax(rise(cases, rows, "glycolate")) < 200


@pytest.mark.parametrize(
    ("cause", "analyte", "below"),
    [
        ("combustion_gas_leak", "ph", 7.6),
        ("acid_attack", "ph", 7.0),
        ("silicate_drop_out", "silicon", 40),
        ("microbial_growth", "glycol", 26),
    ],
)
def test_a_cause_lowers_what_it_is_known_by(cases: Cases, cause: str, analyte: str, below: float):
    rows = alone(cases, cause)
    assert np.nanmedian(cases.upper[rows, cases.panel.readings.index(analyte)]) < below


def test_air_seldom_takes_ph_below_seven_and_a_half(cases: Cases):
    rows = alone(cases, "air_ingress")
    ph = cases.upper[rows, cases.panel.readings.index("ph")]
    assert np.nanmean(ph < 7.3) < 0.1


def test_an_overdose_is_more_than_twice_the_fresh_fill(cases: Cases):
    rows = alone(cases, "over_treated_additive")
    assert np.nanmedian(ratio(cases, rows, "boron")) > 2


def test_strips_are_read_as_pads():
    cases = draw_cases(500, seed=7, panel="field_tests")
    nitrite = cases.panel.readings.index("nitrite")
    upper = cases.upper[:, nitrite]
    # Midpoints of the generic pads 0, 300, 600, 800, 1200, 1600, 2400, 3200.
    assert set(upper[np.isfinite(upper)]) <= {150, 450, 700, 1000, 1400, 2000, 2800}
    assert set(np.unique(cases.observations)) == {-1, 0, 1}
