"""Mixed technologies in the invented depot, whose truth its README states."""

import pytest

from chemcheck import check, read_results
from chemcheck.causes.mixed_technologies import mixed_coolant_settings
from chemcheck.reports.balance_words import balance_words

SAMPLES = "sample_results/fleet_history.csv"


@pytest.fixture(scope="module")
def depot():
    return check(read_results(SAMPLES))


def rows_of(assessment, unit):
    samples = assessment.readings.samples
    return [k for k, name in enumerate(samples["unit_id"]) if name == unit]


def test_the_unit_that_was_filled_up_with_another_technology(depot):
    # sample_results/README.md: HT-07, in November 2024.
    samples = depot.readings.samples
    for row in rows_of(depot, "HT-07"):
        found = depot.balances.of_sample(row).mixed
        if samples["taken_on"].iloc[row].isoformat() < "2024-11":
            assert found is None
        else:
            assert found is not None
            assert found.technology == "heavy_duty_additive"
            assert found.fraction.lower < found.value < found.fraction.upper


def test_units_that_were_not_have_none(depot):
    others = [row for unit in ("BUS-13", "CG-1", "VAN-3", "HT-05") for row in rows_of(depot, unit)]
    assert len(others) > 20
    assert not any(depot.balances.of_sample(row).mixed for row in others)


def test_bands_and_their_evidence_are_told(depot):
    said = " ".join(balance_words(depot.balances.of_sample(rows_of(depot, "HT-07")[-1])))
    assert "looks like heavy duty with supplemental additive" in said
    assert "25 %" in said
    assert "Confirm" in said


def test_bands_are_those_of_the_trade():
    # published in part: trade press claims 25 %; 10 % from memory.
    _, _, bands = mixed_coolant_settings()
    assert [(band.upto, band.evidence) for band in bands] == [
        (0.1, "memory"), (0.25, "common practice"), (1.0, "published"),
    ]  # fmt: skip
