"""The default set of a sample."""

import pytest

from chemcheck.errors import UnknownTechnologyError
from chemcheck.limit_library import cautions, choose, load_set, technologies

KEYS = (
    "conventional",
    "heavy_duty_additive",
    "hybrid",
    "organic_acid",
    "nitrited_organic_acid",
    "phosphated_organic_acid",
)


# Common practice, no source: nobody publishes limits for these that hold for all makers.
BY_THE_MAKER = ("low_conductivity", "inhibited_water", "glycerol", "waterless")


def test_technologies_of_the_trade():
    assert tuple(technologies()) == (*KEYS, *BY_THE_MAKER)


@pytest.mark.parametrize("technology", BY_THE_MAKER)
def test_technology_that_only_a_set_of_the_maker_judges(technology):
    assert choose("coolant", technology) is None
    assert choose("coolant", technology, "ethylene_glycol") is None
    known = technologies()[technology]
    assert known.limit_set is None
    # Each caution that is called for is there, the maker's word always among them.
    assert "maker_and_local_rules" in known.cautions
    assert len(cautions(known.cautions)) == len(known.cautions)


def test_high_voltage_is_said_of_every_loop_that_may_carry_it():
    assert technologies()["low_conductivity"].cautions[0] == "high_voltage"


def test_refractometers_are_made_for_glycol_in_water():
    without = {key for key, known in technologies().items() if not known.refractometer}
    assert without == {"glycerol", "waterless"}


@pytest.mark.parametrize("technology", KEYS)
def test_coolant_goes_by_technology(technology):
    chosen = choose("coolant", technology)
    assert chosen.technologies == {technology}
    assert chosen.use == "coolant in service"
    assert chosen.material == "coolant"
    assert chosen.partial == ""
    for glycol in ("ethylene_glycol", "propylene_glycol"):
        assert choose("coolant", technology, glycol) is chosen


def test_unknown_technology_takes_what_holds_for_all():
    chosen = choose("coolant")
    assert chosen.technologies == frozenset()
    assert chosen.partial
    assert "nitrite" not in {limit.analyte for limit in chosen.limits}


def test_water_takes_the_default_family():
    assert choose("water") is load_set("fill_water_default")
    assert choose("water", "hybrid").id == "fill_water_default"


def test_other_materials_have_no_default():
    assert choose("oil") is None


def test_technology_nobody_knows():
    with pytest.raises(UnknownTechnologyError, match="'hybird' is no technology known here"):
        choose("coolant", "hybird")


def test_alias_stands_for_one_technology():
    seen = {}
    for key, technology in technologies().items():
        for alias in (key, *technology.aliases):
            plain = "".join(letter for letter in alias.casefold() if letter.isalnum())
            assert seen.setdefault(plain, key) == key
