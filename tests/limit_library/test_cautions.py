"""What can hurt people is said, with its source."""

import pytest

from chemcheck.limit_library import all_cautions, cautions, load_set, set_ids
from chemcheck.limit_library.records import EVIDENCE


@pytest.mark.parametrize("key", tuple(all_cautions()))
def test_caution_says_when_and_what_by_whom(key):
    caution = all_cautions()[key]
    assert caution.key == key
    assert len(caution.text) > 60
    assert caution.text.endswith(".")
    assert caution.when
    assert caution.source
    assert caution.evidence in EVIDENCE


def test_dangers_of_the_trade_are_all_there():
    # Hot pressurised systems, toxic glycol, cleaners, nitrite, disposal, high voltage.
    said = " ".join(caution.text for caution in all_cautions().values()).casefold()
    for word in ("steam", "poison", "neutralise", "nitrogen oxides", "nitrosamines", "drain"):
        assert word in said
    for word in ("local authority", "high voltage", "maker", "local codes", "licence", "chromate"):
        assert word in said


@pytest.mark.parametrize("set_id", set_ids())
def test_every_set_defers_to_maker_and_local_rules(set_id):
    assert "maker_and_local_rules" in load_set(set_id).cautions


@pytest.mark.parametrize("set_id", [key for key in set_ids() if key.endswith("_in_service")])
def test_coolant_in_service_warns_of_heat_and_poison(set_id):
    keys = load_set(set_id).cautions
    assert {"hot_system", "glycol_is_poison", "disposal"} <= set(keys)
    assert ("nitrite_and_acid" in keys) is (
        "nitrite" in load_set(set_id).essential and not load_set(set_id).partial
    )


def test_texts_come_once_in_their_order():
    texts = cautions(["maker_and_local_rules", "hot_system", "maker_and_local_rules"])
    known = all_cautions()
    assert texts == (known["hot_system"].text, known["maker_and_local_rules"].text)


def test_unknown_key_is_a_mistake_of_the_caller():
    with pytest.raises(KeyError, match="hot_sytem"):
        cautions(["hot_sytem"])
