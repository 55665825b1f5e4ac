"""Fill water: verdict, cross-checks and blend together."""

import numpy as np
import pytest

from chemcheck.assessment.water import water
from chemcheck.errors import LimitFileError
from chemcheck.intake.quantities import read_quantities
from chemcheck.intake.read import read_results
from chemcheck.judging.water_cross_checks import (
    hardness_from_metals,
    read_water_checks,
    reading_of,
)

# The worked example of tests/remedies/test_deionised_share.py ("computed here").
EXAMPLE = {
    "pH": "7.6",
    "hardness": "310 mg/L",
    "chloride": "85",
    "sulfate": "120",
    "total dissolved solids": "520",
}


def given(**changes: str | None):
    """Read the worked example with some quantities changed, None for left out."""
    values = EXAMPLE | {key.replace("_", " "): text for key, text in changes.items()}
    kept = {key: text for key, text in values.items() if text is not None}
    return read_quantities(kept, name="options", material="water")


def test_worked_example():
    answer = water(given())
    assert answer.assessment.counts["unfit"] == 1
    [part] = answer.blends
    assert part.blend.share.largest[0] == pytest.approx(39 / 84)
    assert part.blend.bounds[part.blend.share.largest_by[0]].key == "chloride"
    # The methods' uncertainty only takes away from the share.
    assert 0 < part.largest_with_uncertainty[0] < 39 / 84


def test_a_share_is_promised_only_where_every_essential_was_read():
    assert not water(given(sulfate=None)).blends[0].blend.known[0]
    assert not water(given(sulfate="sulphurous")).blends[0].blend.known[0]
    assert water(given(total_dissolved_solids=None)).blends[0].blend.known[0]


def test_dissolved_solids_by_conductivity_are_an_interval_beside_the_verdict():
    # Factor 0.5 to 0.9 for natural waters (memory): 900 uS/cm is 450 to 810 mg/L.
    clean = {"chloride": "20", "sulfate": "30", "hardness": "150 mg/L"}
    without = given(**clean, total_dissolved_solids=None)
    conductive = given(**clean, total_dissolved_solids=None, conductivity="900 uS/cm")
    answer = water(conductive)
    assert answer.estimated_solids.lower[0] == pytest.approx(450)
    assert answer.estimated_solids.upper[0] == pytest.approx(810)
    assert answer.assessment.counts["fit"] == water(without).assessment.counts["fit"] == 1
    # The blend has to meet the bound of 340 at the upper end; deionised water brings 5.
    share = answer.blends[0].blend.share
    assert share.largest[0] == pytest.approx((340 - 5) / (810 - 5))
    assert answer.blends[0].blend.bounds[share.largest_by[0]].key == "total_dissolved_solids"


def test_solids_that_were_read_are_not_estimated():
    answer = water(given(conductivity="900 uS/cm"))
    assert np.isnan(answer.estimated_solids.lower[0])


@pytest.mark.parametrize(
    ("hardness", "asked"), [("141 mg/L", False), ("150 mg/L", False), ("400 mg/L", True)]
)
def test_hardness_is_held_against_calcium_and_magnesium(hardness, asked):
    # 2.4973 x 40 + 4.1179 x 10 = 141.07 mg/L as CaCO3 (atomic weights 2021).
    answer = water(given(hardness=hardness, calcium="40", magnesium="10"))
    questions = answer.questions[answer.questions["column"] == "total_hardness"]
    assert len(questions) == asked
    if asked:
        assert "against 141.1 from calcium and magnesium" in questions["question"].iloc[0]


def test_a_non_detect_agrees_with_whatever_it_allows():
    answer = water(given(hardness="41 mg/L", calcium="<50", magnesium="10"))
    assert not (answer.questions["column"] == "total_hardness").any()


@pytest.mark.parametrize(("solids", "asked"), [("520", False), ("100", True), ("1200", True)])
def test_dissolved_solids_are_held_against_conductivity(solids, asked):
    # 0.5 to 0.9 times 800 uS/cm: 400 to 720 mg/L.
    answer = water(given(total_dissolved_solids=solids, conductivity="800 uS/cm"))
    assert (answer.questions["column"] == "total_dissolved_solids").any() == asked


def test_questions_change_no_verdict():
    plain = water(given())
    odd = water(given(calcium="4", magnesium="1"))
    assert len(odd.questions) > len(plain.questions)
    assert odd.assessment.counts["unfit"] == plain.assessment.counts["unfit"]


@pytest.mark.parametrize(
    ("file", "n", "least", "greatest"),
    [("wqx_usgs_36sites.csv", 21, -0.3, 1.5), ("wqx_rivers_timeseries.csv", 31, -5.4, 6.7)],
)
def test_open_data_reported_hardness_against_the_metals(open_data, file, n, least, greatest):
    # n and the range of the differences as found by who gathered these files. Hardness and
    # metals of one visit may be two activities, and so two samples: they are joined here.
    readings = read_results(open_data / "wqx" / file)
    reported, computed = reading_of(readings, "total_hardness"), hardness_from_metals(readings)
    samples = readings.samples[["unit_id", "taken_on", "sample_type"]].assign(
        reported=reported.upper, computed=computed.upper
    )
    sampled = samples[samples["sample_type"] != "blank"]
    visits = sampled.groupby(["unit_id", "taken_on"])[["reported", "computed"]].first().dropna()
    percent = 100 * (visits["reported"] / visits["computed"] - 1)
    assert len(visits) == n
    assert percent.min() == pytest.approx(least, abs=0.06)
    assert percent.max() == pytest.approx(greatest, abs=0.06)
    assert not (water(readings).questions["column"] == "total_hardness").any()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("hardness_difference: {value: 2, source: a, evidence: memory}", "expected a fraction"),
        ("hardness_difference: {value: 0.1, evidence: memory}", "the key 'source' is missing"),
        ("solids: {}", "'solids' is no key known here"),
    ],
)
def test_a_wrong_file_of_tolerances_says_where(content, said, tmp_path):
    path = tmp_path / "own.yaml"
    path.write_text(f"{content}\nsolids_difference: {{value: 0, source: a, evidence: memory}}\n")
    with pytest.raises(LimitFileError, match=said):
        read_water_checks(path)
