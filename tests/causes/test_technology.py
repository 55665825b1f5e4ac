"""The technology stated against the fingerprint: yes, no, cannot tell; never by colour.

What each family holds is memory (working values for fresh fills); the fills here are invented.
"""

import pytest

from chemcheck import check
from chemcheck.causes import find_causes
from chemcheck.readings.record import Readings
from tests.builders import readings
from tests.causes.cases import HEAVY_DUTY, ORGANIC


def _sample(fill: dict[str, float], technology: str | None, **columns: object) -> Readings:
    return readings(
        {key: [value] for key, value in fill.items()}, technology=[technology], **columns
    )


def _checked(fill: dict[str, float], technology: str | None):
    found = find_causes(_sample(fill, technology))
    assert found is not None
    return found.technology(0)


@pytest.mark.parametrize(
    ("fill", "stated", "supported"),
    [
        (HEAVY_DUTY, "heavy_duty_additive", "yes"),
        (ORGANIC, "organic_acid", "yes"),
        (HEAVY_DUTY, "organic_acid", "no"),
        (ORGANIC, "heavy_duty_additive", "no"),
        ({"glycol": 50.0, "ph": 8.5}, "organic_acid", "cannot tell"),
        # Nitrite that is used up contradicts nothing.
        ({**HEAVY_DUTY, "nitrite": 0.0}, "heavy_duty_additive", "cannot tell"),
        # A little of another coolant is no other coolant.
        ({**ORGANIC, "nitrite": 180.0}, "organic_acid", "yes"),
    ],
)
def test_supported(fill: dict[str, float], stated: str, supported: str) -> None:
    assert _checked(dict(fill), stated).supported == supported


def test_what_contradicts_is_named_and_others_are_proposed() -> None:
    found = _checked(dict(HEAVY_DUTY), "organic_acid")
    assert {"nitrite", "silicon", "phosphate"} <= set(found.contradicts)
    assert found.candidates[:2] == ("conventional", "heavy_duty_additive")
    assert found.stated == "organic_acid"


def test_unknown_technology_is_proposed_never_assigned() -> None:
    found = _checked(dict(ORGANIC), None)
    assert found.stated is None
    assert "organic_acid" in found.candidates
    answer = check(_sample(dict(ORGANIC), None))
    assert answer.readings.samples["technology"].isna().all()


def test_what_depends_on_a_contradicted_technology_is_not_judged() -> None:
    right = check(_sample(dict(HEAVY_DUTY), "heavy_duty_additive"))
    wrong = check(_sample(dict(HEAVY_DUTY), "organic_acid"))
    assert right.limit_sets[0].id == "heavy_duty_additive_in_service"
    assert [each.id for each in wrong.limit_sets] == ["coolant_in_service"]
    assert wrong.verdicts["verdict"].tolist() == ["undecided"]
    # It is still what the file states, and asked about.
    assert wrong.readings.samples["technology"].tolist() == ["organic_acid"]
    asked = wrong.readings.questions
    assert asked["column"].tolist().count("technology") == 1
    assert any("not borne out" in said for said in wrong.assumptions)


def test_a_set_that_the_user_names_judges_all_the_same() -> None:
    wrong = check(_sample(dict(HEAVY_DUTY), "organic_acid"), "organic_acid_in_service")
    assert [each.id for each in wrong.limit_sets] == ["organic_acid_in_service"]


def test_colour_is_no_evidence() -> None:
    plain = _sample(dict(ORGANIC), "organic_acid")
    coloured = _sample(dict(ORGANIC), "organic_acid", Colour=["blue"])
    one, other = find_causes(plain), find_causes(coloured)
    assert one is not None
    assert other is not None
    assert one.technology(0) == other.technology(0)
    assert one.of_sample(0) == other.of_sample(0)
