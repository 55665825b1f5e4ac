"""New coolant: identity, strength and contamination against sets and the fleet's reference."""

from io import StringIO

import pandas as pd
import pytest

from chemcheck.assessment.check import check
from chemcheck.intake import read_results

EG = "ethylene glycol"
TITLES = (
    "Sample No,Unit,Sample type,Technology,Glycol type,pH,Glycol % vol,Freezing point (C),"
    "Si mg/L,NO2 mg/L,Cl mg/L,TH mg/L,Fe mg/L,2-EHA mg/L\n"
)
# Of an organic acid coolant: no silicon or nitrite, carboxylates (invented amounts).
REFERENCE = f"REF,,fresh fill,organic acid,{EG},8.4,50,-37,<5,<5,8,10,0.3,18000\n"
TANK = f"TANK,Tank 1,bulk tank,organic acid,{EG},8.4,48,-35,<5,<5,9,12,0.4,17300\n"


def found(tmp_path, *rows, **options):
    file = tmp_path / "goods.csv"
    file.write_text(TITLES + "".join(rows), encoding="utf-8")
    return check(read_results(file), **options)


def states(assessment, sample):
    verdicts = assessment.verdicts.set_index("sample_id").loc[sample]
    return [verdicts[name] for name in ("verdict", "identity", "strength", "contamination")]


def test_a_tank_like_its_reference_is_fit(tmp_path):
    answer = found(tmp_path, REFERENCE, TANK)
    assert states(answer, "TANK") == ["fit", "inside", "inside", "inside"]
    assert answer.received.references_of(1) == ("REF",)
    assert answer.verdicts["limit_set"].tolist() == ["received_mix", "received_mix"]


@pytest.mark.parametrize(
    ("column", "value", "expected"),
    [
        ("Si mg/L", "120", ["unfit", "outside", "inside", "inside"]),
        ("NO2 mg/L", "900", ["unfit", "outside", "inside", "inside"]),
        ("2-EHA mg/L", "5000", ["unfit", "outside", "inside", "inside"]),
        ("Glycol % vol", "20", ["unfit", "outside", "outside", "inside"]),
        ("Cl mg/L", "90", ["unfit", "inside", "inside", "outside"]),
        ("TH mg/L", "160", ["unfit", "inside", "inside", "outside"]),
        ("Fe mg/L", "30", ["unfit", "inside", "inside", "outside"]),
        ("Cl mg/L", "<200", ["undecided", "inside", "inside", "undecided"]),
        ("Fe mg/L", "8.5", ["fit", "inside", "inside", "warning"]),
    ],
)
def test_each_question_has_its_own_answer(tmp_path, column, value, expected):
    table = pd.read_csv(StringIO(TITLES + TANK), dtype=str)
    table[column] = value
    if column == "Glycol % vol":  # watered down: less freezing point, carboxylates as they were
        table["Freezing point (C)"] = "-9"
    row = table.to_csv(index=False, header=False)
    assert states(found(tmp_path, REFERENCE, row), "TANK") == expected


def test_a_dilution_is_weak_but_the_same_coolant(tmp_path):
    # 17,300 x 30/48 = 10,800 mg/L
    weak = f"WEAK,Tank 1,bulk tank,organic acid,{EG},8.4,30,-15.7,<5,<5,9,12,0.4,10800\n"
    assert states(found(tmp_path, REFERENCE, weak), "WEAK") == [
        "unfit", "inside", "outside", "inside",
    ]  # fmt: skip


def test_without_a_reference_identity_is_undecided(tmp_path):
    answer = found(tmp_path, TANK)
    assert states(answer, "TANK")[:2] == ["undecided", "undecided"]
    assert "No fresh-fill reference" in answer.verdicts["because"][0]
    [limit_set] = answer.limit_sets
    assert limit_set.partial.startswith("No fresh-fill reference")


def test_the_only_reference_stands_alone(tmp_path):
    answer = found(tmp_path, REFERENCE)
    assert states(answer, "REF")[:2] == ["undecided", "undecided"]
    assert "itself the only fresh-fill reference" in answer.verdicts["because"][0]


def test_what_is_sure_without_a_reference_is_said(tmp_path):
    dirty = TANK.replace(",9,12,", ",90,12,").replace(",<5,<5,", ",<5,900,")
    answer = found(tmp_path, dirty)
    # Nitrite is not of this technology, whatever the fleet's reference holds.
    assert states(answer, "TANK") == ["unfit", "outside", "inside", "outside"]


def test_nothing_in_common_leaves_identity_open(tmp_path):
    bare = f"REF,,fresh fill,organic acid,{EG},8.4,50,-37,,,8,10,0.3,\n"
    answer = found(tmp_path, bare, TANK)
    assert states(answer, "TANK")[:2] == ["undecided", "undecided"]
    assert "Nothing that tells coolants apart" in answer.verdicts["because"][1]


def test_an_unknown_technology_leaves_identity_open(tmp_path):
    answer = found(tmp_path, REFERENCE, TANK.replace("organic acid", ""))
    assert states(answer, "TANK")[:2] == ["undecided", "undecided"]
    assert "is not stated" in answer.verdicts["because"][1]


def test_a_technology_that_no_set_judges_is_left_out(tmp_path):
    answer = found(tmp_path, TANK.replace("organic acid", "waterless"))
    assert answer.headline.set_of_sample.tolist() == [-1]


def test_fresh_fills_of_units_serve_where_no_reference_was_kept(tmp_path):
    filled = REFERENCE.replace("REF,,", "FILL,BUS-1,")
    answer = found(tmp_path, filled, TANK)
    assert states(answer, "TANK") == ["fit", "inside", "inside", "inside"]
    assert answer.received.references_of(1) == ("FILL",)
    # The fill itself is coolant in service.
    assert answer.verdicts["limit_set"][0] == "organic_acid_in_service"
    assert answer.received.of_sample(0) is None
    both = found(tmp_path, filled, REFERENCE, TANK)
    assert both.received.references_of(2) == ("REF",)


def test_a_premix_is_judged_by_the_set_for_it_too(tmp_path):
    weak = f"MIX,,premix,organic acid,{EG},8.4,47,-32,<5,<5,9,12,0.4,17000\n"
    answer = found(tmp_path, REFERENCE, weak)
    verdicts = answer.verdicts.iloc[1]
    assert verdicts["limit_set"] == "new_prediluted_ethylene_glycol+received_mix"
    assert states(answer, "MIX") == ["unfit", "inside", "outside", "inside"]
    assert verdicts["outside"] == "freezing_point"
    assert verdicts["disposition"] == "correct in place"


@pytest.mark.parametrize(
    ("technology", "glycol", "expected"),
    [
        ("organic acid", EG, "new_light_duty_ethylene_glycol+received_concentrate"),
        (
            "organic acid",
            "propylene glycol",
            "new_light_duty_propylene_glycol+received_concentrate",
        ),
        ("heavy duty", EG, "new_heavy_duty_fully_formulated+received_concentrate"),
        ("organic acid", "", "received_concentrate"),
    ],
)
def test_a_concentrate_has_the_set_of_its_kind(tmp_path, technology, glycol, expected):
    row = f"CONC,,concentrate,{technology},{glycol},8.4,94,,<5,<5,9,,0.4,34000\n"
    assert found(tmp_path, REFERENCE, row).verdicts["limit_set"][1] == expected


def test_a_concentrate_is_held_against_the_reference_at_its_own_strength(tmp_path):
    # 18,000 mg/L at 50 vol% are 33,840 at 94.
    row = f"CONC,,new concentrate,organic acid,{EG},8.4,94,,<5,<5,9,,0.4,"
    good = found(tmp_path, REFERENCE, row + "33000\n")
    assert states(good, "CONC")[1:] == ["inside", "inside", "inside"]
    thin = found(tmp_path, REFERENCE, row + "12000\n")
    assert states(thin, "CONC")[1] == "outside"


def test_a_tank_of_concentrate_is_known_by_its_glycol(tmp_path):
    row = TANK.replace(",48,-35,", ",94,,").replace("17300", "34000")
    answer = found(tmp_path, REFERENCE, row)
    assert answer.verdicts["limit_set"][1].endswith("+received_concentrate")


def test_a_set_that_the_user_names_judges_alone(tmp_path):
    answer = found(tmp_path, REFERENCE, TANK, limits="new_prediluted_ethylene_glycol")
    assert set(answer.verdicts["limit_set"]) == {"new_prediluted_ethylene_glycol"}
    joint = "new_prediluted_ethylene_glycol+received_mix"
    answer = found(tmp_path, REFERENCE, TANK, limits=joint)
    assert set(answer.verdicts["limit_set"]) == {joint}
    assert states(answer, "TANK")[1] == "inside"


def test_new_coolant_is_no_part_of_a_unit(tmp_path):
    answer = found(
        tmp_path, REFERENCE, TANK, TANK.replace("TANK,", "LATER,").replace("17300", "9000")
    )
    asked = answer.readings.questions
    assert not asked["question"].str.contains("history").any()


def test_files_without_new_coolant_say_nothing_of_it(tmp_path):
    answer = found(tmp_path, TANK.replace("bulk tank", "routine"))
    assert answer.received is None
    assert "identity" not in answer.verdicts


def test_adding_a_reference_never_hides_what_is_surely_wrong(tmp_path):
    dirty = TANK.replace(",9,12,", ",90,12,")
    assert states(found(tmp_path, dirty), "TANK")[0] == "unfit"
    assert states(found(tmp_path, REFERENCE, dirty), "TANK")[0] == "unfit"


def test_no_circuit_is_drained_for_a_tank(tmp_path):
    dirty = TANK.replace(",9,12,", ",90,12,")
    answer = found(tmp_path, REFERENCE, dirty, dirty.replace("bulk tank", "routine"))
    assert answer.remedies.of_sample(1) == ()
    assert answer.remedies.of_sample(2) != ()
    assert answer.balances.of_sample(1).reserve is None
    assert answer.causes.of_sample(1) == ()
