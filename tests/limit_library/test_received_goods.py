"""How new coolant is judged: rules as data, refused where they are damaged; two sets at once."""

import pytest

from chemcheck.analytes import vocabulary
from chemcheck.errors import LimitFileError
from chemcheck.limit_library import limit_folder, load_set
from chemcheck.limit_library.both_sets import both_sets
from chemcheck.limit_library.received_goods import (
    ASPECTS,
    read_received_goods_rules,
    received_goods_rules,
)

GOOD = (limit_folder() / "checks" / "received_goods.yaml").read_text("utf-8")
RECEIVED = ("received_mix", "received_concentrate")


@pytest.mark.parametrize(
    ("before", "after", "problem"),
    [
        ("premix:\n", "tea:\n", "'tea' is no key known here"),
        ("new_prediluted_heavy_duty", "new_tea", "'new_tea' is no limit set known here"),
        ("silicon: 10", "silicium_x: 10", "'silicium_x' is no analyte known here"),
        ("silicon: 10", "silicon: some", "some"),
        ("  evidence: memory\n  amounts", "  evidence: hearsay\n  amounts", "no evidence known"),
        ("concentrate_from:", "tank_from:", "'concentrate_from' is missing"),
        ("strength:", "weakness:", "'weakness' is no key known here"),
    ],
)
def test_damaged_rules(tmp_path, before, after, problem):
    file = tmp_path / "mine.yaml"
    assert before in GOOD
    file.write_text(GOOD.replace(before, after), encoding="utf-8")
    with pytest.raises(LimitFileError, match=problem):
        read_received_goods_rules(file)


def test_every_question_is_answered_by_what_a_set_holds():
    rules = received_goods_rules()
    sets = [load_set(name) for kind in rules.sets.values() for name in kind.values()]
    sets += map(load_set, RECEIVED)
    held = {limit.analyte for one in sets for limit in one.limits}
    held |= {rule.id for one in sets for rule in one.rules}
    for name in ASPECTS:
        for key in rules.aspects[name]:
            assert key in held or key in vocabulary()
    answers = [key for name in ASPECTS for key in rules.aspects[name]]
    assert len(answers) == len(set(answers))


def test_every_fraction_of_a_reference_says_what_counts_as_none():
    for name in RECEIVED:
        for limit in load_set(name).limits:
            if any(bound.of_fresh for bound in limit.bounds) and limit.analyte != "glycol":
                assert limit.analyte in received_goods_rules().absent_below


def test_two_sets_ask_what_either_asks():
    premix, received = load_set("new_prediluted_ethylene_glycol"), load_set("received_mix")
    both = both_sets(premix, received)
    assert load_set("new_prediluted_ethylene_glycol+received_mix") == both
    assert {limit.analyte for limit in both.limits} == {
        limit.analyte for one in (premix, received) for limit in one.limits
    }
    # Both have pH: the standard's own bound counts, in the basis that it states.
    [ph] = [x for x in both.limits if (x.analyte, x.basis) == ("ph", "neat")]
    assert [bound.value for bound in ph.bounds if bound.side == "lower"] == [7.5]
    assert both.glycols == {"ethylene_glycol"}
    assert both.sha256 not in (premix.sha256, received.sha256)


def test_names_of_two_sets_must_be_known():
    with pytest.raises(LimitFileError, match="no limit set known here"):
        load_set("new_prediluted_ethylene_glycol+tea")
