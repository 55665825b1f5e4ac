"""The default set of a sample."""

import pytest

from chemcheck.errors import UnknownTechnologyError
from chemcheck.limit_library import choose, load_set, technologies

KEYS = (
    "conventional",
    "heavy_duty_additive",
    "hybrid",
    "organic_acid",
    "nitrited_organic_acid",
    "phosphated_organic_acid",
)


def test_technologies_are_the_six_of_the_trade():
    assert tuple(technologies()) == KEYS


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
