"""Proof of rinsing: known truths found again."""

import numpy as np
import pytest

from chemcheck.remedies.rinse_proof import prove_rinses

RINSES = np.arange(6)


def test_dilution_is_found_and_is_no_flat_tail():
    draw = np.random.default_rng(11)
    truth = 50.0 * (1 / 3) ** RINSES
    readings = truth + draw.normal(0, 0.3, (2000, 6))
    proof = prove_rinses(readings, 0.3)
    assert np.median(proof.kept.value) == pytest.approx(1 / 3, abs=0.01)
    # 95 % of the tests of no floor, and a floor cannot be below zero: half of the rest.
    assert proof.flat.mean() < 0.05
    inside = (proof.kept.lower <= 1 / 3) & (proof.kept.upper >= 1 / 3)
    assert inside.mean() > 0.93


def test_what_still_dissolves_is_seen():
    draw = np.random.default_rng(12)
    truth = 40.0 + 60.0 + 800.0 * 0.4**RINSES
    readings = truth + draw.normal(0, 3.0, (500, 6))
    proof = prove_rinses(readings, 3.0, background=40.0)
    assert proof.flat.mean() > 0.99
    assert np.median(proof.floor.value) == pytest.approx(60.0, abs=3.0)
    assert ((proof.floor.lower <= 60.0) & (proof.floor.upper >= 60.0)).mean() > 0.9


def test_no_rinse_keeps_less_than_perfect_mixing():
    # A fall by 10 where at best a third is kept, then a stop: dissolving, or a wrong reading.
    proof = prove_rinses([90.0, 30.0, 12.0, 6.0, 4.0], 0.5, least_kept=1 / 3)
    assert proof.kept.lower[0] >= 1 / 3 - 1e-9


def test_residue_takes_the_rinse_water_off():
    proof = prove_rinses([[1040.0, 340.0, 140.0]], 5.0, background=40.0)
    assert proof.residue.value[0] == pytest.approx(0.1)
    assert proof.residue.lower[0] < 0.1 < proof.residue.upper[0]


def test_two_readings_say_what_is_left_but_nothing_of_a_tail():
    proof = prove_rinses([50.0, 16.7], 0.5)
    assert not proof.testable[0]
    assert not proof.flat[0]
    assert np.isnan(proof.floor.value[0])
    assert proof.kept.value[0] == pytest.approx(1 / 3, abs=0.01)


def test_a_missing_reading_is_left_out():
    whole = prove_rinses([50.0, 16.7, 5.56, 1.85], 0.3)
    gap = prove_rinses([[50.0, np.nan, 5.56, 1.85]], 0.3)
    assert gap.kept.value[0] == pytest.approx(whole.kept.value[0], abs=0.01)


def test_a_long_column_is_fitted_as_each_system_is():
    readings = np.tile([50.0, 17.0, 6.0, 3.0], (2500, 1)) * np.linspace(0.8, 1.2, 2500)[:, None]
    proof = prove_rinses(readings, 0.3)
    assert proof.kept.value.shape == (2500,)
    for row in (0, 1499, 2499):
        alone = prove_rinses(readings[row], 0.3)
        assert proof.kept.value[row] == alone.kept.value[0]
        assert proof.flat[row] == alone.flat[0]


@pytest.mark.parametrize(
    ("readings", "spread", "said"),
    [([50.0], 0.3, "one after it"), ([50.0, 10.0], 0.0, "must be above zero")],
)
def test_mistakes_of_the_caller(readings, spread, said):
    with pytest.raises(ValueError, match=said):
        prove_rinses(readings, spread)
